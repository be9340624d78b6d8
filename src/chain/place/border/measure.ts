/**
 * Border contact: an element that its own frame cuts off. Where it is laid over a plate, the cut shows as a straight edge.
 *
 *   p = max(α, max(R, G, B) − floor)          presence of a pixel; of a file on black its light against the picture's peak
 *   side = share of the side's cells with mean p > limit       cell: 3×3 pixels at the border, so that noise is no contact
 *
 * limit: 0.02 of cover or light (an edge of 2 % contrast is about what an eye finds: common practice), and 4 σ of the floor's
 * noise over a cell's mean, whichever is more. The element is said to touch from LEAST cells of a side on (a choice).
 */
import type { FloatImage, Rgb } from '../../../core/index.js'

const CELL = 3
const LIMIT = 0.02
const LEAST = 3

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

/**
 * Looks along the four sides of the image's own region.
 *
 * @param image premultiplied linear light; a file on black may carry any alpha when `onBlack` is set
 * @returns shares of 0 for an empty picture, or one too small for a cell
 */
export function borderContact(image: FloatImage, o: BorderOptions = {}): BorderContact {
  const { width, height } = image.region
  const across = Math.floor(width / CELL)
  const down = Math.floor(height / CELL)
  if (across === 0 || down === 0)
    return { top: 0, right: 0, bottom: 0, left: 0, strongest: 0, touches: false }
  const floor = o.floor ?? [0, 0, 0]
  const noise = o.noise ?? [0, 0, 0]
  // Beyond diffuse white light is seen as it is; a dim element is judged by its own peak.
  const peak = o.onBlack === true ? Math.min(peakOf(image, floor), 1) : 1
  if (peak <= 0) return { top: 0, right: 0, bottom: 0, left: 0, strongest: 0, touches: false }
  const limit = Math.max(LIMIT, (4 * Math.max(...noise)) / CELL / peak)
  const cell = (x: number, y: number) => presence(image, x, y, floor, o.onBlack === true) / peak
  let strongest = 0
  let touches = false
  const side = (count: number, at: (k: number) => number) => {
    let hit = 0
    for (let k = 0; k < count; k++) {
      const p = at(k)
      if (p <= limit) continue
      hit++
      strongest = Math.max(strongest, Math.min(p, 1))
    }
    if (hit >= Math.min(LEAST, count)) touches = true
    return hit / count
  }
  return {
    top: side(across, (k) => cell(k * CELL, 0)),
    right: side(down, (k) => cell(width - CELL, k * CELL)),
    bottom: side(across, (k) => cell(k * CELL, height - CELL)),
    left: side(down, (k) => cell(0, k * CELL)),
    strongest,
    touches,
  }
}

/** Mean over the cell at (x, y), of alpha or light, whichever is more. */
function presence(image: FloatImage, x: number, y: number, floor: Rgb, onBlack: boolean): number {
  const { width } = image.region
  const d = image.data
  const sums = [0, 0, 0, 0]
  for (let v = y; v < y + CELL; v++) {
    for (let u = x; u < x + CELL; u++) {
      const i = 4 * (v * width + u)
      for (let c = 0; c < 4; c++) sums[c] = (sums[c] as number) + (d[i + c] as number)
    }
  }
  const n = CELL * CELL
  let most = onBlack ? 0 : (sums[3] as number) / n
  for (let c = 0; c < 3; c++) most = Math.max(most, (sums[c] as number) / n - (floor[c] as number))
  return most
}

function peakOf(image: FloatImage, floor: Rgb): number {
  const d = image.data
  let peak = 0
  for (let i = 0; i < d.length; i += 4) {
    for (let c = 0; c < 3; c++) {
      const v = (d[i + c] as number) - (floor[c] as number)
      if (v > peak) peak = v
    }
  }
  return peak
}
