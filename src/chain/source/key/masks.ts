/** Masks of 0 and 1 grown and shrunk by squares (dilation and erosion); what lies outside the picture never counts against them. */
interface Size {
  readonly width: number
  readonly height: number
}

/** Pixels within `by` px, along both sides, of one that is set. */
export function grown(mask: Uint8Array, size: Size, by: number): Uint8Array {
  return ran(mask, size, by, 1)
}

/** Pixels around which all within `by` px is set. */
export function shrunk(mask: Uint8Array, size: Size, by: number): Uint8Array {
  return ran(mask, size, by, 0)
}

/** Pixels near one of `value` get that value. */
function ran(mask: Uint8Array, { width, height }: Size, by: number, value: 0 | 1): Uint8Array {
  if (by <= 0) return mask.slice()
  const other = 1 - value
  const rows = new Uint8Array(mask.length)
  for (let y = 0; y < height; y++) {
    const start = y * width
    let near = 0
    for (let x = 0; x < Math.min(by, width); x++) if (mask[start + x] === value) near++
    for (let x = 0; x < width; x++) {
      if (x + by < width && mask[start + x + by] === value) near++
      if (x - by - 1 >= 0 && mask[start + x - by - 1] === value) near--
      rows[start + x] = near > 0 ? value : other
    }
  }
  const out = new Uint8Array(mask.length)
  const near = new Int32Array(width)
  const count = (y: number, step: 1 | -1) => {
    for (let x = 0, p = y * width; x < width; x++, p++) if (rows[p] === value) near[x]! += step
  }
  for (let y = 0; y < Math.min(by, height); y++) count(y, 1)
  for (let y = 0; y < height; y++) {
    if (y + by < height) count(y + by, 1)
    if (y - by - 1 >= 0) count(y - by - 1, -1)
    for (let x = 0, p = y * width; x < width; x++, p++) out[p] = near[x]! > 0 ? value : other
  }
  return out
}
