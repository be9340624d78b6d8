/** What a file is, and what its pixels say of it: the facts, then one finding a question. */
import { type OpenOptions, openSource, type Source, type SourceInfo } from '../../media/index.js'
import { tracker } from '../progress.js'
import type { Job } from '../types.js'
import { bandingFinding } from './banding.js'
import { bitsFinding, bitsOf } from './bits.js'
import { blendsFinding } from './blends.js'
import { blockingFinding } from './blocking.js'
import { clippingFindings } from './clipping.js'
import { combsFinding } from './combs.js'
import { containerFindings } from './container.js'
import { coverFindings, type Pass } from './cover.js'
import { curveFinding } from './curve.js'
import { dropsFinding } from './drops.js'
import { fieldsFinding } from './fields.js'
import type { Finding } from './finding.js'
import { flashFinding } from './flash.js'
import { look, type Seen } from './look.js'
import { lostFinding } from './lost.js'
import { matrixFinding } from './matrix.js'
import { lookAtNoise, noiseFinding } from './noise.js'
import { provenRange, rangeFinding } from './range.js'
import { rateFindings } from './rate.js'
import { repeatsFinding, repeatsOf } from './repeats.js'
import { carried } from './share.js'
import type { Still } from './still.js'

export interface DiagnoseOptions extends Omit<OpenOptions, 'inspect'>, Pick<Job, 'signal' | 'onProgress'> {
  /** Reads every frame instead of a sample. */
  readonly all?: boolean
}

export interface FileDiagnosis {
  readonly info: SourceInfo
  readonly findings: readonly Finding[]
  /** How many frames were decoded for it. */
  readonly framesLookedAt: number
}

/**
 * Looks at a file's pixels. What other work refuses but can be described (interlaced or damaged frames, an end cut off, a hole in
 * a sequence, a picture that changes size) is found and said.
 * @throws Problem as `openSource` of files that cannot be described
 */
export async function diagnoseFile(path: string, o: DiagnoseOptions = {}): Promise<FileDiagnosis> {
  const { all = false, signal, onProgress, ...open } = o
  const job: Job = { ...(signal && { signal }), ...(onProgress && { onProgress }) }
  const source = await openSource(path, { ...open, inspect: true })
  try {
    const seen = await look(source, all, job)
    const every = () => (all ? again(source, seen, job) : seen.stills)
    const findings = await judge(source.info, seen, every)
    return { info: source.info, findings, framesLookedAt: seen.frames.length }
  } finally {
    await source.close()
  }
}

/** Every frame that could be read, once more: there is no room to keep them all. */
async function* again(source: Source, { frames }: Seen, job: Job): AsyncGenerator<Still> {
  const progress = tracker(job, 'diagnose', frames.length)
  let done = 0
  for (let i = 0; i < frames.length; ) {
    const first = frames[i] as number
    let count = 1
    while (frames[i + count] === first + count) count++
    let frame = first
    for await (const native of source.frames(first, count)) {
      progress(++done)
      yield { frame: frame++, native }
    }
    i += count
  }
}

async function judge(info: SourceInfo, seen: Seen, every: Pass): Promise<Finding[]> {
  const file = [lostFinding(seen.lost, seen.frames, info.findings), ...rateFindings(info)]
  const pictures = seen.frames.length === 0 ? [] : await pictureFindings(info, seen, every)
  const fields = pictures.some((f) => f.code === 'diagnose.fields')
  const share = { seen: seen.frames.length, all: info.frameCount, sampled: seen.sampled }
  return [...file, ...containerFindings(info, fields), ...pictures].map((f) => carried(f, share))
}

async function pictureFindings(info: SourceInfo, seen: Seen, every: Pass): Promise<Finding[]> {
  const { codes, stills, frames, finite } = seen
  const { encoding, layout, encodingEvidence: by } = info
  const at = stills.map((s) => s.frame)
  const ranged = rangeFinding(codes, encoding.range, by.range)
  const deep = bitsFinding(codes)
  const [range, bits] = [provenRange(ranged, encoding.range), bitsOf(deep, layout.bits)]
  const noise = lookAtNoise(stills, range, bits)
  const banding = bandingFinding(stills)
  const blocks = blockingFinding(stills)
  // Stairs are no noise: nothing follows from how they go with level.
  const grain = banding.verdict === 'fault' ? NO_NOISE : noise
  return [
    ...(layout.float
      ? []
      : [
          ranged,
          ...(layout.family === 'yuv' ? [matrixFinding(stills, encoding, by.matrix, isCoarse(blocks))] : []),
          curveFinding(codes, range, encoding.curve, by.curve, grain, bits),
          deep,
          banding,
        ]),
    ...clippingFindings(stills, encoding),
    ...(layout.float ? [finite.finding(frames)] : [blocks, noiseFinding(noise, at)]),
    ...(info.frameCount < 2 ? [] : movingFindings(info, seen)),
    ...(await coverFindings(info, seen, every)),
  ]
}

const NO_NOISE = { levels: [], sigma: [] }
/** Height of block edges, in codes of 255, from which the codec has moved strong colours as well. */
const COARSE = 1

function isCoarse({ verdict, numbers }: Finding): boolean {
  return verdict === 'fault' && Number(numbers.height) > COARSE
}

function movingFindings(info: SourceInfo, { motion: { steps }, frames }: Seen): Finding[] {
  const conformed = new Set(info.conform.repeated)
  const repeats = repeatsOf(steps, conformed)
  const repeated = new Set([...repeats.exact, ...repeats.near, ...conformed])
  const fields = fieldsFinding(steps, frames, info.fieldOrder)
  return [
    repeatsFinding(repeats, steps, frames, info.conform.repeated),
    dropsFinding(steps, repeated, frames),
    fields,
    // Interlaced pictures are combed all over: said once.
    ...(fields.verdict === 'fault' ? [] : [combsFinding(steps, frames)]),
    blendsFinding(steps, repeated, frames),
    flashFinding(steps, frames),
  ]
}
