// The numbers of a debrief by short names: shared-proto/schema/debrief.json has them all.

export type {
  Debrief, DebriefTrip as Trip, DebriefFilter as Filter, DebriefPosition as Position, DebriefCall as Call, DebriefFight as Fight,
  DebriefFish as Fish, DebriefEffortGroup as EffortGroup, DebriefRatio as Ratio, DebriefTimes as Times, DebriefEvent as Event, DebriefCardLine as CardLine, DebriefJob as Job,
  DebriefStrike as Strike,
} from 'debrief'
