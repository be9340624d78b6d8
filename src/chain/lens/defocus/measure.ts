/**
 * How much the lens blurred a part of the plate, and into which shape.
 *
 * Two ways. Edges (`edges/`): how soft is what stands free. The spectrum (`spectrum.ts`): a disc leaves rings at which nothing is left,
 * which tell the radius ten times finer where pictures are whole. A codec hides them: on 8-bit 4:2:0 movies the spectrum alone says 0.4 to 1 px
 * whatever the blur, since what the codec leaves looks like fine detail. So
 *
 *   edges told, lossless      the spectrum, among the radii that the edges allow
 *   edges told, coded         the same on the picture halved until the blur is 1.7 to 3.4 px, where the codec's noise is averaged out;
 *                             the edges alone below 3.4 px
 *   few edges, lossless       the spectrum alone
 *   few edges, coded          the spectrum, where two sizes of the picture say the same
 *
 * Where edges speak alone they are asked a second way, by blurring them once more (`edges/reblur.ts`); where that says another radius, by two
 * spreads and more, what was found is less sure. Beside a spectrum that tells, it says nothing new.
 *
 * The edges allow radii within the greater of 3 spreads and a factor of 1.57. Rules and limits are choices, which the round trips hold to.
 */
import type { Reading, Region } from '../../../core/index.js'
import type { Window } from '../../../kernels/index.js'
import { type EdgeBlur, type EdgesSilent, measureEdges } from './edges/measure.js'
import { borneOut } from './edges/reblur.js'
import { halved } from './edges/scales.js'
import { type SpectrumBlur, spectrumBlur } from './spectrum.js'
import type { Shape } from './transfer.js'

export interface Blur {
  /** Radius of the disc that blurs as much, px. */
  readonly radius: number
  /** Undefined where both explain it as well. */
  readonly shape: Shape | undefined
}

/** Shorter side of a window, px, at least. */
export const LEAST_WINDOW = 48
const ALLOWED = 0.45
const WIDE = 1.7
const MOST_HALVED = 4
/** What a codec leaves of error in a spectrum of the halved picture, as a share; and how far two sizes may differ. */
const CODED_SHARE = 0.025
const ALIKE = 0.06
/** A slope with noise has a spectrum too, and one that looks like a very soft scene's; it has no edge. */
const LEAST_EDGES = 2
const WIDEST_SHARE = 0.3
const WIDEST_PX = 0.5
/** How sure is what the second way does not bear out: a choice. */
const DOUBTED = 0.5

/**
 * @param window linear luminance of one part of one frame
 * @param region that part, in plate pixels; `frame` counts from the file's first
 * @param coded its file is a movie that a codec changed
 */
export function measureBlur(window: Window, frame: number, region: Region, coded: boolean): Reading<Blur> {
  if (Math.min(window.width, window.height) < LEAST_WINDOW)
    return {
      cannotTell: `the part is ${window.width}×${window.height} px; a blur needs ${LEAST_WINDOW} px at least to show`,
    }
  const edges = measureEdges(window)
  const found = 'radius' in edges ? byEdges(window, edges, coded) : bySpectrum(window, coded, edges)
  if ('cannotTell' in found) return found
  const { radius, spread, shape, method, doubted = false } = found
  if (spread > WIDEST_SHARE * radius + WIDEST_PX) {
    const [low, high] = [Math.max(radius - 2 * spread, 0), radius + 2 * spread]
    return { cannotTell: `it may be blurred by ${low.toFixed(1)} to ${high.toFixed(1)} px` }
  }
  const confidence = doubted ? DOUBTED : coded ? 0.7 : 0.8
  return {
    value: { radius, shape },
    evidence: { kind: 'measured', frames: [frame], region, method, spread, confidence },
  }
}

interface Found extends SpectrumBlur {
  readonly method: string
  readonly doubted?: boolean
}

function byEdges(window: Window, edges: EdgeBlur, coded: boolean): Found {
  const { radius, spread } = edges
  const alone = byEdgesAlone(edges)
  let times = 1
  while (coded && times < MOST_HALVED && radius / (2 * times) >= WIDE) times *= 2
  if (coded && times === 1) return alone
  const factor = Math.exp(Math.max(ALLOWED, (3 * spread) / radius))
  const finer = smaller(window, times, coded, [radius / factor, radius * factor])
  if ('cannotTell' in finer) return alone
  return {
    ...finer,
    method: `${softness(edges)}, then rings and fall of the spectrum among the radii that they allow`,
  }
}

function byEdgesAlone(edges: EdgeBlur): Found {
  const { radius, spread, shape, again } = edges
  const agrees = borneOut(edges, again)
  const says = agrees === false ? `${again.radius.toFixed(1)} px` : 'the same'
  const more = agrees === undefined ? '' : `; blurred once more they say ${says}`
  return { radius, spread, shape, method: `${softness(edges)}${more}`, doubted: agrees === false }
}

function softness({ edges }: EdgeBlur): string {
  return `softness of ${edges} edges along their normals`
}

function bySpectrum(
  window: Window,
  coded: boolean,
  { cannotTell: why, edges }: EdgesSilent,
): Found | { cannotTell: string } {
  if (edges < LEAST_EDGES) return { cannotTell: why }
  const method = 'rings and fall of the spectrum against a sharp scene blurred by each radius'
  if (!coded) {
    const whole = spectrumBlur(window)
    return 'cannotTell' in whole ? whole : { ...whole, method }
  }
  const [half, quarter] = [smaller(window, 2, true), smaller(window, 4, true)]
  if ('cannotTell' in half || 'cannotTell' in quarter) return { cannotTell: why }
  if (Math.abs(Math.log(half.radius / quarter.radius)) > ALIKE || half.radius < 4 * WIDE)
    return { cannotTell: why }
  return { ...half, method: `${method}, at a half and a quarter of its size alike` }
}

/** The spectrum of the picture so many times smaller. @param among radii in plate px */
function smaller(
  window: Window,
  times: number,
  coded: boolean,
  among?: readonly [number, number],
): SpectrumBlur | { cannotTell: string } {
  let picture = window
  for (let m = 1; m < times; m *= 2) picture = halved(picture)
  if (Math.min(picture.width, picture.height) < LEAST_WINDOW) return { cannotTell: 'the part is too small' }
  const found = spectrumBlur(picture, among && [among[0] / times, among[1] / times])
  if ('cannotTell' in found) return found
  const radius = times * found.radius
  const spread = Math.hypot(times * found.spread, coded ? CODED_SHARE * radius : 0)
  return { ...found, radius, spread }
}
