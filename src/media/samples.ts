/**
 * Samples from FFmpeg's memory order to our planes, bit for bit: a planar little-endian format becomes views on
 * the buffer it came in; everything else is picked apart word by word. No value is scaled; half floats
 * widen exactly, 1-bit pictures become 0 and 255, palettes are looked up.
 */
import { type NativeFrame, type Plane, planeSize, type Samples } from '../core/index.js'
import { type Component, memorySize, type PixelFormat } from './formats.js'
import { halfToFloat } from './half.js'

type Words = Uint8Array | Uint16Array | Uint32Array | Float32Array

/** Tight picture of `format` (rows unpadded, planes one behind the other) → our planes. Keeps `bytes`: do not reuse it. */
export function unpackSamples(
  bytes: Uint8Array,
  format: PixelFormat,
  width: number,
  height: number,
): NativeFrame {
  const frame = { layout: format.layout, width, height }
  if (format.special === 'palette') return { ...frame, planes: fromPalette(bytes, width, height) }
  if (format.special !== undefined) {
    return { ...frame, planes: fromBits(bytes, width, height, format.special === 'zero-black') }
  }
  const memory = memoryWords(bytes, format, width, height)
  const planes: Plane[] = []
  for (let i = 0; i < format.components.length; i++) {
    const size = planeSize(format.layout, width, height, i)
    const c = format.components[i] as Component
    const earlier = format.components.findIndex(
      (d) => d.plane === c.plane && d.offset === c.offset && d.shift === c.shift,
    )
    const shared = earlier < i ? planes[earlier] : undefined
    planes.push(shared ?? { ...size, data: pick(memory[c.plane] as Words, format, c, size) })
  }
  return { ...frame, planes }
}

/** One array of words a memory plane, in this machine's (little-endian) order. */
function memoryWords(bytes: Uint8Array, format: PixelFormat, width: number, height: number): Words[] {
  const sizes = format.planes.map((_, i) => memorySize(format, width, height, i))
  const wordSize = sizes[0]?.bytes ?? 1
  const need = sizes.reduce((n, s) => n + s.words * s.rows * wordSize, 0)
  if (bytes.byteLength < need) {
    throw new RangeError(`${format.name} ${width}×${height} needs ${need} bytes, has ${bytes.byteLength}`)
  }
  let own = bytes
  if (format.bigEndian) {
    own = Uint8Array.from(bytes)
    swap(Buffer.from(own.buffer), wordSize)
  } else if (bytes.byteOffset % wordSize !== 0) own = Uint8Array.from(bytes)
  const out: Words[] = []
  let at = own.byteOffset
  for (const s of sizes) {
    const count = s.words * s.rows
    const Kind =
      format.word === 'float'
        ? Float32Array
        : wordSize === 4
          ? Uint32Array
          : wordSize === 2
            ? Uint16Array
            : Uint8Array
    out.push(new Kind(own.buffer as ArrayBuffer, at, count))
    at += count * wordSize
  }
  return out
}

function swap(bytes: Buffer, wordSize: number): void {
  if (wordSize === 2) bytes.swap16()
  else if (wordSize === 4) bytes.swap32()
}

function pick(
  from: Words,
  format: PixelFormat,
  c: Component,
  size: { width: number; height: number },
): Samples {
  const { step, offset, shift } = c
  const bits = format.layout.bits
  if (step === 1 && shift === 0 && format.word !== 'half' && format.word !== 'u32') return from as Samples
  const count = size.width * size.height
  const row = from.length / size.height
  const half = format.word === 'half'
  const out = format.layout.float
    ? new Float32Array(count)
    : bits > 8
      ? new Uint16Array(count)
      : new Uint8Array(count)
  const mask = bits === 32 ? 0 : 2 ** bits - 1
  for (let y = 0; y < size.height; y++) {
    let at = y * row + offset
    const start = y * size.width
    if (half)
      for (let x = 0; x < size.width; x++, at += step) out[start + x] = halfToFloat(from[at] as number)
    else if (shift === 0 && format.word !== 'u32') {
      for (let x = 0; x < size.width; x++, at += step) out[start + x] = from[at] as number
    } else
      for (let x = 0; x < size.width; x++, at += step)
        out[start + x] = ((from[at] as number) >>> shift) & mask
  }
  return out
}

/** A table of 256 words, blue in the low byte, alpha in the high one, stands behind the indices. */
function fromPalette(bytes: Uint8Array, width: number, height: number): Plane[] {
  const count = width * height
  const planes = [2, 1, 0, 3].map((channel) => {
    const data = new Uint8Array(count)
    for (let i = 0; i < count; i++) data[i] = bytes[count + 4 * (bytes[i] as number) + channel] as number
    return { width, height, data }
  })
  return planes
}

function fromBits(bytes: Uint8Array, width: number, height: number, zeroIsBlack: boolean): Plane[] {
  const data = new Uint8Array(width * height)
  const row = (width + 7) >> 3
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const bit = ((bytes[y * row + (x >> 3)] as number) >> (7 - (x & 7))) & 1
      data[y * width + x] = (bit === 1) === zeroIsBlack ? 255 : 0
    }
  }
  const plane = { width, height, data }
  return [plane, plane, plane]
}
