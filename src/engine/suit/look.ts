/** One element's own facts off a handful of its frames: what the lines of its table are judged from. Plain data. */
import {
  type BorderContact,
  lightPeak,
  screenContact,
  sidesContact,
} from '../../chain/place/border/measure.js'
import { measureOwnGrain } from '../../chain/sensor/grain/measureOwn.js'
import { toPremultiplied } from '../../chain/source/alpha/apply.js'
import { type FloorMeasure, measureFloor } from '../../chain/source/floor/measure.js'
import { luminanceRow } from '../../colour/index.js'
import { emptyImage, type FloatImage, type Reading, type Rgb, told } from '../../core/index.js'
import { applyCurve } from '../../kernels/index.js'
import { openSource, type Source, type SourceInfo } from '../../media/index.js'
import type { AlphaLook } from '../diagnose/alphaLook.js'
import { bitsFinding } from '../diagnose/bits.js'
import { Codes } from '../diagnose/codes.js'
import type { Finding } from '../diagnose/finding.js'
import type { Still } from '../diagnose/still.js'
import { cornersBlack } from '../ground.js'
import { clipLevel } from '../samples.js'
import { tableOf } from '../tables.js'
import { AlphaBands } from './alpha.js'
import { compressionLine } from './blocks.js'
import { type Clipping, ceilingOf, measureClipping } from './clipping.js'
import { type CutOut, cutOutOf } from './cutout.js'
import { extentOf } from './extent.js'
import type { Found } from './find.js'
import { type OwnPoints, ownPoints } from './gain.js'
import { picksOf } from './picks.js'
import type { Line } from './types.js'
import { picturesOf, thinned, type View, viewOf } from './view.js'

/** Out of those looked at, frames on which blocks, floor and noise are measured: they hardly change within a file. */
const STEADY = 2

/** Of a file, what its table and its pictures need. */
export type ElementInfo = Pick<
  SourceInfo,
  'width' | 'height' | 'layout' | 'encoding' | 'rate' | 'rateEvidence' | 'codec' | 'alphaHint'
>

export interface ElementLook {
  readonly info: ElementInfo
  /** Frames that it has; 1 of a single picture. */
  readonly count: number
  readonly frames: readonly number[]
  readonly cut: CutOut
  /** Light where it is empty (on black), or cover there (alpha). */
  readonly floor: Reading<FloorMeasure>
  /** Variance of its grain where it is filled; of what stands on black, of its empty black. */
  readonly noise: Reading<Rgb>
  readonly clipping: Reading<Clipping>
  readonly compression: Line
  /** The finding of `diagnose` on the bits really used; absent of float files. */
  readonly bits: Finding | undefined
  /** Absent where nothing says what is element and what is ground. */
  readonly border: readonly { readonly frame: number; readonly contact: BorderContact }[] | undefined
  /** Amount of light or cover on the first, the fullest and the last frame; the last is absent when it was not looked at. */
  readonly ends: { readonly first: number; readonly most: number; readonly last: number | undefined }
  /** Share of its height that it takes up at most; undefined where nothing stands free. */
  readonly filled: number | undefined
  /** Luminance at which its light is on the average. */
  readonly level: number | undefined
  /** Black and white of what it covers. */
  readonly points: OwnPoints
  /** Premultiplied linear light of the fullest frame, thinned. */
  readonly fullest: FloatImage
}

export interface LookOptions {
  /** Of the decoder; the answer does not depend on it. */
  readonly threads?: number
  readonly signal?: AbortSignal
}

/** @throws Problem of the media room when it cannot be read; the signal's reason when cancelled */
export async function lookAtElement({ path, single }: Found, o: LookOptions = {}): Promise<ElementLook> {
  const threads = o.threads === undefined ? {} : { threads: o.threads }
  const source = await openSource(path, single ? { ...threads, still: true } : threads)
  try {
    const count = source.info.frameCount
    const pixels = source.info.width * source.info.height
    const frames = picksOf(count, pixels, (f) => source.reach(f))
    return measured(source.info, count, await gather(source, frames, o.signal))
  } finally {
    await source.close()
  }
}

interface Gathered {
  readonly views: readonly View[]
  readonly black: boolean
  readonly codes: Codes
  readonly compression: Line
  /** Of its alpha; absent where it has none. */
  readonly alpha: AlphaLook | undefined
}

/** Looks at one frame after another, so that only what is needed of each is held. */
async function gather(
  source: Source,
  frames: readonly number[],
  signal: AbortSignal | undefined,
): Promise<Gathered> {
  const { encoding, layout } = source.info
  const views: View[] = []
  const codes = new Codes(layout)
  const stills: Still[] = []
  const steady = new Set(middle(frames, STEADY))
  const { width, height } = source.info
  const alpha = layout.alpha ? new AlphaBands(layout, encoding, frames.length * width * height) : undefined
  let black = true
  for (const frame of frames) {
    signal?.throwIfAborted()
    for await (const native of source.frames(frame, 1)) {
      const thin = thinned(native)
      views.push(viewOf(frame, native, thin, encoding, steady.has(frame)))
      codes.add(frame, thin)
      alpha?.add(native)
      black &&= cornersBlack(native, encoding.range)
      if (steady.has(frame)) stills.push({ frame, native })
    }
  }
  return { views, black, codes, compression: compressionLine(stills), alpha: alpha?.look() }
}

function measured(
  info: SourceInfo,
  count: number,
  { views, black, codes, compression, alpha }: Gathered,
): ElementLook {
  const { encoding, layout } = info
  const decode = tableOf(encoding.curve, 'decode')
  const small = views.map((v) => v.small)
  const frames = views.map((v) => v.frame)
  const cut = cutOutOf(alpha, small, info, black, () => small.map((image) => decodedRows(image, decode)))
  const ceiling = ceilingOf(small, info)
  for (const view of views) for (const image of picturesOf(view)) toPremultiplied(image, cut.alpha, decode)
  const luminance = luminanceRow(encoding.primaries)
  const steady = views.filter((v) => v.rows.length > 0)
  const rows = steady.flatMap((v) => v.rows)
  const floor = floorOf(cut, rows, steady)
  const light = cut.kind === 'on-black' && told(floor) ? floor.value : undefined
  const extents = small.map((i) => extentOf(i, luminance, light))
  const amounts = extents.map((e) => e.amount)
  const fullest = amounts.indexOf(Math.max(...amounts))
  const free = cut.kind === 'alpha' || cut.kind === 'on-black'
  return {
    info: infoOf(info),
    count,
    frames,
    cut,
    floor,
    noise: noiseOf(rows, steady, cut, floor, clipLevel({ info })),
    clipping: measureClipping(small, ceiling, luminance),
    compression,
    bits: layout.float ? undefined : bitsFinding(codes),
    border: borderOf(views, cut, light),
    ends: {
      first: free ? (amounts[0] ?? 0) : 0,
      most: free ? Math.max(0, ...amounts) : 0,
      last: frames.at(-1) === count - 1 ? (free ? (amounts.at(-1) ?? 0) : 0) : undefined,
    },
    filled: free ? Math.max(0, ...extents.map((e, i) => e.height / small[i]!.region.height)) : undefined,
    level: extents[fullest]?.level,
    points: ownPoints(small[fullest] as FloatImage, cut),
    fullest: small[fullest] as FloatImage,
  }
}

function infoOf(i: SourceInfo): ElementInfo {
  const { width, height, layout, encoding, rate, rateEvidence, codec, alphaHint } = i
  const hint = alphaHint === undefined ? {} : { alphaHint }
  return { width, height, layout, encoding, rate, rateEvidence, codec, ...hint }
}

/** Every so many-th row is enough to find a ground. */
const ROWS = 3

function decodedRows({ region, data }: FloatImage, decode: ReturnType<typeof tableOf>): FloatImage {
  const height = Math.max(1, Math.floor(region.height / ROWS))
  const copy = emptyImage({ x: 0, y: 0, width: region.width, height })
  const row = 4 * region.width
  for (let y = 0; y < height; y++) {
    // The last row is the picture's own last one.
    const from = y === height - 1 ? region.height - 1 : y * ROWS
    copy.data.set(data.subarray(from * row, (from + 1) * row), y * row)
  }
  applyCurve(copy, decode)
  return copy
}

/** `count` of a list, out of its middle. */
function middle<T>(all: readonly T[], count: number): readonly T[] {
  const from = Math.max(0, (all.length - count) >> 1)
  return all.slice(from, from + count)
}

function floorOf(cut: CutOut, rows: readonly FloatImage[], views: readonly View[]): Reading<FloorMeasure> {
  const frames = views.map((v) => v.frame)
  if (cut.kind === 'alpha') return measureFloor(rows.map(coverOf), frames)
  if (cut.kind === 'on-black') return measureFloor(rows, frames)
  return { cannotTell: 'nothing in it is empty' }
}

function noiseOf(
  rows: readonly FloatImage[],
  views: readonly View[],
  cut: CutOut,
  floor: Reading<FloorMeasure>,
  clip: number,
): Reading<Rgb> {
  if (cut.kind !== 'on-black')
    return measureOwnGrain(
      rows.map((image, i) => ({ frame: views[i]?.frame ?? 0, image, after: undefined })),
      clip,
    )
  if (!told(floor)) return floor
  const square = (v: number) => v * v
  const [r, g, b] = floor.value.noise
  return { value: [square(r), square(g), square(b)], evidence: floor.evidence }
}

/** The picture's cover as light, for the floor's meter. */
function coverOf({ region, data }: FloatImage): FloatImage {
  const cover = new Float32Array(data.length)
  for (let i = 0; i < data.length; i += 4)
    cover[i] = cover[i + 1] = cover[i + 2] = cover[i + 3] = data[i + 3] as number
  return { region, data: cover }
}

function borderOf(
  views: readonly View[],
  cut: CutOut,
  light: FloorMeasure | undefined,
): ElementLook['border'] {
  const { key, kind } = cut
  if (kind === 'whole') return undefined
  return views.map(({ frame, small, sides }) => ({
    frame,
    contact:
      key === undefined
        ? sidesContact(sides, {
            ...light,
            onBlack: kind === 'on-black',
            peak: lightPeak(small, light?.floor),
          })
        : screenContact(sides, key.chroma),
  }))
}
