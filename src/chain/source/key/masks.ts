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
  const rows = lines(mask, { length: width, step: 1 }, { count: height, step: width }, by, value)
  return lines(rows, { length: height, step: width }, { count: width, step: 1 }, by, value)
}

function lines(
  from: Uint8Array,
  along: { readonly length: number; readonly step: number },
  across: { readonly count: number; readonly step: number },
  by: number,
  value: 0 | 1,
): Uint8Array {
  const out = new Uint8Array(from.length)
  for (let l = 0; l < across.count; l++) {
    const start = l * across.step
    const is = (k: number) => (from[start + k * along.step] === value ? 1 : 0)
    let near = 0
    for (let k = 0; k < Math.min(by, along.length); k++) near += is(k)
    for (let k = 0; k < along.length; k++) {
      if (k + by < along.length) near += is(k + by)
      if (k - by - 1 >= 0) near -= is(k - by - 1)
      out[start + k * along.step] = near > 0 ? value : 1 - value
    }
  }
  return out
}
