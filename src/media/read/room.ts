/**
 * Whether a picture fits the memory, from its header, before it is decoded: else a picture too large would end the
 * program without a word. PNG: [png3 §11.2.1] (IHDR); DPX: [st268-1 §5.2]; the others are found out when decoding.
 */
import { Problem } from '../../core/index.js'
import type { ExrPart } from './exr/header.js'

/** The decoder's own picture, its tight copy and our planes. */
const COPIES = 3

interface Extent {
  readonly width: number
  readonly height: number
  readonly bytesPerPixel: number
}

/** @throws Problem `media.picture-too-large` */
export function requireRoom(
  bytes: Buffer,
  kind: string,
  exr: ExrPart | undefined,
  where: string,
  available = process.availableMemory(),
): void {
  const extent = exr === undefined ? extentOf(bytes, kind) : exrExtent(exr)
  if (extent === undefined) return
  const { width, height, bytesPerPixel } = extent
  const need = width * height * bytesPerPixel * COPIES
  if (need <= available) return
  const gigabytes = (n: number) => `${(n / 2 ** 30).toFixed(1)} GiB`
  throw new Problem({
    code: 'media.picture-too-large',
    what: 'One picture of this file needs more memory than there is',
    where: `${where} (${width}×${height})`,
    expected: `at most ${gigabytes(available)}`,
    received: gigabytes(need),
    remedy: 'Scale the picture down or crop it before it is used here.',
  })
}

export function extentOf(bytes: Buffer, kind: string): Extent | undefined {
  if (kind === 'png' && bytes.length >= 26) {
    const channels = bytes[25] === 4 || bytes[25] === 6 || bytes[25] === 3 ? 4 : 3
    const wide = bytes[24] === 16 ? 2 : 1
    return { width: bytes.readUInt32BE(16), height: bytes.readUInt32BE(20), bytesPerPixel: channels * wide }
  }
  if (kind === 'dpx' && bytes.length >= 780) {
    const big = bytes.toString('latin1', 0, 4) === 'SDPX'
    const word = (at: number) => (big ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at))
    return { width: word(772), height: word(776), bytesPerPixel: 6 }
  }
  return undefined
}

/** Both windows count: the data is decoded, then laid into the display window. Samples are floats here. */
function exrExtent({ dataWindow: d, displayWindow: o, channels }: ExrPart): Extent {
  const wide = d.width * d.height >= o.width * o.height ? d : o
  const alpha = channels.some((c) => /(^|\.)A$/.test(c.name))
  return { width: wide.width, height: wide.height, bytesPerPixel: alpha ? 16 : 12 }
}
