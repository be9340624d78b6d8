/**
 * How DWA stores each channel: by the last part of its name and its type. The rules stand in the block itself since
 * version 2: a uint16 size, then for each a name, a byte (place in R, G, B plus 1, scheme, whether case matters) and a
 * type. Source: [openexr-dwa].
 */
import type { ExrChannel } from '../attributes.js'

const schemes = ['unknown', 'dct', 'rle'] as const
const types = ['uint', 'half', 'float'] as const

export interface Stored {
  readonly scheme: (typeof schemes)[number]
  /** 0, 1, 2: R, G, B; −1: by itself. */
  readonly place: number
}

interface Rule extends Stored {
  readonly suffix: string
  readonly anyCase: boolean
  readonly type: ExrChannel['type']
}

/** Rules of a block that holds them, and where they end. @throws RangeError when they are cut short */
export function readRules(bytes: Buffer, from: number): { rules: Rule[]; end: number } {
  const end = from + bytes.readUInt16LE(from)
  const rules: Rule[] = []
  for (let at = from + 2; at < end; ) {
    const stop = bytes.indexOf(0, at)
    if (stop < 0 || stop + 3 > end) throw new RangeError('DWA rules cut short')
    const value = bytes[stop + 1] as number
    const [scheme, type] = [schemes[(value >> 2) & 3], types[bytes[stop + 2] as number]]
    if (scheme === undefined || type === undefined) throw new RangeError('a DWA rule of an unknown kind')
    const suffix = bytes.toString('latin1', at, stop)
    rules.push({ suffix, scheme, type, place: (value >> 4) - 1, anyCase: (value & 1) !== 0 })
    at = stop + 3
  }
  return { rules, end }
}

const lossy = (suffix: string, place: number): Rule[] =>
  (['half', 'float'] as const).map((type) => ({ suffix, scheme: 'dct', place, type, anyCase: true }))

/** What held before blocks had rules of their own. */
export const oldRules: readonly Rule[] = [
  ...['r', 'red'].flatMap((s) => lossy(s, 0)),
  ...['g', 'grn', 'green'].flatMap((s) => lossy(s, 1)),
  ...['b', 'blu', 'blue'].flatMap((s) => lossy(s, 2)),
  ...['y', 'by', 'ry'].flatMap((s) => lossy(s, -1)),
  ...types.map((type): Rule => ({ suffix: 'a', scheme: 'rle', place: -1, type, anyCase: true })),
]

export function storedAs(channel: ExrChannel, rules: readonly Rule[]): Stored {
  const own = channel.name.slice(channel.name.lastIndexOf('.') + 1)
  const found = rules.find(
    (r) =>
      r.type === channel.type &&
      (r.anyCase ? r.suffix.toLowerCase() === own.toLowerCase() : r.suffix === own),
  )
  return found ?? { scheme: 'unknown', place: -1 }
}
