/** Picture preparation for the page, on 8-bit pictures as they are seen. */
import type { Picture } from './types.js'

/**
 * Area average to a smaller size (the same picture when it already fits). Averages what is seen, as a browser does that
 * shows a picture smaller; the page shows pictures, it measures nothing on them.
 */
export function shrink(p: Picture, width: number, height: number): Picture {
  const w = Math.min(width, p.width)
  const h = Math.min(height, p.height)
  if (w === p.width && h === p.height) return p
  const across = shares(p.width, w)
  const down = shares(p.height, h)
  const rgb = new Uint8ClampedArray(3 * w * h)
  const row = new Float32Array(3 * p.width)
  for (let y = 0; y < h; y++) {
    row.fill(0)
    for (let k = down.starts[y] as number, n = down.starts[y + 1] as number; k < n; k++) {
      addRow(row, p.rgb, 3 * p.width * (down.index[k] as number), down.weight[k] as number)
    }
    for (let x = 0, o = 3 * w * y; x < w; x++, o += 3) {
      let [r, g, b] = [0, 0, 0]
      for (let k = across.starts[x] as number, n = across.starts[x + 1] as number; k < n; k++) {
        const i = 3 * (across.index[k] as number)
        const weight = across.weight[k] as number
        r += weight * (row[i] as number)
        g += weight * (row[i + 1] as number)
        b += weight * (row[i + 2] as number)
      }
      rgb[o] = r
      rgb[o + 1] = g
      rgb[o + 2] = b
    }
  }
  return { width: w, height: h, rgb: new Uint8Array(rgb.buffer) }
}

function addRow(row: Float32Array, from: Uint8Array, at: number, weight: number): void {
  for (let i = 0; i < row.length; i++) row[i] = (row[i] as number) + weight * (from[at + i] as number)
}

/** Which samples a smaller line's samples cover, and how much of each: shares of one sample add up to 1. */
function shares(from: number, to: number) {
  const starts: number[] = []
  const index: number[] = []
  const weight: number[] = []
  for (let i = 0; i < to; i++) {
    starts.push(index.length)
    const low = (i * from) / to
    const high = ((i + 1) * from) / to
    for (let j = Math.floor(low); j < Math.min(from, Math.ceil(high)); j++) {
      const share = ((Math.min(high, j + 1) - Math.max(low, j)) * to) / from
      if (share <= 1e-9) continue
      index.push(j)
      weight.push(share)
    }
  }
  starts.push(index.length)
  return { starts: Int32Array.from(starts), index: Int32Array.from(index), weight: Float32Array.from(weight) }
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

/** Half the side of the window whose mean is taken off for `detail`, in pixels. */
const AROUND = 4

/** `gain` · (p − its mean around each sample) about middle grey: grain and fine drawing without light and shade. */
export function detail(p: Picture, gain: number): Picture {
  const { width, height } = p
  const rgb = new Uint8Array(p.rgb.length)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const sum = [0, 0, 0]
      let count = 0
      for (let v = Math.max(0, y - AROUND); v <= Math.min(height - 1, y + AROUND); v++) {
        for (let u = Math.max(0, x - AROUND); u <= Math.min(width - 1, x + AROUND); u++, count++) {
          for (let c = 0; c < 3; c++) sum[c] = (sum[c] as number) + (p.rgb[3 * (v * width + u) + c] as number)
        }
      }
      for (let c = 0; c < 3; c++) {
        const i = 3 * (y * width + x) + c
        const v = 128 + gain * ((p.rgb[i] as number) - (sum[c] as number) / count)
        rgb[i] = Math.max(0, Math.min(255, v))
      }
    }
  }
  return { width, height, rgb }
}

/** Mean absolute difference of two pictures of one size, 0 to 255. */
export function distance(a: Picture, b: Picture): number {
  let sum = 0
  for (let i = 0; i < a.rgb.length; i++) sum += Math.abs((a.rgb[i] as number) - (b.rgb[i] as number))
  return sum / Math.max(1, a.rgb.length)
}
