/**
 * Length: plate frames that the element lasts at its own speed, against those that it has to last.
 *
 * Limits (choices): it must last the whole range; down to 4/5 of it a slower playback or a loop may help.
 */
import { elementFrame } from '../../chain/shutter/cadence/model.js'
import type { Rate } from '../../media/index.js'
import { percent } from '../words.js'
import type { Line } from './types.js'
import { cannotTell, judge } from './verdict.js'

/** Share of the range that may be missing. */
const LIMITS = { fine: 1e-9, poor: 0.2 }

/** An end above this share of the element's fullest frame is a cut, not an end (a choice). */
const GONE = 0.05

/** Amounts of light or cover; the last frame's is absent when it was not looked at. */
export interface Ends {
  readonly first: number
  readonly most: number
  readonly last: number | undefined
}

export interface Lasting {
  /** Undefined when its files carry none and none was told; likewise the plate's. */
  readonly rate: Rate | undefined
  readonly plateRate: Rate | undefined
  readonly count: number
}

/** Plate frames that `count` element frames last. */
export function lasts(element: Rate, plate: Rate, count: number): number {
  // The nearest-frame rule may end half a frame off the plain quotient: from there to the first plate frame beyond the end.
  let n = Math.max(0, Math.floor((count * element.den * plate.num) / (element.num * plate.den)) - 2)
  while (elementFrame({ startFrame: 0, trimFrames: 0, element, plate, count }, n) !== undefined) n++
  return n
}

/**
 * @param needed told by a person; without it only what covers the whole plate can be called long enough
 * @param ends amounts of light or cover on the first, the fullest and the last frame looked at
 */
export function lengthLine(e: Lasting, needed: number | undefined, plateFrames: number, ends: Ends): Line {
  if (e.count > 1 && (e.rate === undefined || e.plateRate === undefined))
    return cannotTell(
      'length',
      `its ${e.count} frames have no rate`,
      e.rate === undefined ? 'tell --rate' : 'tell --plate-rate',
    )
  const own = e.count === 1 ? 1 : lasts(e.rate as Rate, e.plateRate as Rate, e.count)
  const range = needed ?? plateFrames
  const cut = e.count > 1 ? cutWords(ends) : ''
  const figure = `${own} of ${range} frames`
  const base = { name: 'length', value: own } as const
  if (own >= range)
    return {
      ...base,
      verdict: 'fine',
      worth: 1,
      figure: `${own} frames`,
      why: `lasts the ${range} frames ${needed === undefined ? 'of the whole plate' : 'asked for'}${cut}`,
    }
  if (needed === undefined) {
    const told = cannotTell(
      'length',
      `lasts ${own} of the plate's ${plateFrames} frames${cut}`,
      'tell --frames: how many it must last',
    )
    return { ...told, figure, value: own }
  }
  const missing = (range - own) / range
  return {
    ...base,
    ...judge(missing, LIMITS),
    figure,
    why: `${percent(missing)} of the range is missing${cut}; up to ${percent(LIMITS.poor)} is poor`,
    remedy:
      e.count === 1
        ? 'take one that moves'
        : 'start it later, lay a second one over its end, or take a longer one',
  }
}

function cutWords({ first, most, last }: Ends): string {
  if (!(most > 0)) return ''
  if (last === undefined) return '; how it ends was not looked at'
  const starts = first > GONE * most
  const stops = last > GONE * most
  if (starts && stops) return '; it is there from its first frame to its last'
  if (stops) return '; it begins from nothing and is cut off at its end'
  return starts ? '; it is there from its first frame and ends in nothing' : '; it begins and ends in nothing'
}
