/**
 * How an element comes off its ground: by alpha, by black, by a key colour, or not at all.
 *
 * Looked at along the outermost cells of the frames, in code values: black where all channels stay below 0.06 (as for a first
 * document); green or blue where that channel leads the others by a fifth of itself and by 0.06 over at least half of the border.
 * Limits: choices.
 */

import type { AlphaKind } from '../../chain/source/alpha/apply.js'
import type { FloatImage } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import type { Line } from './types.js'

export interface CutOut {
  readonly kind: 'alpha' | 'on-black' | 'keyed' | 'whole'
  readonly alpha: AlphaKind
  readonly key?: 'green' | 'blue'
  readonly why: string
}

const BLACK = 0.06
const LEAD = 1.2
const LEAST_LEAD = 0.06
const KEYED_SHARE = 0.5
/** The border is looked at every so many pixels. */
const STEP = 4

/** @param codes pictures of code values, alpha as stored */
export function cutOutOf(
  codes: readonly FloatImage[],
  info: Pick<SourceInfo, 'layout' | 'codec' | 'alphaHint'>,
): CutOut {
  if (info.layout.alpha && codes.some(varies)) {
    const exr = /exr/i.test(info.codec)
    const alpha = info.alphaHint?.kind ?? (exr ? 'premultiplied' : 'straight')
    return {
      kind: 'alpha',
      alpha,
      why: `alpha, taken as ${alpha}: ${info.alphaHint?.why ?? `${info.codec} files are so by convention`}`,
    }
  }
  const shares = codes.map(borderShares)
  const least = (of: 'green' | 'blue') => Math.min(...shares.map((s) => s[of]))
  const constant = info.layout.alpha ? 'its alpha covers everything; ' : ''
  if (shares.every((s) => s.black))
    return { kind: 'on-black', alpha: 'on-black', why: `${constant}its corners are black` }
  for (const key of ['green', 'blue'] as const)
    if (least(key) >= KEYED_SHARE)
      return { kind: 'keyed', alpha: 'none', key, why: `${constant}${key} along its border` }
  return {
    kind: 'whole',
    alpha: 'none',
    why: `${constant}no alpha, and its border is neither black nor of a key colour`,
  }
}

interface Shares {
  readonly green: number
  readonly blue: number
  /** All four corners. */
  readonly black: boolean
}

function varies({ data }: FloatImage): boolean {
  const first = data[3] as number
  if (first < 0.999) return true
  for (let i = 7; i < data.length; i += 4) if (Math.abs((data[i] as number) - first) > 1e-3) return true
  return false
}

function borderShares({ region, data }: FloatImage): Shares {
  const { width, height } = region
  let [green, blue, count] = [0, 0, 0]
  const look = (x: number, y: number) => {
    const i = 4 * (y * width + x)
    const [r, g, b] = [data[i] as number, data[i + 1] as number, data[i + 2] as number]
    count++
    if (g > LEAD * Math.max(r, b) && g > Math.max(r, b) + LEAST_LEAD) green++
    if (b > LEAD * Math.max(r, g) && b > Math.max(r, g) + LEAST_LEAD) blue++
  }
  for (let x = 0; x < width; x += STEP) {
    look(x, 0)
    look(x, height - 1)
  }
  for (let y = STEP; y < height - 1; y += STEP) {
    look(0, y)
    look(width - 1, y)
  }
  return { green: green / count, blue: blue / count, black: cornersBlack(data, width, height) }
}

/** Mean of each corner, a sixteenth of width and height, stays black in every channel. */
function cornersBlack(data: Float32Array, width: number, height: number): boolean {
  const w = Math.max(1, width >> 4)
  const h = Math.max(1, height >> 4)
  for (const x0 of [0, width - w]) {
    for (const y0 of [0, height - h]) {
      const sum = [0, 0, 0]
      for (let y = y0; y < y0 + h; y++)
        for (let i = 4 * (y * width + x0), end = i + 4 * w; i < end; i += 4)
          for (let c = 0; c < 3; c++) sum[c] = (sum[c] as number) + (data[i + c] as number)
      if (Math.max(...sum) >= BLACK * w * h) return false
    }
  }
  return true
}

export function cutOutLine(cut: CutOut): Line {
  const fine = { name: 'cut-out', verdict: 'fine', worth: 1, why: cut.why } as const
  switch (cut.kind) {
    case 'alpha':
      return { ...fine, figure: `${cut.alpha} alpha` }
    case 'on-black':
      return { ...fine, figure: 'light on black' }
    case 'keyed':
      return { ...fine, worth: 0.9, figure: `${cut.key} screen` }
    case 'whole':
      return {
        name: 'cut-out',
        verdict: 'cannot tell',
        worth: 0.5,
        figure: 'whole picture',
        why: cut.why,
        remedy: 'it needs a matte before it can stand in a plate',
      }
  }
}
