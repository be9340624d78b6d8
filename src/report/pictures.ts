/** Picture preparation for the page, on 8-bit pictures as they are seen. */
import type { Picture } from './types.js'

/**
 * Area average to a smaller size (the same picture when it already fits). Averages what is seen, as a browser does that
 * shows a picture smaller; the page shows pictures, it measures nothing on them.
 */
export function shrink(p: Picture, width: number, height: number): Picture {
  if (width >= p.width && height >= p.height) return p
  const xs = edges(p.width, width)
  const ys = edges(p.height, height)
  const rgb = new Uint8Array(3 * width * height)
  for (let y = 0; y < height; y++) {
    const top = ys[y] as number
    const bottom = ys[y + 1] as number
    for (let x = 0; x < width; x++) {
      averageInto(rgb, 3 * (y * width + x), p, xs[x] as number, xs[x + 1] as number, top, bottom)
    }
  }
  return { width, height, rgb }
}

function edges(from: number, to: number): Int32Array {
  return Int32Array.from({ length: to + 1 }, (_, i) => Math.round((i * from) / to))
}

function averageInto(
  out: Uint8Array,
  at: number,
  p: Picture,
  x0: number,
  x1: number,
  y0: number,
  y1: number,
) {
  let r = 0
  let g = 0
  let b = 0
  for (let y = y0; y < y1; y++) {
    let i = 3 * (y * p.width + x0)
    for (let x = x0; x < x1; x++) {
      r += p.rgb[i] as number
      g += p.rgb[i + 1] as number
      b += p.rgb[i + 2] as number
      i += 3
    }
  }
  const n = (x1 - x0) * (y1 - y0)
  out[at] = Math.round(r / n)
  out[at + 1] = Math.round(g / n)
  out[at + 2] = Math.round(b / n)
}

/** Channel 0, 1 or 2 as a grey picture. */
export function channel(p: Picture, index: 0 | 1 | 2): Picture {
  const rgb = new Uint8Array(p.rgb.length)
  for (let i = 0; i < rgb.length; i += 3) {
    const v = p.rgb[i + index] as number
    rgb[i] = v
    rgb[i + 1] = v
    rgb[i + 2] = v
  }
  return { width: p.width, height: p.height, rgb }
}

/** `gain` · (a − b) around middle grey: grey where both agree, lighter where `a` is lighter. Sizes must be equal. */
export function difference(a: Picture, b: Picture, gain: number): Picture {
  const rgb = new Uint8Array(a.rgb.length)
  for (let i = 0; i < rgb.length; i++) {
    const v = 128 + gain * ((a.rgb[i] as number) - (b.rgb[i] as number))
    rgb[i] = Math.max(0, Math.min(255, v))
  }
  return { width: a.width, height: a.height, rgb }
}

/** Mean absolute difference of two pictures of one size, 0 to 255. */
export function distance(a: Picture, b: Picture): number {
  let sum = 0
  for (let i = 0; i < a.rgb.length; i++) sum += Math.abs((a.rgb[i] as number) - (b.rgb[i] as number))
  return sum / Math.max(1, a.rgb.length)
}
