// What chaos.mjs takes of the simulator: a device with the real link, the crew's taps, and the model that the log is held against.

export { boardDigest, canonical, digest } from '../../web/src/digest'
export { nextAct, resetMarks, trip } from '../sim/acts'
export { Model, Tally, Wrong } from '../sim/model'
export { Page } from '../sim/page'
export { Prng } from '../sim/prng'
