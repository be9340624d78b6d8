/** What a file is, and what its pixels say of it: the facts, then one finding a question. */
import { toPremultiplied } from '../../chain/source/alpha/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { curveOf } from '../../colour/index.js'
import type { FloatImage, NativeFrame } from '../../core/index.js'
import { type OpenOptions, openSource, type Source, type SourceInfo } from '../../media/index.js'
import { alphaSaid } from '../ground.js'
import { linearFrame } from '../samples.js'
import { tableOf } from '../tables.js'
import { alphaFinding, glowFinding } from './alpha.js'
import { kindOf } from './alphaKind.js'
import { AlphaMeter } from './alphaLook.js'
import { bitsFinding } from './bits.js'
import { blendsFinding } from './blends.js'
import { blockingFinding } from './blocking.js'
import { clippingFindings } from './clipping.js'
import { Codes } from './codes.js'
import { combsFinding } from './combs.js'
import { curveFinding } from './curve.js'
import { dropsFinding } from './drops.js'
import { borderFinding, contactOf, floorFinding, isOnBlack } from './element.js'
import type { Finding } from './finding.js'
import { flashFinding } from './flash.js'
import { KeyMeter } from './key.js'
import { matrixFinding } from './matrix.js'
import { Motion } from './motion.js'
import { lookAtNoise, noiseFinding } from './noise.js'
import { picksOf } from './picks.js'
import { rangeFinding } from './range.js'
import { repeatsFinding, repeatsOf } from './repeats.js'
import { codesOf, type Still } from './still.js'

export interface DiagnoseOptions extends OpenOptions {
  /** Reads every frame instead of a sample. */
  readonly all?: boolean
  readonly signal?: AbortSignal
}

export interface FileDiagnosis {
  readonly info: SourceInfo
  readonly findings: readonly Finding[]
  /** How many frames were decoded for it. */
  readonly framesLookedAt: number
}

/**
 * Looks at a file's pixels.
 * @throws Problem as `openSource`, and of damaged frames among those read
 */
export async function diagnoseFile(path: string, o: DiagnoseOptions = {}): Promise<FileDiagnosis> {
  const { all = false, signal, ...open } = o
  const source = await openSource(path, open)
  try {
    const seen = await look(source, all, signal)
    return { info: source.info, findings: judge(source.info, seen), framesLookedAt: seen.codes.frames.length }
  } finally {
    await source.close()
  }
}

interface Seen {
  readonly codes: Codes
  readonly motion: Motion
  readonly stills: readonly Still[]
  readonly frames: readonly number[]
}

async function look(source: Source, all: boolean, signal: AbortSignal | undefined): Promise<Seen> {
  const { info } = source
  const picks = picksOf(info, all)
  const codes = new Codes(info.layout)
  const motion = new Motion(decodeOf(info))
  const stills: { frame: number; native: NativeFrame; after?: NativeFrame }[] = []
  const frames: number[] = []
  for (const { first, count } of picks.runs) {
    let frame = first
    for await (const native of source.frames(first, count)) {
      signal?.throwIfAborted()
      const last = stills.at(-1)
      if (last?.frame === frame - 1) last.after = native
      if (picks.stills.has(frame)) stills.push({ frame, native })
      codes.add(frame, native)
      motion.add(frame, native)
      frames.push(frame)
      frame++
    }
  }
  return { codes, motion, stills, frames }
}

/** Share of the code range to light. */
function decodeOf({ layout, encoding }: SourceInfo): (share: number) => number {
  const { decode } = curveOf(encoding.curve)
  if (layout.float || encoding.range === 'full') return (v) => Math.max(decode(v), 0)
  const [black, span] = [16 / 255.996, 219 / 255.996]
  return (v) => Math.max(decode((v - black) / span), 0)
}

function judge(info: SourceInfo, { codes, motion, stills, frames }: Seen): Finding[] {
  const { encoding } = info
  const { steps } = motion
  const at = stills.map((s) => s.frame)
  const noise = lookAtNoise(stills, encoding.range)
  const repeats = repeatsOf(steps, new Set(info.conform.repeated))
  const repeated = new Set([...repeats.exact, ...repeats.near, ...info.conform.repeated])
  const moving =
    info.frameCount < 2
      ? []
      : [
          repeatsFinding(repeats, steps, frames),
          dropsFinding(steps, repeated, frames),
          combsFinding(steps, frames),
          blendsFinding(steps, repeated, frames),
          flashFinding(steps, frames),
        ]
  return [
    ...(info.layout.float
      ? []
      : [
          rangeFinding(codes, encoding.range),
          ...(info.layout.family === 'yuv' ? [matrixFinding(stills, encoding)] : []),
          curveFinding(codes, encoding.range, encoding.curve, noise),
          bitsFinding(codes),
        ]),
    ...clippingFindings(stills, encoding),
    ...(info.layout.float ? [] : [blockingFinding(stills), noiseFinding(noise, at)]),
    ...moving,
    ...(info.layout.alpha ? alphaFindings(info, stills) : plainFindings(stills, info, at)),
  ]
}

function alphaFindings(info: SourceInfo, stills: readonly Still[]): Finding[] {
  const at = stills.map((s) => s.frame)
  const meter = new AlphaMeter(info.layout, info.encoding)
  for (const s of stills) meter.add(codesOf(s, info.encoding))
  const seen = meter.look()
  const said = alphaSaid(info).kind
  const kind = kindOf(seen, said)
  const whole = kind.found === 'constant'
  const alpha = alphaFinding(seen, kind, said, whole && isOnBlack(linear(stills, info)), at)
  if (whole) return [alpha, ...plainFindings(stills, info, at)]
  const used = kind.found === 'straight' || kind.found === 'premultiplied' ? kind.found : said
  const table = tableOf(info.encoding.curve, 'decode')
  const contacts = stills.map((s) => {
    const image = codesOf(s, info.encoding)
    replaceNotFinite(image)
    toPremultiplied(image, used, table)
    return contactOf(s.frame, image, false)
  })
  return [alpha, glowFinding(seen, kind.found, used, at), borderFinding(contacts)]
}

function linear(stills: readonly Still[], info: SourceInfo): FloatImage[] {
  return stills.map((s) => linearFrame(s.native, info.encoding))
}

function plainFindings(stills: readonly Still[], info: SourceInfo, at: readonly number[]): Finding[] {
  const images = linear(stills, info)
  if (!isOnBlack(images)) {
    const key = new KeyMeter()
    images.forEach((image, i) => {
      key.add(at[i] ?? 0, image)
    })
    return [key.finding()]
  }
  return [
    floorFinding(images, at),
    borderFinding(images.map((image, i) => contactOf(at[i] ?? 0, image, true))),
  ]
}
