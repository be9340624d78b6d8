/**
 * Reads a WebAssembly module's instructions, to see which it uses. Binary format: W3C WebAssembly Core Specification 2.0,
 * chapter 5, with the threads proposal's prefix 0xFE.
 */

const SIMD = 0xfd
/** From here on the relaxed SIMD proposal, whose results differ between machines. */
const RELAXED = 0x100

/** Numbers of all SIMD instructions in the module's functions. */
export function simdOpcodes(wasm: Uint8Array): Set<number> {
  const found = new Set<number>()
  const reader = new Reader(wasm, 8)
  while (reader.at < wasm.length) {
    const id = reader.byte()
    const end = reader.unsigned() + reader.at
    if (id === 10) {
      for (let n = reader.unsigned(); n > 0; n--) readBody(reader, found)
      if (reader.at !== end) throw new Error(`code ends at ${reader.at}, not at ${end}`)
    }
    reader.at = end
  }
  return found
}

/** Those of them that are not portable to the bit. */
export function relaxedOpcodes(wasm: Uint8Array): number[] {
  return [...simdOpcodes(wasm)].filter((code) => code >= RELAXED)
}

class Reader {
  readonly data: Uint8Array
  at: number

  constructor(data: Uint8Array, at: number) {
    this.data = data
    this.at = at
  }

  byte(): number {
    return this.data[this.at++]
  }

  /** LEB128; signed numbers are as long. */
  unsigned(): number {
    let value = 0
    for (let scale = 1; ; scale *= 128) {
      const b = this.byte()
      value += (b & 127) * scale
      if (b < 128) return value
    }
  }

  many(count: number): void {
    for (let i = 0; i < count; i++) this.unsigned()
  }
}

function readBody(reader: Reader, found: Set<number>): void {
  const end = reader.unsigned() + reader.at
  for (let groups = reader.unsigned(); groups > 0; groups--) {
    reader.unsigned()
    reader.byte()
  }
  while (reader.at < end) readInstruction(reader, found)
  if (reader.at !== end) throw new Error(`a function ends at ${reader.at}, not at ${end}`)
}

function readInstruction(reader: Reader, found: Set<number>): void {
  const code = reader.byte()
  if (code === SIMD) readSimd(reader, found)
  else if (code === 0xfe) reader.many(reader.unsigned() === 3 ? 1 : 2)
  else if (code === 0xfc) {
    const sub = reader.unsigned()
    reader.many(sub < 8 ? 0 : sub === 9 || sub === 11 || sub === 13 || sub > 14 ? 1 : 2)
  } else if (code >= 0x02 && code <= 0x04) reader.many(1)
  else if (code === 0x0e) reader.many(reader.unsigned() + 1)
  else if (code === 0x11) reader.many(2)
  else if (code === 0x1c) reader.many(reader.unsigned())
  else if ([0x0c, 0x0d, 0x10, 0xd0, 0xd2].includes(code) || (code >= 0x20 && code <= 0x26)) reader.many(1)
  else if (code >= 0x28 && code <= 0x3e) reader.many(2)
  else if (code >= 0x3f && code <= 0x42) reader.many(1)
  else if (code === 0x43) reader.at += 4
  else if (code === 0x44) reader.at += 8
}

function readSimd(reader: Reader, found: Set<number>): void {
  const sub = reader.unsigned()
  found.add(sub)
  if (sub <= 11 || sub === 92 || sub === 93) reader.many(2)
  else if (sub === 12 || sub === 13) reader.at += 16
  else if (sub >= 21 && sub <= 34) reader.at += 1
  else if (sub >= 84 && sub <= 91) {
    reader.many(2)
    reader.at += 1
  }
}
