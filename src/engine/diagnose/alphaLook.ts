/**
 * What alpha and colour have to do with each other, collected frame by frame; frames are not kept.
 *
 *   c  the brightest channel, code values     l  its light     m  the darkest channel     α  alpha as stored
 *
 * Where chroma has fewer samples than alpha it bleeds over sharp edges: then c and m are luma, for which the same bounds hold; of a
 * soft element only pixels are compared around which alpha hardly changes.
 *
 * Bounds that the definitions of [porter1984] set for colours up to white: multiplied c ≤ α, twice c ≤ α², in light l ≤ α, over
 * white m ≥ 1 − α. Shares of edge pixels that break them are counted, with a tolerance for rounding and for what codecs do.
 */
import { curveOf } from '../../colour/index.js'
import type { ColourEncoding, FloatImage, PixelLayout } from '../../core/index.js'
import { applyCurve, weightsOf } from '../../kernels/index.js'
import { tableOf } from '../tables.js'
import { AlphaSlopes, type Powers } from './alphaSlopes.js'

/** α of the pixels whose colour is compared with it. */
const [EDGE_LOW, EDGE_HIGH] = [0.03, 0.95]
/** Below this α nothing covers: half a code of 8 bits. */
const NOTHING = 0.002
/** Colours where α is 0 are counted in steps of a 24th. */
const SHADES = 24
/** Pixels of a frame that are compared; tiles of a larger one are left out evenly. */
const ENOUGH_PIXELS = 600_000
const TILE = 64
/** Reach of a chroma sample, pixels, and the share of alpha that may change over it. */
const [CHROMA, CALM] = [2, 0.3]
/** Light of video and picture files: their curves lie between powers of 1.95 and 2.4, and elements are tagged with any of them. */
const GAMMA = 2.2

export interface AlphaLook {
  readonly pixels: number
  readonly lowest: number
  readonly highest: number
  readonly edges: number
  /** Share of edge pixels where c > α, c > α², l > α, m < 1 − α. */
  readonly above: number
  readonly aboveSquare: number
  readonly lightAbove: number
  readonly belowWhite: number
  /** Share of edge pixels that are not white, and that are not black. */
  readonly unlikeWhite: number
  readonly unlikeBlack: number
  /** Greatest light where α is 0, diffuse white 1. */
  readonly glowPeak: number
  /** Share of all pixels that hold light where α is 0; of those, the share of the commonest colour and its level. */
  readonly glow: number
  readonly flat: number
  readonly flatLevel: number
  /** Share of α = 0 pixels that are white. */
  readonly whiteOutside: number
  readonly outside: number
  /** Powers of α by which c and l go. */
  readonly codes: Powers | undefined
  readonly light: Powers | undefined
  /** Whether colour can lie beyond white: then no bound holds. */
  readonly unbounded: boolean
  /** c and m are luma: dark for a saturated colour. */
  readonly byLuma: boolean
  /** An HDR or log curve. */
  readonly hdr: boolean
}

export class AlphaMeter {
  private readonly codes = new AlphaSlopes()
  private readonly light = new AlphaSlopes()
  private readonly shades = new Uint32Array(SHADES ** 3)
  private readonly n = {
    pixels: 0,
    edges: 0,
    above: 0,
    aboveSquare: 0,
    lightAbove: 0,
    belowWhite: 0,
    unlikeWhite: 0,
    unlikeBlack: 0,
    outside: 0,
    glow: 0,
    white: 0,
  }
  private glowPeak = 0
  private lowest = Number.POSITIVE_INFINITY
  private highest = Number.NEGATIVE_INFINITY
  private readonly encoding: ColourEncoding
  private readonly float: boolean
  private readonly hdr: boolean
  private readonly luma: { readonly kr: number; readonly kb: number }
  private readonly bleeds: boolean
  /** Whether alpha changes slowly enough for chroma to follow it; unknown before the first edge. */
  private soft: boolean | undefined
  private readonly tolerance: number
  /** Colour below which rounding and codecs leave no shape. */
  private readonly dark: number

  constructor(layout: PixelLayout, encoding: ColourEncoding) {
    this.encoding = encoding
    this.float = layout.float
    this.hdr = !layout.float && curveOf(encoding.curve).decode(1) > 1.2
    this.bleeds = layout.subX + layout.subY > 0
    this.luma = this.bleeds ? weightsOf(encoding) : { kr: 0, kb: 0 }
    // Luma-chroma files come from codecs that bend edges a little.
    this.tolerance = layout.family === 'yuv' ? 0.02 : 0.008
    this.dark = layout.float ? 1e-4 : layout.family === 'yuv' && layout.bits === 8 ? 0.025 : 0.01
  }

  /** @param image R′, G′, B′ and alpha as stored; may be changed */
  add(image: FloatImage): void {
    const { width, height } = image.region
    const d = image.data
    const cover = new Float32Array(width * height).fill(Number.NaN)
    const codes = new Float32Array(width * height)
    const light = new Float32Array(width * height)
    const keep = Math.max(1, Math.round((width * height) / ENOUGH_PIXELS))
    const tiles = Math.ceil(width / TILE)
    const chosen = (p: number) =>
      keep === 1 ||
      (Math.floor(Math.floor(p / width) / TILE) * (tiles + 1) + Math.floor((p % width) / TILE)) % keep === 0
    const calm = this.bleeds ? calmOf(image) : undefined
    if (this.soft === undefined && calm !== undefined) this.soft = isSoft(image, calm)
    const some = this.soft === true ? calm : undefined
    for (let p = 0; p < cover.length; p++) {
      const a = d[4 * p + 3] as number
      if (a < this.lowest) this.lowest = a
      if (a > this.highest) this.highest = a
      if (!chosen(p) || !Number.isFinite(a)) continue
      const [r, g, b] = [d[4 * p], d[4 * p + 1], d[4 * p + 2]] as [number, number, number]
      const c = this.brightness(r, g, b)
      if (!Number.isFinite(c)) continue
      this.n.pixels++
      if (a <= NOTHING) this.hidden(r, g, b)
      else if (isEdge(a) && some?.[p] !== 0) {
        this.edge(a, c, !this.byLuma ? Math.min(r, g, b) : c)
        if (c > this.dark) cover[p] = Math.log(a)
        codes[p] = Math.log(c)
      }
    }
    if (this.hdr) applyCurve(image, tableOf(this.encoding.curve, 'decode'))
    for (let p = 0; p < cover.length; p++) {
      const lnA = cover[p] as number
      if (Number.isNaN(lnA)) continue
      const c = this.brightness(d[4 * p] as number, d[4 * p + 1] as number, d[4 * p + 2] as number)
      const l = this.hdr || this.float ? c : c ** GAMMA
      if (l > Math.exp(lnA) + this.tolerance) this.n.lightAbove++
      light[p] = Math.log(l)
    }
    this.codes.add(cover, codes, width, height)
    this.light.add(cover, light, width, height)
  }

  private get byLuma(): boolean {
    return this.bleeds && this.soft !== true
  }

  private brightness(r: number, g: number, b: number): number {
    const { luma: w } = this
    return !this.byLuma ? Math.max(r, g, b) : (1 - w.kr - w.kb) * g + w.kr * r + w.kb * b
  }

  private hidden(r: number, g: number, b: number): void {
    const { n } = this
    n.outside++
    if (Math.min(r, g, b) > 0.98) n.white++
    if (Math.max(r, g, b) <= (this.float ? 1e-4 : 0.012)) return
    n.glow++
    this.glowPeak = Math.max(this.glowPeak, r, g, b)
    const shade = (v: number) => Math.min(SHADES - 1, Math.max(0, Math.round(v * (SHADES - 1))))
    const at = (shade(r) * SHADES + shade(g)) * SHADES + shade(b)
    this.shades[at] = (this.shades[at] as number) + 1
  }

  private edge(a: number, c: number, m: number): void {
    const { n, tolerance } = this
    n.edges++
    if (c > a + tolerance) n.above++
    if (c > a * a + tolerance) n.aboveSquare++
    if (m < 1 - a - tolerance) n.belowWhite++
    if (m < 0.95) n.unlikeWhite++
    if (c > 2 * this.dark) n.unlikeBlack++
  }

  look(): AlphaLook {
    const { n } = this
    const of = (count: number, all: number) => (all === 0 ? 0 : count / all)
    let fullest = 0
    for (let i = 1; i < this.shades.length; i++)
      if ((this.shades[i] as number) > (this.shades[fullest] as number)) fullest = i
    const level = Math.max(
      fullest % SHADES,
      Math.floor(fullest / SHADES) % SHADES,
      Math.floor(fullest / SHADES ** 2),
    )
    return {
      pixels: n.pixels,
      lowest: this.lowest,
      highest: this.highest,
      edges: n.edges,
      above: of(n.above, n.edges),
      aboveSquare: of(n.aboveSquare, n.edges),
      lightAbove: of(n.lightAbove, n.edges),
      belowWhite: of(n.belowWhite, n.edges),
      unlikeWhite: of(n.unlikeWhite, n.edges),
      unlikeBlack: of(n.unlikeBlack, n.edges),
      glow: of(n.glow, n.pixels),
      glowPeak: n.glow === 0 ? 0 : curveOf(this.encoding.curve).decode(this.glowPeak),
      flat: of(this.shades[fullest] as number, n.glow),
      flatLevel: level / (SHADES - 1),
      whiteOutside: of(n.white, n.outside),
      outside: of(n.outside, n.pixels),
      codes: this.codes.powers(),
      light: this.light.powers(),
      unbounded: this.float,
      byLuma: this.byLuma,
      hdr: this.hdr,
    }
  }
}

const isEdge = (a: number) => a > EDGE_LOW && a < EDGE_HIGH

/** 1 where alpha changes little over the reach of a chroma sample. */
function calmOf({ region, data }: FloatImage): Uint8Array {
  const { width, height } = region
  const calm = new Uint8Array(width * height)
  const at = (x: number, y: number) => data[4 * (y * width + x) + 3] as number
  for (let y = CHROMA; y < height - CHROMA; y++)
    for (let x = CHROMA; x < width - CHROMA; x++) {
      const change =
        Math.abs(at(x + CHROMA, y) - at(x - CHROMA, y)) + Math.abs(at(x, y + CHROMA) - at(x, y - CHROMA))
      if (change < CALM * at(x, y)) calm[y * width + x] = 1
    }
  return calm
}

/** Undefined when there are too few edge pixels to say. */
function isSoft({ data }: FloatImage, calm: Uint8Array): boolean | undefined {
  let [edges, soft] = [0, 0]
  for (let p = 0; p < calm.length; p++) {
    if (!isEdge(data[4 * p + 3] as number)) continue
    edges++
    soft += calm[p] as number
  }
  return edges < 100 ? undefined : soft > 0.4 * edges
}
