/**
 * Where a file's chroma samples sit among its pixels, and what they say: each is the mean of the pixels within half a step of it.
 *
 * So chroma made for every pixel is right only when its means are the samples again. `mended` brings it there: what is missing of each
 * sample is handed back to the pixels around, a few times. Source: iterative back-projection [irani1991].
 */
import type { ColourEncoding } from '../../../core/index.js'

/** Step from sample to sample and place of the first one, px. */
export interface Steps {
  readonly step: number
  readonly first: number
}

type Place = 'first' | 'middle' | 'last'

function stepsOf(sub: number, place: Place): Steps {
  const step = 1 << sub
  return { step, first: place === 'first' ? 0 : place === 'last' ? step - 1 : (step - 1) / 2 }
}

function sideOf(siting: ColourEncoding['siting']): Place {
  if (siting.endsWith('left')) return 'first'
  return siting.endsWith('right') ? 'last' : 'middle'
}

function levelOf(siting: ColourEncoding['siting']): Place {
  if (siting.startsWith('top')) return 'first'
  return siting.startsWith('bottom') ? 'last' : 'middle'
}

/** Across and down. */
export interface Sites {
  readonly across: Steps
  readonly down: Steps
}

export function sitesOf(subX: number, subY: number, siting: ColourEncoding['siting']): Sites {
  return { across: stepsOf(subX, sideOf(siting)), down: stepsOf(subY, levelOf(siting)) }
}

export interface Values {
  readonly width: number
  readonly height: number
  readonly data: ArrayLike<number>
}

/** Turns of handing back: a third of what is missing is left after each, about. */
const TURNS = 3

/** In place. @param made a value a pixel @param samples what their means shall be */
export function mended(
  made: { width: number; height: number; data: Float32Array },
  samples: Values,
  sites: Sites,
): void {
  const { width, height, data } = made
  const missing = new Float32Array(samples.width * samples.height)
  const columns = besideOf(sites.across, width, samples.width, 1)
  const rows = besideOf(sites.down, height, samples.height, samples.width)
  for (let turn = 0; turn < TURNS; turn++) {
    const means = meansAt(made, samples, sites)
    for (let q = 0; q < missing.length; q++) missing[q] = (samples.data[q] as number) - (means[q] as number)
    for (let y = 0, p = 0; y < height; y++) {
      const [j, k, v] = [rows.from[y] as number, rows.to[y] as number, rows.part[y] as number]
      for (let x = 0; x < width; x++, p++) {
        const [a, b, u] = [columns.from[x] as number, columns.to[x] as number, columns.part[x] as number]
        const above = (1 - u) * (missing[j + a] as number) + u * (missing[j + b] as number)
        const below = (1 - u) * (missing[k + a] as number) + u * (missing[k + b] as number)
        data[p] = (data[p] as number) + (1 - v) * above + v * below
      }
    }
  }
}

/** Of every pixel: where the samples to either side of it lie, `apart` from each other in memory, and how far it is on the way. */
function besideOf({ step, first }: Steps, length: number, count: number, apart: number) {
  const [from, to, part] = [new Int32Array(length), new Int32Array(length), new Float32Array(length)]
  for (let p = 0; p < length; p++) {
    const at = Math.min(Math.max((p - first) / step, 0), count - 1)
    from[p] = Math.floor(at) * apart
    to[p] = Math.min(Math.floor(at) + 1, count - 1) * apart
    part[p] = at - Math.floor(at)
  }
  return { from, to, part }
}

/** What the samples would be: the mean of what lies within half a step of each. */
export function meansAt(
  of: Values,
  { width, height }: Pick<Values, 'width' | 'height'>,
  { across, down }: Sites,
): Float32Array {
  const out = new Float32Array(width * height)
  const columns = coversOf(across, width, of.width)
  const rows = coversOf(down, height, of.height)
  const [m, n] = [columns.each, rows.each]
  const { data } = of
  for (let j = 0, q = 0; j < height; j++) {
    for (let i = 0; i < width; i++, q++) {
      let [sum, all] = [0, 0]
      for (let v = j * n; v < (j + 1) * n; v++) {
        const row = rows.at[v]! * of.width
        const wy = rows.part[v]!
        for (let u = i * m; u < (i + 1) * m; u++) {
          const w = wy * columns.part[u]!
          sum += w * (data[row + columns.at[u]!] as number)
          all += w
        }
      }
      out[q] = sum / all
    }
  }
  return out
}

/** Along one side: the pixels within half a step of each sample, as many for `each`, and the part of them that is. */
function coversOf({ step, first }: Steps, count: number, length: number) {
  const covers = Array.from({ length: count }, (_, k) => {
    const at = k * step + first
    return step === 1 ? [[at, 1] as const] : coverOf(at, step / 2)
  })
  const each = covers[0]?.length ?? 0
  const held = covers.flat()
  return {
    each,
    at: Int32Array.from(held, ([p]) => Math.min(Math.max(p, 0), length - 1)),
    part: Float64Array.from(held, ([, part]) => part),
  }
}

/** Pixels, each ½ to either side of its middle, and the part of them that lies within `half` of a place. */
function coverOf(at: number, half: number): (readonly [number, number])[] {
  const pixels: (readonly [number, number])[] = []
  for (let p = Math.floor(at - half); p <= Math.ceil(at + half); p++) {
    const part = Math.min(p + 0.5, at + half) - Math.max(p - 0.5, at - half)
    if (part > 0) pixels.push([p, part])
  }
  return pixels
}
