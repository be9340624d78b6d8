/**
 * Alpha kind, by how the stored colour goes with alpha where it is between nothing and all.
 *
 *   straight               c ∝ α⁰        premultiplied on black   c ∝ α¹        multiplied twice   c ∝ α²
 *   premultiplied on white 1 − d ∝ α¹    and d ≥ 1 − α throughout; d: the darkest channel
 *
 * c: the brightest channel, in the file's codes (that is how programs multiply them). Over 32 steps of α from 0.06 to 0.94 the mean and the
 * 90 % quantile of c give each an exponent by a weighted fit of ln c on ln α. Both must agree within 0.5: an element whose own
 * colour goes with its cover (a flame's core) has no clear exponent, and is told only by bounds: c > α cannot be
 * premultiplied (unless it glows), c ≤ α in all of many bright pixels hardly straight. Source: [porter1984].
 */
import type { ColourEncoding } from '../../core/index.js'
import { quantile, sorted } from '../../core/index.js'
import { cannotTell, type Finding, percent, rounded } from './finding.js'
import { codesOf, type Still } from './still.js'

const CODE = 'diagnose.alpha'
const METHOD = 'regression of colour on alpha over its edges'
const STEPS = 32
const LEAST = 300
const ENOUGH = 12

export type AlphaFound =
  | 'none'
  | 'constant'
  | 'straight'
  | 'premultiplied'
  | 'on white'
  | 'doubly multiplied'
  | 'unknown'

export interface AlphaLook {
  readonly pixels: number
  readonly lowest: number
  readonly highest: number
  readonly edges: number
  /** Share of pixels where α = 0 and there is light. */
  readonly glow: number
  /** Share of α = 0 pixels that are white. */
  readonly whiteOutside: number
  /** Exponents of c, and of 1 less the darkest channel: of the mean and of the 90 % quantile. */
  readonly powers: readonly [number, number] | undefined
  readonly whitePowers: readonly [number, number] | undefined
  /** Share of edge pixels brighter than their alpha, and darker than 1 − α. */
  readonly above: number
  readonly belowWhite: number
  /** 90 % quantile of c at the upper end of alpha. */
  readonly core: number
}

export function lookAtAlpha(stills: readonly Still[], encoding: ColourEncoding): AlphaLook {
  const bins: number[][] = Array.from({ length: STEPS }, () => [])
  const dim: number[][] = Array.from({ length: STEPS }, () => [])
  const counts = { pixels: 0, edges: 0, outside: 0, glow: 0, white: 0, above: 0, belowWhite: 0 }
  let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]
  for (const still of stills) {
    const { data } = codesOf(still, encoding)
    for (let i = 0; i < data.length; i += 4) {
      const a = data[i + 3] as number
      const c = Math.max(data[i] as number, data[i + 1] as number, data[i + 2] as number)
      const least = Math.min(data[i] as number, data[i + 1] as number, data[i + 2] as number)
      if (!(Number.isFinite(a) && Number.isFinite(c))) continue
      counts.pixels++
      lowest = Math.min(lowest, a)
      highest = Math.max(highest, a)
      if (a <= 1e-4) {
        counts.outside++
        if (c > (still.native.layout.float ? 1e-4 : 0.012)) counts.glow++
        if (least > 0.98) counts.white++
      } else if (a > 0.06 && a < 0.94) {
        counts.edges++
        if (c > a + 0.02) counts.above++
        if (least < 1 - a - 0.02) counts.belowWhite++
        const at = Math.min(STEPS - 1, Math.floor(((a - 0.06) / 0.88) * STEPS))
        const bin = bins[at] as number[]
        // Plenty for a quantile; keeps memory still.
        if (bin.length < 20_000) {
          bin.push(c)
          dim[at]?.push(least)
        }
      }
    }
  }
  const share = (n: number, of: number) => (of === 0 ? 0 : n / of)
  const filled = bins.filter((b) => b.length >= ENOUGH)
  const upper = sorted(filled.slice(-8).flat())
  return {
    pixels: counts.pixels,
    lowest,
    highest,
    edges: counts.edges,
    glow: share(counts.glow, counts.pixels),
    whiteOutside: share(counts.white, counts.outside),
    powers: powers(bins, (c) => c),
    whitePowers: powers(dim, (c) => 1 - c),
    above: share(counts.above, counts.edges),
    belowWhite: share(counts.belowWhite, counts.edges),
    core: upper.length === 0 ? 0 : quantile(upper, 0.9),
  }
}

function powers(bins: readonly number[][], of: (c: number) => number): [number, number] | undefined {
  const means: Point[] = []
  const tops: Point[] = []
  bins.forEach((values, k) => {
    if (values.length < ENOUGH) return
    const x = Math.log(0.06 + ((k + 0.5) / STEPS) * 0.88)
    const v = sorted(values.map(of))
    const mean = v.reduce((s, c) => s + c, 0) / v.length
    const top = quantile(v, 0.9)
    if (mean > 0.001) means.push({ x, y: Math.log(mean), w: Math.min(values.length, 500) })
    if (top > 0.001) tops.push({ x, y: Math.log(top), w: Math.min(values.length, 500) })
  })
  const [a, b] = [exponent(means), exponent(tops)]
  return a === undefined || b === undefined ? undefined : [a, b]
}

interface Point {
  readonly x: number
  readonly y: number
  readonly w: number
}

function exponent(points: readonly Point[]): number | undefined {
  if (points.length < 5) return undefined
  let [w, x, y] = [0, 0, 0]
  for (const p of points) {
    w += p.w
    x += p.w * p.x
    y += p.w * p.y
  }
  let [xx, xy] = [0, 0]
  for (const p of points) {
    xx += p.w * (p.x - x / w) ** 2
    xy += p.w * (p.x - x / w) * (p.y - y / w)
  }
  return xy / xx
}

/** @param onBlack whether the colour by itself lies on black @param said what the file's tag or the convention of its format says */
export function alphaFinding(
  look: AlphaLook,
  said: 'straight' | 'premultiplied',
  onBlack: boolean,
  frames: readonly number[],
): Finding {
  const numbers = {
    lowest: rounded(look.lowest),
    highest: rounded(look.highest),
    edges: look.edges,
    ...(look.powers === undefined ? {} : { powers: look.powers.map(rounded) }),
    brighterThanAlpha: rounded(look.above),
    glow: rounded(look.glow),
  }
  const base = { code: CODE, frames, method: METHOD }
  const kind = kindOf(look)
  const told = (verdict: Finding['verdict'], sentence: string, value?: string): Finding => ({
    ...base,
    verdict,
    sentence,
    // Black around an opaque picture may be the night.
    confidence: onBlack ? 0.7 : kind.confidence,
    numbers: { ...numbers, kind: kind.found },
    ...(value === undefined ? {} : { suggestions: [{ field: 'alpha' as const, value }] }),
  })
  switch (kind.found) {
    case 'constant':
      return look.lowest > 0.99 && !onBlack
        ? told('fine', 'Its alpha is 1 everywhere: a whole picture, nothing is cut out.', 'none')
        : look.highest < 0.01
          ? told('fault', 'Its alpha is 0 everywhere: it says nothing about cover.', 'none')
          : told(
              'fault',
              `Its alpha is ${look.lowest.toFixed(2)} everywhere: it says nothing about cover.`,
              'none',
            )
    case 'on white':
      return told(
        'fault',
        'Its colour was multiplied by alpha over white: edges will glow white until that white is taken off.',
      )
    case 'doubly multiplied':
      return told('fault', 'Its colour was multiplied by alpha twice: edges will be too dark.')
    case 'straight':
    case 'premultiplied':
      return kind.found === said
        ? told('fine', `Its alpha is ${said}, as its format means it to be.`, said)
        : told('fault', `Its alpha is ${kind.found}, where its format or tag means ${said}.`, kind.found)
    default:
      return cannotTell(CODE, kind.why ?? '', METHOD, frames, numbers)
  }
}

interface Kind {
  readonly found: AlphaFound
  readonly confidence: number
  readonly why?: string
}

function kindOf(k: AlphaLook): Kind {
  if (k.highest - k.lowest < 0.004) return { found: 'constant', confidence: 0.95 }
  const unknown = (why: string): Kind => ({ found: 'unknown', confidence: 0, why })
  if (k.edges < LEAST || k.powers === undefined)
    return unknown(
      `Only ${k.edges} pixels lie between nothing and full cover: too few to tell the kind of alpha.`,
    )
  const [mean, top] = k.powers
  const w = k.whitePowers
  const white = k.belowWhite < 0.01 && w !== undefined && Math.min(...w) > 0.7 && Math.max(...w) < 1.4
  if (white) return { found: 'on white', confidence: k.whiteOutside > 0.9 ? 0.9 : 0.75 }
  if (k.core < 0.05) return unknown('Its colour is so dark that straight and premultiplied look alike.')
  // Its glow lifts the mean where cover is thin; the brightest still go with cover, and straight colour has none where alpha is 0.
  if (k.glow > 0.05 && k.above < 0.05 && top > 0.6 && top < 1.4 && mean < top)
    return { found: 'premultiplied', confidence: 0.6 }
  const apart = Math.abs(mean - top) > 0.5
  const middle = (mean + top) / 2
  if (k.above > 0.15 && middle < 0.55)
    return { found: 'straight', confidence: !apart && Math.abs(middle) < 0.3 ? 0.9 : 0.7 }
  if (k.above > 0.15)
    return unknown(
      `Colour goes with alpha to the power ${middle.toFixed(2)}, yet ${percent(k.above)} of its edge is brighter than its alpha: a glow, or its own shading.`,
    )
  if (k.above < 0.02 && !apart && middle > 0.75 && middle < 1.4)
    return { found: 'premultiplied', confidence: Math.abs(middle - 1) < 0.2 ? 0.9 : 0.75 }
  if (k.above < 0.02 && !apart && middle >= 1.6 && middle < 2.5)
    return { found: 'doubly multiplied', confidence: Math.abs(middle - 2) < 0.25 ? 0.79 : 0.65 }
  if (k.above < 0.15 && !apart && Math.abs(middle) < 0.25) return { found: 'straight', confidence: 0.75 }
  return unknown(
    `Colour goes with alpha to the power ${middle.toFixed(2)}: neither 0 (straight) nor 1 (premultiplied) nor 2 (multiplied twice).`,
  )
}

/** Light where nothing covers: a glow when premultiplied, filling without a meaning when straight. */
export function glowFinding(look: AlphaLook, kind: string, frames: readonly number[]): Finding {
  const premultiplied = kind === 'premultiplied'
  return {
    code: 'diagnose.glow',
    verdict: 'fine',
    sentence:
      look.glow < 1e-4
        ? 'Nothing shines where alpha is 0.'
        : premultiplied
          ? `${percent(look.glow)} of its pixels shine where alpha is 0: a glow, kept as light.`
          : `${percent(look.glow)} of its pixels hold colour where alpha is 0, which straight alpha hides.`,
    confidence: 0.9,
    frames,
    method: 'pixels with alpha 0 and colour above 1 %',
    numbers: { share: rounded(look.glow) },
  }
}
