/**
 * Times and keys of a track off the index of its file: what `scan` finds by reading every packet, without reading the pictures.
 *
 *   pts(i) = Σ steps before i + offset(i) − start of the one edit
 *
 * Plain files alone: one edit or none, which cuts nothing away. Everything else (several edits, fragments, empty samples, a
 * cut file) gives `undefined` and is scanned. Sync samples are places from which all later pictures decode.
 *
 * Source: [iso14496-12 §8.6 (times, sync samples, edits), §8.7.3 (sizes)].
 */
import type { Stream } from 'node-av/lib'
import { boxAt, boxes, movieIndex } from './boxes.js'
import type { Scan } from './scan.js'

export async function sampleTable(path: string, stream: Stream): Promise<Scan | undefined> {
  const index = await movieIndex(path)
  if (index === undefined) return undefined
  for (const { type, payload } of boxes(index)) {
    if (type !== 'trak') continue
    const head = boxAt(payload, 'tkhd')
    if (head === undefined || trackNumber(head) !== stream.id) continue
    const { num, den } = stream.timeBase
    return num === 1 ? tableOf(payload, den, movieScale(index)) : undefined
  }
  return undefined
}

function trackNumber(head: Buffer): number {
  return head.readUInt32BE(head[0] === 1 ? 20 : 12)
}

function movieScale(index: Buffer): number | undefined {
  const head = boxAt(index, 'mvhd')
  return head?.readUInt32BE(head[0] === 1 ? 20 : 12)
}

function tableOf(track: Buffer, clock: number, movieClock: number | undefined): Scan | undefined {
  const head = boxAt(track, 'mdia', 'mdhd')
  const samples = boxAt(track, 'mdia', 'minf', 'stbl')
  if (head?.readUInt32BE(head[0] === 1 ? 20 : 12) !== clock || samples === undefined) return undefined
  const steps = runs(boxAt(samples, 'stts'))
  const count = sampleCount(boxAt(samples, 'stsz'))
  if (steps === undefined || count === 0 || steps.length !== count) return undefined
  const offsetBox = boxAt(samples, 'ctts')
  const offsets = offsetBox === undefined ? undefined : runs(offsetBox)
  if (offsetBox !== undefined && offsets?.length !== count) return undefined
  const edit = editOf(boxAt(track, 'edts', 'elst'))
  if (edit === undefined) return undefined
  const dts = new Float64Array(count)
  for (let i = 1; i < count; i++) dts[i] = (dts[i - 1] as number) + (steps[i - 1] as number)
  const pts = dts.map((t, i) => t + (offsets?.[i] ?? 0) - edit.start)
  const last = pts.reduce((m, t) => Math.max(m, t), Number.NEGATIVE_INFINITY)
  const cuts = edit.length !== undefined && last * (movieClock ?? 0) >= edit.length * clock
  if ((edit.length !== undefined && pts.reduce((m, t) => Math.min(m, t), last) !== 0) || cuts)
    return undefined
  const at = (i: number) => ({ pts: pts[i] as number, dts: (dts[i] as number) - edit.start })
  const syncs = boxAt(samples, 'stss')
  const numbers = syncs === undefined ? Array.from(pts, (_, i) => i) : listed(syncs)
  if (numbers.some((i) => i < 0 || i >= count)) return undefined
  return {
    pts: pts.slice().sort(),
    count,
    packets: count,
    tick: 1 / clock,
    lastStep: (steps[pts.indexOf(last)] as number) / clock,
    keys: numbers.map(at),
    sync: true,
  }
}

/** Pairs of count and value, one value a sample; offsets are signed, which no sane step tells apart. */
function runs(box: Buffer | undefined): number[] | undefined {
  if (box === undefined) return undefined
  const out: number[] = []
  for (let k = 0; k < box.readUInt32BE(4); k++) {
    const n = box.readUInt32BE(8 + 8 * k)
    const value = box.readInt32BE(12 + 8 * k)
    for (let i = 0; i < n; i++) out.push(value)
  }
  return out
}

/** 0 where a sample is empty. */
function sampleCount(box: Buffer | undefined): number {
  if (box === undefined) return 0
  const count = box.readUInt32BE(8)
  if (box.readUInt32BE(4) > 0) return count
  for (let i = 0; i < count; i++) if (box.readUInt32BE(12 + 4 * i) === 0) return 0
  return count
}

function listed(box: Buffer): number[] {
  return Array.from({ length: box.readUInt32BE(4) }, (_, k) => box.readUInt32BE(8 + 4 * k) - 1)
}

/** Start in ticks of the track, length in ticks of the movie; `undefined` when it is not one plain edit. */
function editOf(box: Buffer | undefined): { start: number; length?: number } | undefined {
  if (box === undefined) return { start: 0 }
  const long = box[0] === 1
  if (box.readUInt32BE(4) !== 1) return undefined
  const length = long ? Number(box.readBigUInt64BE(8)) : box.readUInt32BE(8)
  const start = long ? Number(box.readBigInt64BE(16)) : box.readInt32BE(12)
  const rate = box.readInt32BE(long ? 24 : 16)
  return start < 0 || rate !== 0x10000 ? undefined : { start, length }
}
