/** IEEE 754 binary16 to binary32, exact for all 65536 patterns (NaN stays NaN). Source: [ieee754-2019 §3.6]. */
const table = new Float32Array(65536)
for (let h = 0; h < 65536; h++) {
  const sign = h & 0x8000 ? -1 : 1
  const exponent = (h >> 10) & 31
  const fraction = h & 1023
  if (exponent === 31) table[h] = fraction === 0 ? sign * Number.POSITIVE_INFINITY : Number.NaN
  else
    table[h] = exponent === 0 ? sign * fraction * 2 ** -24 : sign * (1024 + fraction) * 2 ** (exponent - 25)
}

/** Value of the 16-bit pattern `bits`. */
export function halfToFloat(bits: number): number {
  return table[bits] as number
}
