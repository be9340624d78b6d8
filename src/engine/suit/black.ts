/**
 * What lies where the element is not, and the noise it brings along, after the gain that it will be given.
 *
 *   noise ratio = σₑ · gain · √min(1, scale²) / σₚ(level)      σₑ of the element, σₚ the plate's grain at that level
 *
 * Scaling down averages white noise away; enlarging leaves its size. Together with the plate's own grain the ratio q makes
 * √(1 + q²) times the plate's grain: 1.12 at 0.5, 1.41 at 1, where the check speaks.
 *
 * Limits (choices): noise 0.5 and 1 of the plate's grain; floor 2 and 10 % of white (it is taken off, but never quite
 * evenly); a veil of 0.4 % (one 8-bit code) and 2 % cover.
 */
import type { Reading } from '../../core/index.js'
import { told } from '../../core/index.js'
import { percent } from '../words.js'
import type { Line } from './types.js'
import { cannotTell, judge, short } from './verdict.js'

const NOISE = { fine: 0.5, poor: 1 }
const FLOOR = { fine: 0.02, poor: 0.1 }
const VEIL = { fine: 1 / 255, poor: 0.02 }

/** Factor on the element's light, and where it comes from. */
export interface Gain {
  readonly factor: number
  readonly words: string
  /** The exposure is not known yet: say how much more it bears. */
  readonly open: boolean
}

/** @param floor light in the empty part of a file on black, diffuse white = 1, before the gain */
export function floorLine(floor: Reading<number>, gain: Gain): Line {
  if (!told(floor)) return cannotTell('black floor', floor.cannotTell)
  const value = Math.max(floor.value * gain.factor, 0)
  return {
    name: 'black floor',
    ...judge(value, FLOOR),
    figure: `${percent(value)} of white`,
    value,
    why: `its empty black holds ${percent(value)} of white ${gain.words}; up to ${percent(FLOOR.fine)} is fine, up to ${percent(FLOOR.poor)} poor`,
    ...(value <= FLOOR.fine
      ? {}
      : { remedy: 'export it at its right range, or take one shot on a deeper black' }),
  }
}

/** @param veil cover in the empty part of a file with alpha */
export function veilLine(veil: Reading<number>): Line {
  if (!told(veil)) return cannotTell('black floor', veil.cannotTell)
  const value = Math.max(veil.value, 0)
  return {
    name: 'black floor',
    ...judge(value, VEIL),
    figure: value === 0 ? 'none' : `${percent(value)} cover`,
    value,
    why: `where it is empty its alpha covers ${percent(value)}; up to ${percent(VEIL.fine)} is fine, up to ${percent(VEIL.poor)} poor`,
    ...(value <= VEIL.fine ? {} : { remedy: 'it lays a veil over the plate: key it harder, or crop it' }),
  }
}

/**
 * @param sigma standard deviation of its noise, linear, before the gain
 * @param grain the plate's grain where it stands, linear, and where that is
 * @param covers whether it is that of what covers, not that of its black
 */
export function noiseLine(
  sigma: Reading<number>,
  grain: Reading<{ readonly sigma: number; readonly where: string }>,
  gain: Gain,
  scale: number | undefined,
  covers: boolean,
): Line {
  if (!told(sigma)) return cannotTell('noise', sigma.cannotTell)
  if (!told(grain)) return cannotTell('noise', `the plate's grain: ${grain.cannotTell}`)
  const shrink = scale === undefined ? 1 : Math.min(1, scale)
  const ratio = (sigma.value * gain.factor * shrink) / grain.value.sigma
  const judged = judge(ratio, NOISE)
  const of = covers ? 'its own grain is' : 'the noise of its black is'
  return {
    name: 'noise',
    ...judged,
    figure: `${short(ratio)} × grain`,
    value: ratio,
    why: `${of} ${short(ratio)} of the plate's grain ${grain.value.where} ${gain.words}${headroom(ratio, gain)}; up to ${NOISE.fine} is fine, up to ${NOISE.poor} poor`,
    ...(ratio <= NOISE.fine ? {} : { remedy: 'take a cleaner one, or stand it smaller' }),
  }
}

function headroom(ratio: number, gain: Gain): string {
  if (!gain.open || !(ratio > 0) || ratio > NOISE.fine) return ''
  return `, and bears ${Math.log2(NOISE.fine / ratio).toFixed(1)} stops more`
}
