export type { ActOptions, BoardView, BodyOf, LastAct, LinkWord, Ring, Said, Store, TapView, TapWord, ViewState } from './store_shape'
