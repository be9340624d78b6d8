/**
 * Sequences cut from a larger sheet often waver by a pixel in size. With alpha they are filled up at the right and
 * bottom with empty samples to the largest size; anything else that changes size is refused.
 */
import { open } from 'node:fs/promises'
import { type NativeFrame, type Plane, Problem, type Samples } from '../../core/index.js'

export interface Size {
  readonly width: number
  readonly height: number
}

/** Pixels by which sizes may differ. */
export const SLACK = 2

/**
 * The size that holds every frame, from PNG headers alone (IHDR: bytes 16 to 23; [png3 §11.2.1]).
 * @returns `undefined` when all are alike. @throws Problem `media.mixed-size`
 */
export async function commonSize(
  files: readonly string[],
  first: Size,
  alpha: boolean,
): Promise<Size | undefined> {
  let [width, height] = [first.width, first.height]
  let alike = true
  for (const file of files) {
    const size = await pngSize(file)
    if (size === undefined || (size.width === first.width && size.height === first.height)) continue
    alike = false
    const off = Math.max(Math.abs(size.width - first.width), Math.abs(size.height - first.height))
    if (!alpha || off > SLACK) throw mixed(file, first, size)
    width = Math.max(width, size.width)
    height = Math.max(height, size.height)
  }
  return alike ? undefined : { width, height }
}

async function pngSize(file: string): Promise<Size | undefined> {
  const handle = await open(file)
  try {
    const head = Buffer.alloc(24)
    const { bytesRead } = await handle.read(head, 0, 24, 0)
    if (bytesRead < 24 || head.readUInt32BE(12) !== 0x49484452) return undefined
    return { width: head.readUInt32BE(16), height: head.readUInt32BE(20) }
  } finally {
    await handle.close()
  }
}

/** Zero samples at the right and bottom; only for layouts without subsampling. */
export function fillUp(frame: NativeFrame, { width, height }: Size): NativeFrame {
  if (frame.width === width && frame.height === height) return frame
  const planes = frame.planes.map((p): Plane => {
    const data = new (p.data.constructor as new (n: number) => Samples)(width * height)
    for (let y = 0; y < p.height; y++) data.set(p.data.subarray(y * p.width, (y + 1) * p.width), y * width)
    return { width, height, data }
  })
  return { layout: frame.layout, width, height, planes }
}

export function unevenFinding(where: string, size: Size): Problem {
  return new Problem({
    code: 'media.uneven-size',
    what: 'The frames differ in size by a pixel or two; they are filled up with transparent samples at the right and bottom',
    where,
    expected: 'one size',
    received: `up to ${size.width}×${size.height}`,
    remedy: 'The element may wander by a pixel; export it at one size if that shows.',
  })
}

function mixed(where: string, first: Size, got: Size): Problem {
  return new Problem({
    code: 'media.mixed-size',
    what: 'The picture changes size',
    where,
    expected: `${first.width}×${first.height} like the first frame`,
    received: `${got.width}×${got.height}`,
    remedy: 'Export all frames at one size, or move this file elsewhere.',
  })
}
