import type { FloatImage, Rgb } from '../../../core/index.js'
import {
  curveTable,
  straightCurves,
  type ThreeEnds,
  type ThreeTables,
  tableEnds,
} from '../../../kernels/index.js'
import { channelMatch, type Points } from './model.js'

/** What the tables of a match hold. */
export function matchEnds(from: Points, to: Points): ThreeEnds {
  const ends = (channel: 0 | 1 | 2) => tableEnds(channelMatch(from, to, channel))
  return [ends(0), ends(1), ends(2)]
}

/** The match of the three channels as tables: made once a shot, for whole pictures. */
export function matchTables(from: Points, to: Points, ends = matchEnds(from, to)): ThreeTables {
  const table = (channel: 0 | 1 | 2) => curveTable(channelMatch(from, to, channel), ends[channel])
  return [table(0), table(1), table(2)]
}

/**
 * In place: straight colour of a premultiplied picture goes through the match; where alpha is 0 nothing is changed.
 *
 * @param luminance given for what keeps its own colour (blood is red in any light): its luminance goes through the curves,
 * which bring the plate's light, and its colour comes back as its ratio to that luminance
 */
export function applyMatch(image: FloatImage, match: ThreeTables, luminance?: Rgb): void {
  straightCurves(image, match, luminance)
}
