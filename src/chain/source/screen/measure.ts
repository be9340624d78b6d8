/**
 * The screen off frames themselves: its colour once, as the fullest cell of chroma among what is saturated or at a place that is shown;
 * then its light by place, frame by frame, fitted to what has that colour and again to what lies near the fit.
 *
 *   near   every channel of √light within 4 σ of the fit, σ from the median of what is left of it
 *
 * A frame that shows less than a fiftieth of it cannot tell. Robust fit in turns: iteratively trimmed least squares; limits are choices.
 */
import { Matrix, solve } from 'ml-matrix'
import { type FloatImage, log2, median, pow, type Reading } from '../../../core/index.js'
import { type Areas, FREE } from './areas.js'
import { type Screen, TERMS, termsAt } from './model.js'

const CELLS = 50
/** Of shares of red and green, about the screen's own. */
const REACH = 0.06
/** How far √light over a clean plate's may be off what it is nearly everywhere, to begin with. */
const CLEAN = 0.12
/** log₂ of 2 % of √light. */
const RATIO = 0.0286
/** Sum of channels below which a colour says nothing, and least (most − least) / most of a screen. */
const DARKEST = 0.03
const SATURATED = 0.6
const LEAST_SHARE = 0.02
const TURNS = 4
const NEAR = 4
/** σ of √light is no less: half a step of 8 bits. */
const LEAST_NOISE = 0.002
/** Pixels that a fit looks at, evenly picked: enough for 18 numbers, and for medians. */
const LOOKED = 8_000

/** Shares of red and green in the sum of its channels. */
export interface ScreenColour {
  readonly r: number
  readonly g: number
}

const GREY = 'nothing there has a saturated colour'

/** Searches frames of a file for the colour of the screen: the fullest cell of chroma of all that is saturated. */
export class ColourSearch {
  readonly #counts = new Float64Array((CELLS + 2) * (CELLS + 2))

  /** @param light opaque linear light of a whole frame */
  add(light: FloatImage, areas?: Areas): void {
    for (const p of pickedOf(light, areas)) count(this.#counts, coloursAt(light, p))
  }

  found(): Reading<ScreenColour> {
    const counts = this.#counts
    let best = 0
    for (let i = 1; i < counts.length; i++) if ((counts[i] as number) > (counts[best] as number)) best = i
    if (counts[best] === 0) return { cannotTell: GREY }
    const r = ((best % (CELLS + 2)) - 0.5) / CELLS
    const g = (Math.floor(best / (CELLS + 2)) - 0.5) / CELLS
    return toldBy({ r, g }, 'fullest cell of saturated chroma')
  }
}

/** The colour at a place that shows the screen alone: the median of a square of 9 px. */
export function screenColourAt(light: FloatImage, x: number, y: number): Reading<ScreenColour> {
  const [r, g, b] = lightAbout(light, x, y)
  if (!isSaturated(r, g, b)) return { cannotTell: GREY }
  const [a, c] = sharesOf(r, g, b)
  return toldBy({ r: a, g: c }, 'median about a place that was shown')
}

/** Of a wall without hue the light itself there; undefined where there is hardly any, which says nothing of how it is lit. */
export function wallLightAt(light: FloatImage, x: number, y: number): [number, number, number] | undefined {
  const own = lightAbout(light, x, y)
  return own[0] + own[1] + own[2] > DARKEST ? own : undefined
}

function lightAbout(light: FloatImage, x: number, y: number): [number, number, number] {
  const { width, height } = light.region
  const near: [number, number, number][] = []
  for (let v = Math.max(Math.round(y) - 4, 0); v <= Math.min(Math.round(y) + 4, height - 1); v++)
    for (let u = Math.max(Math.round(x) - 4, 0); u <= Math.min(Math.round(x) + 4, width - 1); u++)
      near.push(coloursAt(light, v * width + u))
  return ([0, 1, 2] as const).map((c) => median(near.map((n) => n[c]))) as [number, number, number]
}

function toldBy(value: ScreenColour, method: string): Reading<ScreenColour> {
  return { value, evidence: { kind: 'measured', frames: [], method, confidence: 0.8 } }
}

/**
 * @param light opaque linear light of a whole frame
 * @param of the screen's colour, or the roots of a clean plate of any colour (`plateRoots`): then how much brighter or darker the screen is now
 * @param areas what a person drew: only what is free of it is looked at
 */
export function measureScreen(
  light: FloatImage,
  frame: number,
  of: ScreenColour | FloatImage,
  areas?: Areas,
): Reading<Screen> {
  const { width, height } = light.region
  const picks = pickedOf(light, areas)
  const clean = 'data' in of ? of : undefined
  let mine = 'data' in of ? cleanOnes(light, picks, of) : picks.filter((p) => isNear(light, p, of))
  const least = LEAST_SHARE * picks.length
  let terms: Screen['terms'] = [[], [], []]
  let noise: [number, number, number] = [0, 0, 0]
  for (let turn = 0; turn < TURNS; turn++) {
    if (mine.length < least)
      return {
        cannotTell: `less than ${100 * LEAST_SHARE} % of the frame ${clean ? 'is as on the clean plate' : 'has the colour of a screen'}`,
      }
    terms = fitted(light, mine, clean)
    const left = leftOf(light, picks, { width, height, terms, noise }, clean)
    const kept = new Set(mine)
    for (const c of [0, 1, 2] as const) {
      const own = left[c].filter((_, k) => kept.has(picks[k] as number))
      noise[c] = Math.max(1.482602 * median(own.map(Math.abs)), LEAST_NOISE)
    }
    const limits = noise.map((s) => NEAR * s)
    mine = picks.filter((_, k) => left.every((l, c) => Math.abs(l[k] as number) < (limits[c] as number)))
  }
  noise = [noise[0], noise[1], noise[2]]
  return {
    value: { width, height, terms, noise },
    evidence: {
      kind: 'measured',
      frames: [frame],
      method: `light of what ${clean ? 'is as on the clean plate' : "has the screen's colour"}, ${((100 * mine.length) / picks.length).toFixed(0)} % of the frame`,
      spread: Math.max(...noise),
      confidence: 0.8,
    },
  }
}

function pickedOf({ region: { width, height } }: FloatImage, areas: Areas | undefined): number[] {
  const step = Math.max(1, Math.floor(Math.sqrt((width * height) / LOOKED)))
  const out: number[] = []
  for (let y = step >> 1; y < height; y += step)
    for (let x = step >> 1; x < width; x += step)
      if (areas === undefined || areas[y * width + x] === FREE) out.push(y * width + x)
  return out
}

type Shares = readonly [number, number]

function sharesOf(r: number, g: number, b: number): Shares {
  const sum = Math.max(r + g + b, 1e-9)
  return [r / sum, g / sum]
}

function coloursAt({ data }: FloatImage, p: number): [number, number, number] {
  return [data[4 * p] as number, data[4 * p + 1] as number, data[4 * p + 2] as number]
}

function isSaturated(r: number, g: number, b: number): boolean {
  const most = Math.max(r, g, b)
  return r + g + b > DARKEST && most - Math.min(r, g, b) > SATURATED * most
}

/** Into the colour's cell and its neighbours. */
function count(counts: Float64Array, c: [number, number, number]): void {
  if (!isSaturated(...c)) return
  const [r, g] = sharesOf(...c)
  const cell = (v: number) => Math.min(Math.max(Math.floor(v * CELLS), 0), CELLS - 1)
  for (let j = 0; j < 3; j++)
    for (let i = 0; i < 3; i++) {
      const at = (cell(g) + j) * (CELLS + 2) + cell(r) + i
      counts[at] = (counts[at] as number) + 1
    }
}

function isNear(light: FloatImage, p: number, { r, g }: ScreenColour): boolean {
  const c = coloursAt(light, p)
  if (!isSaturated(...c)) return false
  const [a, b] = sharesOf(...c)
  return (a - r) ** 2 + (b - g) ** 2 < REACH * REACH
}

/** Pixels that are as much brighter or darker than on the clean plate as most are, channel by channel: cameras expose anew. */
function cleanOnes(light: FloatImage, picks: readonly number[], clean: FloatImage): number[] {
  const ratio = (p: number, c: number) =>
    root(light.data[4 * p + c] as number) / (clean.data[4 * p + c] as number)
  const usual = [0, 1, 2].map((c) => fullest(picks.map((p) => ratio(p, c))))
  return picks.filter((p) => usual.every((u, c) => Math.abs(ratio(p, c) - u) < CLEAN * u))
}

/** Middle of the fullest of bins 2 % apart and half a `CLEAN` wide to either side. */
function fullest(ratios: readonly number[]): number {
  const bins = new Map<number, number>()
  for (const r of ratios) {
    if (!(r > 0)) continue
    const bin = Math.round(log2(r) / RATIO)
    bins.set(bin, (bins.get(bin) ?? 0) + 1)
  }
  const about = (bin: number) => [-3, -2, -1, 0, 1, 2, 3].reduce((n, k) => n + (bins.get(bin + k) ?? 0), 0)
  const best = [...bins.keys()].reduce((a, b) => (about(b) > about(a) ? b : a), 0)
  return pow(2, best * RATIO)
}

const root = (v: number) => Math.sqrt(Math.max(v, 0))

function fitted(light: FloatImage, mine: readonly number[], clean: FloatImage | undefined): Screen['terms'] {
  const { width, height } = light.region
  const normal = Matrix.zeros(TERMS, TERMS)
  const right = Matrix.zeros(TERMS, 3)
  const at = new Float64Array(TERMS)
  for (const p of mine) {
    termsAt({ width, height }, p % width, Math.floor(p / width), at)
    const colours = coloursAt(light, p).map((v, c) => root(v) / cleanAt(clean, p, c))
    for (let j = 0; j < TERMS; j++) {
      for (let k = 0; k < TERMS; k++)
        normal.set(j, k, normal.get(j, k) + (at[j] as number) * (at[k] as number))
      for (let c = 0; c < 3; c++)
        right.set(j, c, right.get(j, c) + (at[j] as number) * (colours[c] as number))
    }
  }
  // A screen that is seen in one spot alone says nothing of its slopes: they go to 0.
  for (let j = 1; j < TERMS; j++) normal.set(j, j, normal.get(j, j) + 1e-3 * mine.length)
  const x = solve(normal, right)
  return [x.getColumn(0), x.getColumn(1), x.getColumn(2)]
}

/** √light less the fit, channel by channel, at the pixels looked at. */
function leftOf(
  light: FloatImage,
  picks: readonly number[],
  screen: Screen,
  clean: FloatImage | undefined,
): [number[], number[], number[]] {
  const { width, terms } = screen
  const at = new Float64Array(TERMS)
  const left: [number[], number[], number[]] = [[], [], []]
  for (const p of picks) {
    termsAt(screen, p % width, Math.floor(p / width), at)
    for (const c of [0, 1, 2] as const) {
      const fit = (terms[c] as readonly number[]).reduce((sum, v, k) => sum + v * (at[k] as number), 0)
      left[c].push(root(light.data[4 * p + c] as number) - fit * cleanAt(clean, p, c))
    }
  }
  return left
}

function cleanAt(clean: FloatImage | undefined, p: number, c: number): number {
  return clean === undefined ? 1 : (clean.data[4 * p + c] as number)
}
