/**
 * An OpenEXR file of two channels of single floats, R and G: places, which half floats would round to half a pixel. ZIP in blocks of 16
 * lines, as `exr.ts`. Source: [openexr-layout].
 */
import { floats, ints, shrink, text } from './exr.js'

const LINES = 16
const [ZIP, FLOAT] = [3, 2]

/** Bytes of a file. @param first row by row, channel R @param second channel G */
export async function mapFile(
  width: number,
  height: number,
  first: Float32Array,
  second: Float32Array,
): Promise<Buffer> {
  const window = ints(0, 0, width - 1, height - 1)
  const channel = (name: string) => [text(name), ints(FLOAT, 0, 1, 1)]
  const attributes: (readonly [string, string, Buffer])[] = [
    ['channels', 'chlist', Buffer.concat([...channel('G'), ...channel('R'), Buffer.alloc(1)])],
    ['compression', 'compression', Buffer.from([ZIP])],
    ['dataWindow', 'box2i', window],
    ['displayWindow', 'box2i', window],
    ['lineOrder', 'lineOrder', Buffer.alloc(1)],
    ['pixelAspectRatio', 'float', floats(1)],
    ['screenWindowCenter', 'v2f', floats(0, 0)],
    ['screenWindowWidth', 'float', floats(1)],
  ]
  const parts = attributes.flatMap(([name, type, value]) => [
    text(name),
    text(type),
    ints(value.length),
    value,
  ])
  const head = Buffer.concat([Buffer.from([0x76, 0x2f, 0x31, 0x01, 2, 0, 0, 0]), ...parts, Buffer.alloc(1)])
  const offsets = Buffer.alloc(8 * Math.ceil(height / LINES))
  const written: Uint8Array[] = [head, offsets]
  let at = head.length + offsets.length
  for (let top = 0, n = 0; top < height; top += LINES, n++) {
    const lines = Math.min(LINES, height - top)
    const raw = new Float32Array(2 * lines * width)
    for (let y = 0; y < lines; y++) {
      const row = width * (top + y)
      raw.set(second.subarray(row, row + width), 2 * y * width)
      raw.set(first.subarray(row, row + width), (2 * y + 1) * width)
    }
    const block = await shrink(new Uint8Array(raw.buffer))
    offsets.writeBigUInt64LE(BigInt(at), 8 * n)
    written.push(ints(top, block.length), block)
    at += 8 + block.length
  }
  return Buffer.concat(written)
}
