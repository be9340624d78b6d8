/**
 * The codec library's own filters: `chromakey`, then `despill`. The screen's colour is the median of what is truly bare; similarity and
 * blend are searched for the least error against the truth, then the despill's mix and expand for the least colour difference.
 */
import { AVCOL_RANGE_MPEG, AVCOL_SPC_BT709 } from 'node-av/constants'
import { avGetPixFmtFromName, type FilterContext, FilterGraph, Frame } from 'node-av/lib'
import { must } from '../../src/media/write/failure.js'
import { frameOf } from '../media/avFrame.js'
import type { Truth } from './case.js'
import { lightOf, medianOf, type Planes } from './clip.js'
import { sadOf } from './errors.js'
import type { Keyed } from './plainKey.js'

const SIMILAR = [0.01, 0.02, 0.03, 0.05, 0.07, 0.1, 0.13, 0.16, 0.2, 0.25]
const BLEND = [0, 0.02, 0.04, 0.07, 0.1, 0.14, 0.2, 0.3]

/** @param cost of premultiplied frames: picks the despill */
export async function graphKey(
  clip: readonly Planes[],
  truth: readonly Truth[],
  cost: (frames: Float32Array[]) => number,
): Promise<Keyed> {
  const colour = bareColour(clip, truth)
  const key = (similar: number, blend: number) =>
    `format=yuva420p,chromakey=color=${colour}:similarity=${similar}:blend=${blend}:yuv=1`
  let best = { sad: Number.POSITIVE_INFINITY, similar: 0, blend: 0 }
  const asked = async (similar: number, blend: number) => {
    const made = await filtered(clip, `${key(similar, blend)},alphaextract`)
    const sad = made.reduce(
      (s, bytes, k) =>
        s +
        sadOf(
          Float32Array.from(bytes, (v) => v / 255),
          truth[k].alpha,
          truth[k].band,
        ),
      0,
    )
    if (sad < best.sad) best = { sad, similar, blend }
  }
  for (const similar of SIMILAR) for (const blend of BLEND) await asked(similar, blend)
  const { similar, blend } = best
  for (const s of [0.8, 0.9, 1.1, 1.25])
    for (const b of [0.8, 1, 1.25]) await asked(Math.max(s * similar, 0.01), b * blend)
  let least = Number.POSITIVE_INFINITY
  let kept: Keyed = { settings: '', frames: [] }
  for (const mix of [0.2, 0.5, 0.8, 1])
    for (const expand of [0, 0.3, 0.6, 1]) {
      const text = `${key(best.similar, best.blend)},format=rgba,despill=type=green:mix=${mix}:expand=${expand}`
      const frames = (await filtered(clip, text)).map(premultiplied)
      const v = cost(frames)
      if (v >= least) continue
      least = v
      kept = { settings: text, frames }
    }
  return kept
}

function bareColour(clip: readonly Planes[], truth: readonly Truth[]): string {
  const all: [number[], number[], number[]] = [[], [], []]
  clip.forEach(({ width, height, bytes }, k) => {
    const n = width * height
    for (let y = 0; y < height; y += 6)
      for (let x = 0; x < width; x += 6) {
        if (truth[k].alpha[y * width + x] > 0) continue
        const q = (y >> 1) * (width >> 1) + (x >> 1)
        all[0].push(bytes[y * width + x])
        all[1].push(bytes[n + q])
        all[2].push(bytes[n + n / 4 + q])
      }
  })
  return `0x${all.map((v) => medianOf(v).toString(16).padStart(2, '0')).join('')}`
}

function premultiplied(bytes: Uint8Array): Float32Array {
  const out = new Float32Array(bytes.length)
  for (let i = 0; i < bytes.length; i += 4) {
    const a = bytes[i + 3] / 255
    for (let c = 0; c < 3; c++) out[i + c] = a * lightOf(bytes[i + c] / 255)
    out[i + 3] = a
  }
  return out
}

/** All frames through a chain of filters, as tight bytes. */
async function filtered(clip: readonly Planes[], chain: string): Promise<Uint8Array[]> {
  const { width, height } = clip[0]
  const format = avGetPixFmtFromName('yuv420p')
  const graph = new FilterGraph()
  graph.alloc()
  const source = `buffer=video_size=${width}x${height}:pix_fmt=${format}:time_base=1/24:colorspace=bt709:range=tv`
  must(graph.parsePtr(`${source},${chain},buffersink`), 'Reading the filter graph')
  must(await graph.config(), 'Opening the filter graph')
  const named = (name: string) => (graph.filters ?? []).find((f) => f.filter?.name === name) as FilterContext
  const [from, to] = [named('buffer'), named('buffersink')]
  const out: Uint8Array[] = []
  for (const [k, { bytes }] of clip.entries()) {
    const frame = frameOf(bytes, width, height, format)
    Object.assign(frame, { pts: BigInt(k), colorSpace: AVCOL_SPC_BT709, colorRange: AVCOL_RANGE_MPEG })
    must(await from.buffersrcAddFrame(frame), 'Filtering')
    frame.free()
    const made = new Frame()
    made.alloc()
    must(await to.buffersinkGetFrame(made), 'Filtering')
    out.push(tight(made, width, height))
    made.free()
  }
  graph.free()
  return out
}

function tight(frame: Frame, width: number, height: number): Uint8Array {
  const [plane, stride] = [(frame.data ?? [])[0] as Buffer, frame.linesize[0]]
  const row = width * (stride >= 4 * width ? 4 : 1)
  const out = new Uint8Array(row * height)
  for (let y = 0; y < height; y++) out.set(plane.subarray(y * stride, y * stride + row), y * row)
  return out
}
