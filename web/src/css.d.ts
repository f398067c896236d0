// A style sheet that is fetched when it is wanted: its address.
declare module '*.sheet.css' {
  const address: string
  export default address
}
