/** All timestamps of a movie's picture track, without decoding: packets of edits that are cut away are left out. */
import { AV_PKT_FLAG_DISCARD } from 'node-av/constants'
import { Packet } from 'node-av/lib'
import type { Container } from './container.js'

export interface Scan {
  /** Ascending, in ticks of `tick` seconds; empty when the file has none and frames count in decoding order. */
  readonly pts: Float64Array
  readonly count: number
  /** Packets of the track, those cut away by edits included. */
  readonly packets: number
  readonly tick: number
  readonly lastStep: number
  /** Key packets in file order. */
  readonly keys: readonly { readonly pts: number; readonly dts: number }[]
  /** Every picture after a key decodes from it: the file's index says so, or every packet is a key. */
  readonly sync: boolean
}

const NO_PTS = -(2n ** 63n)

/** Reads the container to its end: open it anew before decoding. */
export async function scan(c: Container): Promise<Scan> {
  const packet = new Packet()
  packet.alloc()
  const pts: number[] = []
  const keys: { pts: number; dts: number }[] = []
  let timed = true
  let count = 0
  let packets = 0
  let last = Number.NEGATIVE_INFINITY
  let lastDuration = 0
  try {
    while ((await c.format.readFrame(packet)) >= 0) {
      if (packet.streamIndex === c.stream.index) packets++
      const kept = packet.streamIndex === c.stream.index && packet.size > 0
      if (kept) {
        const own = packet.pts !== NO_PTS ? packet.pts : packet.dts
        const at = Number(own)
        if (own === NO_PTS) timed = false
        if (packet.isKeyframe) keys.push({ pts: at, dts: Number(packet.dts === NO_PTS ? own : packet.dts) })
        if ((packet.flags & AV_PKT_FLAG_DISCARD) === 0) {
          count++
          pts.push(at)
          if (at > last) {
            last = at
            lastDuration = Number(packet.duration)
          }
        }
      }
      packet.unref()
    }
  } finally {
    packet.free()
  }
  const base = c.stream.timeBase
  const tick = base.num / base.den
  const sorted = Float64Array.from(pts).sort()
  const usualStep = sorted.length > 1 ? ((last - (sorted[0] as number)) / (sorted.length - 1)) * tick : 0
  return {
    pts: timed ? sorted : new Float64Array(0),
    count,
    packets,
    tick,
    lastStep: lastDuration > 0 ? lastDuration * tick : usualStep,
    keys,
    sync: keys.length === packets,
  }
}
