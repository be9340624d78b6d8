/** The attributes of an OpenEXR header, and the types of them that are read. Source: [openexr-layout]. */
import type { Region } from '../../../core/index.js'

export interface Attribute {
  readonly type: string
  /** Byte position and length of the value. */
  readonly at: number
  readonly size: number
}

export interface ExrChannel {
  readonly name: string
  readonly type: 'uint' | 'half' | 'float'
  /** `pLinear`: DWA stores it without its perceptual scale. */
  readonly linear: boolean
  /** Pixels from one sample to the next. */
  readonly stepX: number
  readonly stepY: number
}

/** Attributes by name from byte `from` on, up to the empty name that ends a header. */
export function attributes(bytes: Uint8Array, view: DataView, from: number) {
  const list = new Map<string, Attribute>()
  let at = from
  while (view.getUint8(at) !== 0) {
    const name = text(bytes, at)
    at += name.length + 1
    const type = text(bytes, at)
    at += type.length + 1
    const size = view.getInt32(at, true)
    if (size < 0 || at + 4 + size > bytes.length) throw new RangeError(`attribute ${name} has size ${size}`)
    list.set(name, { type, at: at + 4, size })
    at += 4 + size
  }
  return { list, end: at + 1 }
}

function text(bytes: Uint8Array, at: number): string {
  const end = bytes.indexOf(0, at)
  if (end < 0 || end - at > 255) throw new RangeError(`no name ends at byte ${at}`)
  return Buffer.from(bytes.subarray(at, end)).toString('latin1')
}

export function box(view: DataView, at: number): Region {
  const [x, y, x1, y1] = [0, 4, 8, 12].map((d) => view.getInt32(at + d, true)) as [
    number,
    number,
    number,
    number,
  ]
  if (x1 < x || y1 < y) throw new RangeError(`window ${x},${y} to ${x1},${y1} is empty`)
  return { x, y, width: x1 - x + 1, height: y1 - y + 1 }
}

const kinds = ['uint', 'half', 'float'] as const

export function channelList(bytes: Uint8Array, view: DataView, from: number): ExrChannel[] {
  const out: ExrChannel[] = []
  let at = from
  while (view.getUint8(at) !== 0) {
    const name = text(bytes, at)
    at += name.length + 1
    const type = kinds[view.getInt32(at, true)]
    if (type === undefined) throw new RangeError(`channel ${name} has an unknown type`)
    const linear = view.getUint8(at + 4) !== 0
    out.push({ name, type, linear, stepX: view.getInt32(at + 8, true), stepY: view.getInt32(at + 12, true) })
    at += 16
  }
  return out
}
