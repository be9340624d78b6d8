/** One element's own facts off a handful of its frames: what the lines of its table are judged from. */
import { type BorderContact, borderContact } from '../../chain/place/border/measure.js'
import { measureOwnGrain } from '../../chain/sensor/grain/measureOwn.js'
import { toPremultiplied } from '../../chain/source/alpha/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import { type FloorMeasure, measureFloor } from '../../chain/source/floor/measure.js'
import { curveOf, luminanceRow } from '../../colour/index.js'
import { type FloatImage, type NativeFrame, type Reading, type Rgb, told } from '../../core/index.js'
import { unpack } from '../../kernels/index.js'
import { openSource, type SourceInfo } from '../../media/index.js'
import { cornersBlack } from '../ground.js'
import { spread } from '../samples.js'
import { tableOf } from '../tables.js'
import { compressionLine } from './blocks.js'
import { type Clipping, measureClipping } from './clipping.js'
import { type CutOut, cutOutOf } from './cutout.js'
import { extentOf } from './extent.js'
import type { Found } from './find.js'
import type { Line } from './types.js'

/** Out of those, frames on which blocks, floor and noise are measured: they hardly change within a file. */
const STEADY = 2

/** A whole range of code beyond nominal white that video may hold: (254 − 16) / 219. */
const SUPER_WHITE = 238 / 219

export interface ElementLook {
  readonly info: SourceInfo
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
  readonly border: readonly { readonly frame: number; readonly contact: BorderContact }[]
  /** Amount of light or cover on the first, the fullest and the last frame looked at. */
  readonly ends: { readonly first: number; readonly most: number; readonly last: number }
  /** Share of its height that it takes up at most; undefined where nothing stands free. */
  readonly filled: number | undefined
  /** Luminance at which its light is on the average. */
  readonly level: number | undefined
  /** Premultiplied linear light of the frames looked at; the fullest of them. */
  readonly images: readonly FloatImage[]
  readonly fullest: FloatImage
}

/**
 * @param samples frames to look at, its first and last among them
 * @throws Problem of the media room when it cannot be read
 */
export async function lookAtElement({ path, single }: Found, samples: number): Promise<ElementLook> {
  const source = await openSource(path)
  try {
    const count = single ? 1 : source.info.frameCount
    const frames = spread(0, count - 1, samples)
    const natives: NativeFrame[] = []
    for (const frame of frames) for await (const native of source.frames(frame, 1)) natives.push(native)
    return measured(source.info, count, frames, natives)
  } finally {
    await source.close()
  }
}

function measured(
  info: SourceInfo,
  count: number,
  frames: readonly number[],
  natives: readonly NativeFrame[],
): ElementLook {
  const codes = natives.map((n) => {
    const image = unpack(n, info.encoding, { x: 0, y: 0, width: n.width, height: n.height })
    replaceNotFinite(image)
    return image
  })
  const black = natives.every((n) => cornersBlack(n, info.encoding.range))
  const cut = cutOutOf(codes, info, black)
  const ceiling = ceilingOf(codes, info)
  const decode = tableOf(info.encoding.curve, 'decode')
  for (const image of codes) toPremultiplied(image, cut.alpha, decode)
  const images: readonly FloatImage[] = codes
  const luminance = luminanceRow(info.encoding.primaries)
  const free = cut.kind === 'alpha' || cut.kind === 'on-black'
  const steady = (all: readonly FloatImage[]) => middle(all, STEADY)
  const steadyFrames = middle(frames, STEADY)
  const floor =
    cut.kind === 'alpha'
      ? measureFloor(steady(images).map(coverOf), steadyFrames)
      : measureFloor(steady(images), steadyFrames)
  const light = cut.kind === 'on-black' && told(floor) ? floor.value : undefined
  const extents = images.map((i) => extentOf(i, luminance, light))
  const amounts = extents.map((e) => e.amount)
  const fullest = amounts.indexOf(Math.max(...amounts))
  return {
    info,
    count,
    frames,
    cut,
    floor,
    noise: noiseOf(steady(images), steadyFrames, cut, floor),
    clipping: measureClipping(images, ceiling, luminance),
    compression: compressionLine(
      middle(natives, STEADY).map((native, i) => ({ frame: steadyFrames[i] as number, native })),
    ),
    border: free
      ? images.map((image, i) => ({
          frame: frames[i] as number,
          contact: borderContact(image, { ...(light ?? {}), onBlack: cut.kind === 'on-black' }),
        }))
      : [],
    ends: {
      first: free ? (amounts[0] ?? 0) : 0,
      most: free ? Math.max(0, ...amounts) : 0,
      last: free ? (amounts.at(-1) ?? 0) : 0,
    },
    filled: free ? Math.max(0, ...extents.map((e) => e.height)) / info.height : undefined,
    level: extents[fullest]?.level,
    images,
    fullest: images[fullest] as FloatImage,
  }
}

/** `count` of a list, out of its middle. */
function middle<T>(all: readonly T[], count: number): readonly T[] {
  const from = Math.max(0, (all.length - count) >> 1)
  return all.slice(from, from + count)
}

function noiseOf(
  images: readonly FloatImage[],
  frames: readonly number[],
  cut: CutOut,
  floor: Reading<FloorMeasure>,
): Reading<Rgb> {
  if (cut.kind !== 'on-black') return measureOwnGrain(images, [...frames])
  if (!told(floor)) return floor
  const square = (v: number) => v * v
  const [r, g, b] = floor.value.noise
  return { value: [square(r), square(g), square(b)], evidence: floor.evidence }
}

/** The picture's cover as light, for the floor's meter. */
function coverOf({ region, data }: FloatImage): FloatImage {
  const cover = new Float32Array(data.length)
  for (let i = 0; i < data.length; i += 4) cover.fill(data[i + 3] as number, i, i + 3)
  return { region, data: cover }
}

/** Linear value at which its code ends: nominal white, or the code's own end where the file goes beyond white. */
function ceilingOf(codes: readonly FloatImage[], { layout, encoding }: SourceInfo): number {
  if (layout.float) return Number.POSITIVE_INFINITY
  const { decode } = curveOf(encoding.curve)
  if (layout.family !== 'yuv' || encoding.range !== 'limited') return decode(1)
  let most = 0
  for (const { data } of codes)
    for (let i = 0; i < data.length; i++)
      if ((i & 3) !== 3 && (data[i] as number) > most) most = data[i] as number
  return decode(most > 1.03 ? Math.max(SUPER_WHITE, 1) : 1)
}
