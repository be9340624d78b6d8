/**
 * Border contact: an element that its own frame cuts off. Where it is laid over a plate, the cut shows as a straight edge.
 *
 *   p = max(α, max(R, G, B) − floor)          presence of a pixel; of a file on black its light against the picture's peak
 *   side = share of the side's cells with mean p > limit       cell: 3×3 pixels at the border, so that noise is no contact
 *
 * limit: 0.02 of cover or light (an edge of 2 % contrast is about what an eye finds: common practice), and 4 σ of the floor's
 * noise over a cell's mean, whichever is more. The element is said to touch from LEAST cells of a side on (a choice).
 *
 * Before a key ground the ground itself is nothing:
 *
 *   p = |c − g| / |n − g|, at most 1           c, g: shares of R and G of a cell and of the ground; n: of grey
 *
 * and p = 1 where a cell is too dark to have a colour. Limit 0.4: spill, unevenness and noise of a ground stay below (a choice).
 */
import type { FloatImage, Rgb } from '../../../core/index.js'

export const CELL = 3
export const LIMIT = 0.02
export const LEAST = 3

export interface BorderContact {
  /** Share of each side that shows the element, 0 to 1. */
  readonly top: number
  readonly right: number
  readonly bottom: number
  readonly left: number
  /** Greatest presence at any side: 1 is full cover, or the picture's peak. */
  readonly strongest: number
  /** Whether a side shows it over more than a cell or two. */
  readonly touches: boolean
}

export interface BorderOptions {
  /** Light that the file holds where there is nothing, and its noise (one σ); both 0 when absent. */
  readonly floor?: Rgb
  readonly noise?: Rgb
  /** The element has no alpha of its own: its light alone says where it is. */
  readonly onBlack?: boolean
}

/** Pictures that hold the outermost pixels of each side; each may be the whole picture. */
export interface Sides {
  readonly top: FloatImage
  readonly right: FloatImage
  readonly bottom: FloatImage
  readonly left: FloatImage
}

const NONE: BorderContact = { top: 0, right: 0, bottom: 0, left: 0, strongest: 0, touches: false }

/**
 * Looks along the four sides of the image's own region.
 *
 * @param image premultiplied linear light; a file on black may carry any alpha when `onBlack` is set
 * @returns shares of 0 for an empty picture, or one too small for a cell
 */
export function borderContact(image: FloatImage, o: BorderOptions = {}): BorderContact {
  const peak = o.onBlack === true ? lightPeak(image, o.floor) : 1
  return sidesContact({ top: image, right: image, bottom: image, left: image }, { ...o, peak })
}

/**
 * The same off the sides alone.
 *
 * @param o.peak of a file on black: its greatest light above its floor
 */
export function sidesContact(sides: Sides, o: BorderOptions & { readonly peak: number }): BorderContact {
  const floor = o.floor ?? [0, 0, 0]
  const noise = o.noise ?? [0, 0, 0]
  // Beyond diffuse white light is seen as it is; a dim element is judged by its own peak.
  const peak = o.onBlack === true ? Math.min(o.peak, 1) : 1
  if (peak <= 0) return NONE
  const limit = Math.max(LIMIT, (4 * Math.max(...noise)) / CELL / peak)
  return contact(sides, limit, ([r, g, b, a]) => {
    const light = Math.max(r - floor[0], g - floor[1], b - floor[2])
    return Math.max(o.onBlack === true ? 0 : a, light) / peak
  })
}

const SCREEN_LIMIT = 0.4
/** Sum of the channels below which a cell has no colour. */
const COLOURLESS = 0.03

/** @param chroma shares of R and G of the ground in linear light */
export function screenContact(sides: Sides, chroma: readonly [number, number]): BorderContact {
  const full = Math.hypot(chroma[0] - 1 / 3, chroma[1] - 1 / 3)
  return contact(sides, SCREEN_LIMIT, ([r, g, b]) => {
    const sum = r + g + b
    return sum > COLOURLESS ? Math.hypot(r / sum - chroma[0], g / sum - chroma[1]) / full : 1
  })
}

type Mean = readonly [number, number, number, number]

/** @param presence of a cell by its means of R, G, B and alpha */
function contact(sides: Sides, limit: number, presence: (mean: Mean) => number): BorderContact {
  let strongest = 0
  let touches = false
  const side = (image: FloatImage, across: boolean, far: boolean) => {
    const { width, height } = image.region
    if (width < CELL || height < CELL) return 0
    const count = Math.floor((across ? width : height) / CELL)
    let hit = 0
    for (let k = 0; k < count; k++) {
      const x = across ? k * CELL : far ? width - CELL : 0
      const y = across ? (far ? height - CELL : 0) : k * CELL
      const p = presence(meanAt(image, x, y))
      if (p <= limit) continue
      hit++
      strongest = Math.max(strongest, Math.min(p, 1))
    }
    if (count > 0 && hit >= Math.min(LEAST, count)) touches = true
    return hit / count
  }
  return {
    top: side(sides.top, true, false),
    right: side(sides.right, false, true),
    bottom: side(sides.bottom, true, true),
    left: side(sides.left, false, false),
    strongest,
    touches,
  }
}

function meanAt({ region, data }: FloatImage, x: number, y: number): Mean {
  const mean: [number, number, number, number] = [0, 0, 0, 0]
  for (let v = y; v < y + CELL; v++) {
    for (let u = x; u < x + CELL; u++) {
      const i = 4 * (v * region.width + u)
      for (const c of [0, 1, 2, 3] as const) mean[c] += (data[i + c] as number) / (CELL * CELL)
    }
  }
  return mean
}

/** Greatest light above the floor. */
export function lightPeak({ data: d }: FloatImage, floor: Rgb = [0, 0, 0]): number {
  let peak = 0
  for (let i = 0; i < d.length; i += 4) {
    for (const c of [0, 1, 2] as const) {
      const v = (d[i + c] as number) - floor[c]
      if (v > peak) peak = v
    }
  }
  return peak
}
