/**
 * Airlight and transmittance read off the plate.
 *
 *   airlight of the frame   where a horizon shows, the lowest sky on it; half and half with the lowest sky over the element where
 *                           something hides the horizon behind it. Else assumed: the middle colour of the brightest tenth, by
 *                           their darkest pixel, of the 15×15 patches in the third of the frame around the element, which may
 *                           be a wall or a road. The brightest patches of the whole frame [he2009] would find the sun; clipped
 *                           ones are left out.
 *   transmittance           1 − t = (b − J) / (A − J)     J: the frame's own nearest black
 *
 *   b black point of the place (10 %)   J the same black without air
 */
import { type FloatImage, median, type Reading, type Rgb } from '../../../core/index.js'

/** He, Sun & Tang 2009: patch of the dark channel. */
const PATCH = 15

/**
 * Airlight over the horizon near column `x`.
 *
 * @param clip linear value at which the plate's code ends: patches that reach it are left out
 */
export function airlightOfFrame(image: FloatImage, frame: number, x: number, clip: number): Reading<Rgb> {
  const { width } = image.region
  const third = width / 6
  const middle = Math.min(Math.max(x, third), width - third)
  const all = patches(image)
  const clipped = (p: PatchLight) => p.mean.some((m) => m > 0.95 * clip)
  const open = all.filter((p) => !clipped(p))
  const near = open.filter((p) => Math.abs(p.x + PATCH / 2 - middle) <= third)
  if (near.length < 40) return { cannotTell: 'too little of the picture near the element is unclipped' }
  const least = (p: PatchLight) => p.least[0] + p.least[1] + p.least[2]
  const bright = near.sort((a, b) => least(b) - least(a)).slice(0, Math.ceil(near.length / 10))
  const ends = skyEnds(all, clipped, x, least(bright[bright.length - 1] as PatchLight))
  const deep = Math.max(...ends.map((p) => p.y))
  const seen = ends.filter((p) => p.y >= deep - 2 * PATCH).slice(0, COLUMNS)
  if (seen.length < FEWEST) {
    const why =
      'no open sky is seen down to a horizon; the brightest smooth patches near the element are taken for it'
    return { value: middleColour(bright), evidence: { kind: 'assumed', why, confidence: 0.3 } }
  }
  const evidence = { kind: 'measured', frames: [frame], confidence: 0.5 } as const
  const line = middleColour(seen)
  const low = middleColour(ends.slice(0, COLUMNS))
  // The horizon beside the element may be nearer to the sun, the sky above what hides it is too high: the half of each is a choice.
  const away = Math.min(...seen.map((p) => Math.abs(p.x + PATCH / 2 - x)))
  const share = away <= third / 2 ? 1 : 0.5
  const value = [0, 1, 2].map((c) => share * (line[c] as number) + (1 - share) * (low[c] as number))
  const spread = Math.max(...line.map((v, c) => Math.abs(v - (low[c] as number)) / 2))
  const method =
    share === 1
      ? `sky patches of ${PATCH} px on the horizon by the element`
      : `mean of the sky patches on the nearest horizon that shows and of the lowest over the element, ${PATCH} px`
  return { value: [value[0], value[1], value[2]] as Rgb, evidence: { ...evidence, spread, method } }
}

function middleColour(few: readonly PatchLight[]): Rgb {
  const colour = (c: 0 | 1 | 2) => median(few.map((p) => p.mean[c]))
  return [colour(0), colour(1), colour(2)]
}

/** Columns of the horizon that are looked at, and fewest that make one. */
const COLUMNS = 6
const FEWEST = 3
/** Darkest pixel of a patch of open sky over its mean: a camera's noise alone is above, the sea's ripples below. */
const SMOOTH = 0.9

/**
 * Where the open sky ends, nearest to column `x` first: the last smooth and bright patch down each column of patches, before the
 * first dark one. Those that come within two patches of the lowest of all stand on the horizon. Only what comes down from the
 * frame's upper border and ends before the lower one is sky: a road that fills the frame does not end.
 *
 * @param bright sum of the channels' darkest pixels of the bright patches near the element
 */
function skyEnds(
  all: readonly PatchLight[],
  clipped: (p: PatchLight) => boolean,
  x: number,
  bright: number,
): PatchLight[] {
  const columns = new Map<number, { lowest?: PatchLight; ended: boolean }>()
  const sum = (v: Rgb) => v[0] + v[1] + v[2]
  for (const p of all) {
    const column = columns.get(p.x)
    if (column?.ended) continue
    const sky = sum(p.least) > Math.max(SMOOTH * sum(p.mean), 0.45 * bright)
    if (column === undefined) columns.set(p.x, { ended: !sky && !clipped(p) })
    else if (sum(p.mean) < 0.45 * bright) column.ended = true
    const known = columns.get(p.x)
    if (known !== undefined && !known.ended && sky && !clipped(p)) known.lowest = p
  }
  return [...columns.values()]
    .flatMap(({ lowest, ended }) => (ended && lowest !== undefined ? [lowest] : []))
    .sort((a, b) => Math.abs(a.x + PATCH / 2 - x) - Math.abs(b.x + PATCH / 2 - x))
}

/** Transmittance of a place from how far its black has risen towards the airlight; the mean of the channels. */
export function transmittanceOfPlace(
  black: Rgb,
  nearBlack: Rgb,
  airlight: Rgb,
  frame: number,
): Reading<number> {
  const risen = [0, 1, 2].map((c) => {
    const span = (airlight[c] as number) - (nearBlack[c] as number)
    return span > 0.01 ? ((black[c] as number) - (nearBlack[c] as number)) / span : Number.NaN
  })
  const known = risen.filter(Number.isFinite)
  if (known.length === 0) return { cannotTell: 'the air is no brighter than the nearest black' }
  const share = known.reduce((a, b) => a + b, 0) / known.length
  return {
    value: Math.min(Math.max(1 - share, 0.02), 1),
    evidence: {
      kind: 'measured',
      frames: [frame],
      method: "rise of the place's black point from the nearest black to the airlight",
      confidence: 0.5,
    },
  }
}

/** Darkest values of the darkest hundredth of the frame's patches. */
export function nearestBlack(image: FloatImage): Rgb {
  const all = patches(image).sort((a, b) => Math.min(...a.least) - Math.min(...b.least))
  const few = all.slice(0, Math.max(1, Math.ceil(all.length * 0.01)))
  const low = (c: 0 | 1 | 2) => few.reduce((s, p) => s + p.least[c], 0) / few.length
  return [low(0), low(1), low(2)]
}

interface PatchLight {
  readonly x: number
  readonly y: number
  readonly least: Rgb
  readonly mean: Rgb
}

/** The frame in whole patches. */
function patches(image: FloatImage): PatchLight[] {
  const { width, height } = image.region
  const out: PatchLight[] = []
  for (let y = 0; y + PATCH <= height; y += PATCH) {
    for (let x = 0; x + PATCH <= width; x += PATCH) out.push(patchLight(image, x, y))
  }
  return out
}

function patchLight(image: FloatImage, x0: number, y0: number): PatchLight {
  const least: [number, number, number] = [
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
  ]
  const sum: [number, number, number] = [0, 0, 0]
  for (let y = y0; y < y0 + PATCH; y++) {
    let i = 4 * (y * image.region.width + x0)
    for (let x = 0; x < PATCH; x++, i += 4) {
      for (const c of [0, 1, 2] as const) {
        const v = image.data[i + c] as number
        sum[c] += v
        if (v < least[c]) least[c] = v
      }
    }
  }
  const n = PATCH * PATCH
  return { x: x0, y: y0, least, mean: [sum[0] / n, sum[1] / n, sum[2] / n] }
}
