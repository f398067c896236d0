// What a new boat starts with, typed: the data lie in shared-proto/defaults, each item with its source.

import type { BodyTripStarted, CallWhat, CheckList, CrewHand, Preset, SpreadLine, Station } from 'proto'
import { calls } from '../../shared-proto/defaults/calls.json'
import { crew } from '../../shared-proto/defaults/crew.json'
import { lists } from '../../shared-proto/defaults/lists.json'
import { presets } from '../../shared-proto/defaults/presets.json'
import { spread } from '../../shared-proto/defaults/spread.json'

/** A boat-handling call: who says it, and to whom. */
export interface HandlingCall {
  what: CallWhat
  from: 'cockpit' | 'helm'
  to: Station
}

export const handlingCalls = calls as HandlingCall[]

/** The first entry of a trip on a boat that has written nothing of its own yet. */
export function firstTrip(name: string, no: number, aboard: CrewHand[]): BodyTripStarted {
  return {
    name,
    no,
    spread: spread as SpreadLine[],
    crew: aboard.length ? aboard : (crew as CrewHand[]),
    lists: lists as CheckList[],
    presets: presets as Preset[],
  }
}
