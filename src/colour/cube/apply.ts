/**
 * A look-up table on colours, for looking at pictures: between its entries a curve is linear, a lattice is
 *
 *   trilinear     Σ over the cell's eight corners, weighted by Π(f or 1 − f)
 *   tetrahedral   (default) along the cell's edges in the order of falling fraction, from the lowest to the highest
 *                 corner: with f_r ≥ f_g ≥ f_b
 *                 c000 + f_r·(c100 − c000) + f_g·(c110 − c100) + f_b·(c111 − c110), the other five alike
 *
 *   f  place inside the cell, 0…1 an axis
 *
 * Tetrahedra keep greys grey wherever the lattice's diagonal is; the trilinear form bends them. What lies outside the
 * domain is held to its edge, which loses light: nothing but a view may go through here. NaN shows as the domain's
 * lower edge.
 *
 * Source: [kasson1995]; [cube] for domain and order.
 */
import type { Rgb } from '../../core/index.js'
import type { CubeTable } from './table.js'

export type CubeInterpolation = 'tetrahedral' | 'trilinear'

/** The table on one colour. */
export function cube(table: CubeTable, interpolation: CubeInterpolation = 'tetrahedral'): (rgb: Rgb) => Rgb {
  return ([r, g, b]) => {
    const pixel = Float64Array.of(r, g, b, 1)
    applyCube(pixel, table, interpolation)
    return [pixel[0] as number, pixel[1] as number, pixel[2] as number]
  }
}

/** The table on a picture of interleaved RGBA code values, in place; alpha is left as it is. */
export function applyCube(
  data: Float32Array | Float64Array,
  table: CubeTable,
  interpolation: CubeInterpolation = 'tetrahedral',
): void {
  const { size, entries } = table
  const { min, max } = table.domain
  const scale = min.map((low, c) => (size - 1) / ((max[c] as number) - low))
  const place = (v: number, c: 0 | 1 | 2) =>
    v > min[c] ? (Math.min(v, max[c]) - min[c]) * (scale[c] as number) : 0
  const cell = interpolation === 'trilinear' ? trilinear : tetrahedral
  for (let i = 0; i + 3 < data.length; i += 4) {
    const r = place(data[i] as number, 0)
    const g = place(data[i + 1] as number, 1)
    const b = place(data[i + 2] as number, 2)
    if (table.dimensions === 1) {
      data[i] = line(entries, size, r, 0)
      data[i + 1] = line(entries, size, g, 1)
      data[i + 2] = line(entries, size, b, 2)
      continue
    }
    const x = Math.min(Math.floor(r), size - 2)
    const y = Math.min(Math.floor(g), size - 2)
    const z = Math.min(Math.floor(b), size - 2)
    cell(entries, size, 3 * (x + size * (y + size * z)), r - x, g - y, b - z, data, i)
  }
}

function line(entries: Float32Array, size: number, at: number, channel: number): number {
  const i = Math.min(Math.floor(at), size - 2)
  const low = entries[3 * i + channel] as number
  return low + (at - i) * ((entries[3 * i + 3 + channel] as number) - low)
}

/** Interpolates in the cell whose lowest corner is at `o`, and writes three numbers at `to`. */
type Cell = (
  entries: Float32Array,
  size: number,
  o: number,
  fr: number,
  fg: number,
  fb: number,
  out: Float32Array | Float64Array,
  to: number,
) => void

const tetrahedral: Cell = (entries, size, o, fr, fg, fb, out, to) => {
  const dr = 3
  const dg = 3 * size
  const db = 3 * size * size
  // The axis of the greatest and of the middle fraction.
  const redOverGreen = fr >= fg
  const greenOverBlue = fg >= fb
  const redOverBlue = fr >= fb
  const first = redOverGreen ? (redOverBlue ? dr : db) : greenOverBlue ? dg : db
  const lowest = redOverGreen ? (greenOverBlue ? db : dg) : redOverBlue ? db : dr
  const high = Math.max(fr, fg, fb)
  const low = Math.min(fr, fg, fb)
  const middle = fr + fg + fb - high - low
  const last = o + dr + dg + db
  const before = last - lowest
  for (let c = 0; c < 3; c++) {
    out[to + c] =
      (1 - high) * (entries[o + c] as number) +
      (high - middle) * (entries[o + first + c] as number) +
      (middle - low) * (entries[before + c] as number) +
      low * (entries[last + c] as number)
  }
}

const trilinear: Cell = (entries, size, o, fr, fg, fb, out, to) => {
  const dg = 3 * size
  const db = 3 * size * size
  const alongRed = (at: number) => {
    const low = entries[at] as number
    return low + fr * ((entries[at + 3] as number) - low)
  }
  for (let c = 0; c < 3; c++) {
    const at = o + c
    const near = (1 - fg) * alongRed(at) + fg * alongRed(at + dg)
    const far = (1 - fg) * alongRed(at + db) + fg * alongRed(at + db + dg)
    out[to + c] = (1 - fb) * near + fb * far
  }
}
