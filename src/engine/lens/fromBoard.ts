/**
 * The plate's distortion from footage of a calibration pattern that the same lens filmed.
 *
 * Views are calibrated together; points far off are left out and the rest calibrated again. The term of the sixth degree is sought and
 * kept only where it is three of its spreads from 0. A spread is the larger of what the library tells (from the points' own noise)
 * and of what leaving out each fifth of the views in turn changes [efron1982]: a board that is not flat does not show as noise.
 */
import { Problem, type Reading } from '../../core/index.js'
import { type Calibrated, calibrate, openVision, type PatternView, type Vision } from '../../vision/index.js'
import type { Picture } from '../plan.js'
import { tracker } from '../progress.js'
import type { Job } from '../types.js'
import { type Board, type Views, viewsOf } from './views.js'
import type { LensFound } from './write.js'

export interface BoardAsked {
  readonly board: Board
  readonly files: readonly string[]
}

/** Power of each term in units of length. */
const POWERS = [2, 4, 1, 1, 6] as const
/** Fewer views leave focal length and distortion mixed up: a choice; three are the least that tell anything. */
const FEWEST = 5
/** Points that are so many robust spreads off are none. */
const FAR = 6
const GROUPS = 5
/** Spreads from 0 from which on the sixth degree is kept. */
const KEPT = 3
/** A spread of k1 from which on nothing is told: a corner of 16:9 is uncertain by 2 % of half the short side. */
const TOO_WIDE = 0.005
/** How much one aspect may differ from the other. */
const ALIKE = 0.01
const NAMES = ['k1', 'k2', 'p1', 'p2', 'k3']

/** @throws Problem `lens.footage-shape`, as `openSource` */
export async function fromBoard(
  plate: Pick<Picture, 'width' | 'height'>,
  { board, files }: BoardAsked,
  job: Job,
): Promise<{ readonly reading: Reading<LensFound>; readonly said: readonly string[] }> {
  const vision = await openVision()
  const tick = tracker(job, 'lens', 100)
  const seen = await viewsOf(files, board, vision, job, (done, all) => tick(Math.floor((99 * done) / all)))
  checkShape(seen, plate, files)
  tick(100)
  return fromViews(seen, board.kind, vision)
}

/** Of views that were found. */
export function fromViews(
  { views, width, height, looked }: Views,
  kind: Board['kind'],
  vision: Vision,
): { readonly reading: Reading<LensFound>; readonly said: readonly string[] } {
  if (views.length < FEWEST) {
    const cannotTell = `the ${kind} is found in ${views.length} different ${views.length === 1 ? 'view' : 'views'} of ${looked} frames; it takes ${FEWEST} at least, each leaning another way`
    return { reading: { cannotTell }, said: [] }
  }
  const [clean, left] = cleaned(views, calibrate(vision, views, width, height, false))
  const long = calibrate(vision, clean, width, height, true)
  const withK3 = Math.abs(long.terms[4] as number) > KEPT * (long.spread.terms[4] as number)
  const found = withK3 ? long : calibrate(vision, clean, width, height, false)
  const unit = Math.min(width, height) / 2
  const inUnit = (k: number, i: number) => k * (unit / found.focal) ** (POWERS[i] as number)
  const terms = found.terms.map(inUnit)
  const spreads = spreadsOf(vision, clean, width, height, withK3, found).map(inUnit)
  if ((spreads[0] as number) > TOO_WIDE) {
    const cannotTell = `k1 = ${short(terms[0] as number)} ± ${short(spreads[0] as number)}, too uncertain to be of use: show the ${kind} nearer to the picture's corners, leaning other ways`
    return { reading: { cannotTell }, said: [] }
  }
  const each = NAMES.map((n, i) => `${n} ${short(terms[i] as number)} ± ${short(spreads[i] as number)}`)
  const [x, y] = [found.middle[0] - width / 2, found.middle[1] - height / 2]
  const axis = [x / unit, y / unit] as const
  const told = each.slice(0, withK3 ? 5 : 4).join(', ')
  const points = clean.reduce((n, v) => n + v.seen.length, 0)
  return {
    reading: {
      value: { form: 'brown-conrady', terms, axis },
      evidence: {
        kind: 'measured',
        frames: views.map((v) => v.frame),
        method: `${kind} footage, ${points} points of ${views.length} views, ${short(found.rms)} px rms: ${told}`,
        spread: spreads[0] as number,
        confidence: 0.95,
      },
    },
    said: [
      `focal length ${found.focal.toFixed(1)} ± ${short(found.spread.focal)} px of ${width} px`,
      `the lens's axis meets the picture ${x.toFixed(1)}, ${y.toFixed(1)} px from its middle`,
      ...(left === 0 ? [] : [`${left} points far off were left out`]),
    ],
  }
}

/** Views without points that are far off, and how many those were. */
function cleaned(views: readonly PatternView[], { off }: Calibrated): readonly [PatternView[], number] {
  const all = off.flat().toSorted((a, b) => a - b)
  const limit = FAR * (all[all.length >> 1] as number)
  let left = 0
  const clean = views.map(({ seen, lies }, i) => {
    const good = seen.map((_, p) => (off[i]?.[p] as number) <= limit)
    left += good.filter((g) => !g).length
    return { seen: seen.filter((_, p) => good[p]), lies: lies.filter((_, p) => good[p]) }
  })
  return [clean.filter((v) => v.seen.length >= 8), left]
}

/** In focal lengths. */
function spreadsOf(
  vision: Vision,
  views: readonly PatternView[],
  width: number,
  height: number,
  withK3: boolean,
  found: Calibrated,
): number[] {
  const without = Array.from(
    { length: Math.min(GROUPS, views.length) },
    (_, g) =>
      calibrate(
        vision,
        views.filter((_, i) => i % GROUPS !== g),
        width,
        height,
        withK3,
      ).terms,
  )
  const n = without.length
  return found.terms.map((_, k) => {
    const values = without.map((t) => t[k] as number)
    const mean = values.reduce((a, b) => a + b) / n
    const jackknife = Math.sqrt(((n - 1) / n) * values.reduce((s, v) => s + (v - mean) ** 2, 0))
    return Math.max(jackknife, found.spread.terms[k] as number)
  })
}

function checkShape(seen: Views, plate: Pick<Picture, 'width' | 'height'>, files: readonly string[]): void {
  const [a, b] = [seen.width / seen.height, plate.width / plate.height]
  if (Math.abs(a / b - 1) <= ALIKE) return
  throw new Problem({
    code: 'lens.footage-shape',
    what: 'This footage shows another part of the lens than the plate',
    where: files[0] ?? '--footage',
    expected: `pictures as wide for their height as the plate's ${plate.width}×${plate.height}`,
    received: `${seen.width}×${seen.height}`,
    remedy: 'Film the pattern with the settings of the plate.',
  })
}

function short(v: number): string {
  return String(Number(v.toPrecision(2)))
}
