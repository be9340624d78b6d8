/**
 * Samples from FFmpeg's memory order to our planes, bit for bit: a planar little-endian format becomes views on
 * the buffer it came in; everything else is picked apart. No value is scaled; half floats
 * widen exactly, 1-bit pictures become 0 and 255, palettes are looked up.
 */
import { type NativeFrame, type Plane, planeSize, type Samples } from '../core/index.js'
import { fromHalves, pickSamples } from '../kernels/index.js'
import { type Component, memorySize, type PixelFormat } from './formats.js'

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
  const memory = memoryPlanes(bytes, format, width, height)
  const planes: Plane[] = []
  for (let i = 0; i < format.components.length; i++) {
    const size = planeSize(format.layout, width, height, i)
    const c = format.components[i] as Component
    const earlier = format.components.findIndex(
      (d) => d.plane === c.plane && d.offset === c.offset && d.shift === c.shift,
    )
    const shared = earlier < i ? planes[earlier] : undefined
    planes.push(shared ?? { ...size, data: pick(memory[c.plane] as MemoryPlane, format, c, size) })
  }
  return { ...frame, planes }
}

interface MemoryPlane {
  readonly bytes: Uint8Array
  /** Bytes a row and a word. */
  readonly line: number
  readonly word: 1 | 2 | 4
}

function memoryPlanes(bytes: Uint8Array, format: PixelFormat, width: number, height: number): MemoryPlane[] {
  const sizes = format.planes.map((_, i) => memorySize(format, width, height, i))
  const word = (sizes[0]?.bytes ?? 1) as 1 | 2 | 4
  const need = sizes.reduce((n, s) => n + s.words * s.rows * word, 0)
  if (bytes.byteLength < need) {
    throw new RangeError(`${format.name} ${width}×${height} needs ${need} bytes, has ${bytes.byteLength}`)
  }
  const own = bytes.byteOffset % word === 0 ? bytes : new Uint8Array(bytes)
  let at = 0
  return sizes.map((s) => {
    const line = s.words * word
    at += line * s.rows
    return { bytes: own.subarray(at - line * s.rows, at), line, word }
  })
}

function pick(
  { bytes, line, word }: MemoryPlane,
  format: PixelFormat,
  { step, offset, shift }: Component,
  { width, height }: { width: number; height: number },
): Samples {
  const { bigEndian, layout } = format
  const inWord = format.word === 'u32'
  const down = inWord ? 0 : shift
  const lies = { size: word, step: step as 1 | 2 | 3 | 4, offset, swap: bigEndian, shift: down }
  const alone = step === 1 && down === 0
  const picked = !alone
    ? pickSamples(bytes, line, lies, width, height)
    : bigEndian
      ? turned(bytes, word)
      : bytes
  const at = [picked.buffer as ArrayBuffer, picked.byteOffset, picked.byteLength / word] as const
  if (format.word === 'half') {
    const out = new Float32Array(width * height)
    fromHalves(new Uint16Array(...at), out)
    return out
  }
  if (inWord) return fromWords(new Uint32Array(...at), shift, 2 ** layout.bits - 1)
  if (layout.float) return new Float32Array(...at)
  return word === 2 ? new Uint16Array(...at) : new Uint8Array(...at)
}

function turned(bytes: Uint8Array, word: 1 | 2 | 4): Uint8Array {
  const own = new Uint8Array(bytes)
  const view = Buffer.from(own.buffer)
  if (word === 2) view.swap16()
  else if (word === 4) view.swap32()
  return own
}

function fromWords(words: Uint32Array, shift: number, mask: number): Samples {
  const out = new Uint16Array(words.length)
  for (let i = 0; i < out.length; i++) out[i] = ((words[i] as number) >>> shift) & mask
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
