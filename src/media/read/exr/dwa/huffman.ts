/**
 * The Huffman coding of 16-bit words that OpenEXR's PIZ and DWA use.
 *
 * Head: smallest and largest symbol, bytes of the table, bits of the data, a reserved word (five uint32). The table packs
 * the code length of each symbol into 6 bits; 59 to 62 stand for 2 to 5 symbols without a code, 63 for 6 and the number in
 * the next 8 bits. Codes are canonical, long ones first from 0. The largest symbol repeats the word before it as often as the next
 * 8 bits say. Source: [openexr-piz].
 */
const FAST = 14
/** 32 bits code far more words than a block has. */
const LONGEST = 32

interface Codes {
  /** By the next 14 bits: symbol × 64 + length, or 0 for longer codes. */
  readonly fast: Int32Array
  readonly first: Float64Array
  readonly count: Int32Array
  /** Symbols by length and value; where each length begins. */
  readonly sorted: Int32Array
  readonly begin: Int32Array
}

/** @throws RangeError when the data contradicts itself */
export function decodeHuffman(bytes: Buffer, count: number): Uint16Array {
  const out = new Uint16Array(count)
  if (count === 0) return out
  const [low, high, bits] = [bytes.readUInt32LE(0), bytes.readUInt32LE(4), bytes.readUInt32LE(12)]
  if (low > high || high > 65536) throw new RangeError('a Huffman table beyond 16 bits')
  // A few zeros behind, so that looking ahead needs no check.
  const data = Buffer.concat([bytes, Buffer.alloc(8)])
  const { lengths, end } = lengthsOf(data, low, high)
  const start = 8 * end
  if (start + bits > 8 * bytes.length) throw new RangeError('Huffman data cut short')
  unpack(data, start, start + bits, codesOf(lengths), high, out)
  return out
}

function lengthsOf(data: Buffer, low: number, high: number) {
  const lengths = new Uint8Array(high + 1)
  let at = 8 * 20
  for (let symbol = low; symbol <= high; ) {
    const length = take(data, at, 6)
    at += 6
    if (length < 59) lengths[symbol++] = length
    else if (length < 63) symbol += length - 57
    else {
      symbol += take(data, at, 8) + 6
      at += 8
    }
    if (at > 8 * data.length) throw new RangeError('Huffman table cut short')
  }
  return { lengths, end: (at + 7) >> 3 }
}

/** Up to 16 bits from bit `at` on, the highest first. */
function take(data: Buffer, at: number, bits: number): number {
  const i = at >>> 3
  const word = ((data[i] as number) << 16) | ((data[i + 1] as number) << 8) | (data[i + 2] as number)
  return (word >>> (24 - bits - (at & 7))) & ((1 << bits) - 1)
}

function codesOf(lengths: Uint8Array): Codes {
  const count = new Int32Array(LONGEST + 1)
  for (const l of lengths) {
    if (l > LONGEST) throw new RangeError(`a Huffman code of ${l} bits`)
    if (l > 0) count[l] = (count[l] as number) + 1
  }
  const first = new Float64Array(LONGEST + 1)
  for (let l = LONGEST, code = 0; l > 0; l--) {
    first[l] = code
    code = Math.floor((code + (count[l] as number)) / 2)
  }
  const begin = new Int32Array(LONGEST + 2)
  for (let l = 1; l <= LONGEST; l++) begin[l + 1] = (begin[l] as number) + (count[l] as number)
  const next = begin.slice()
  const sorted = new Int32Array(begin[LONGEST + 1] as number)
  const fast = new Int32Array(1 << FAST)
  for (const [symbol, l] of lengths.entries()) {
    if (l === 0) continue
    const place = next[l] as number
    next[l] = place + 1
    sorted[place] = symbol
    if (l > FAST) continue
    const code = (first[l] as number) + place - (begin[l] as number)
    fast.fill(symbol * 64 + l, code * 2 ** (FAST - l), (code + 1) * 2 ** (FAST - l))
  }
  return { fast, first, count, sorted, begin }
}

function unpack(data: Buffer, from: number, to: number, codes: Codes, again: number, out: Uint16Array): void {
  let at = from
  let filled = 0
  while (at < to) {
    const entry = codes.fast[take(data, at, FAST)] as number
    let symbol = entry >> 6
    if (entry !== 0) at += entry & 63
    else {
      const found = longCode(data, at, codes)
      symbol = found.symbol
      at += found.length
    }
    if (symbol === again) {
      const run = take(data, at, 8)
      at += 8
      if (filled === 0 || filled + run > out.length) throw new RangeError('a Huffman run too long')
      out.fill(out[filled - 1] as number, filled, filled + run)
      filled += run
    } else {
      if (filled === out.length) throw new RangeError('more Huffman words than expected')
      out[filled++] = symbol
    }
  }
  if (filled !== out.length) throw new RangeError(`${filled} Huffman words of ${out.length}`)
}

function longCode(data: Buffer, at: number, { first, count, sorted, begin }: Codes) {
  let code = take(data, at, FAST)
  for (let length = FAST + 1; length <= LONGEST; length++) {
    code = 2 * code + take(data, at + length - 1, 1)
    const index = code - (first[length] as number)
    if (index >= 0 && index < (count[length] as number))
      return { length, symbol: sorted[(begin[length] as number) + index] as number }
  }
  throw new RangeError('a Huffman code that means nothing')
}
