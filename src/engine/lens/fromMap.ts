/** The plate's distortion out of pictures of a map (`mapWords.ts`): nodes over the picture, and how well they hold what is between. */
import { extname } from 'node:path'
import { Matrix, solve } from 'ml-matrix'
import { reachOf } from '../../chain/lens/bend.js'
import { mapWays, nodePlaces } from '../../chain/lens/distortion/map.js'
import { distortionWays } from '../../chain/lens/distortion/model.js'
import { Problem, type Reading } from '../../core/index.js'
import { openSource } from '../../media/index.js'
import type { Picture } from '../plan.js'
import type { MapWay } from './mapWords.js'
import type { LensFound } from './write.js'

export interface MapAsked {
  readonly file: string
  readonly way: MapWay
}

/** Half a window around a node from which its place is told, of the way between nodes. */
const WINDOW = 0.4
/** Samples across it. */
const SAMPLES = 13
/** Fewer samples tell no parabola. */
const FEWEST = 12
/** px that two frames of a map may differ by, and nodes from what lies between. */
const ALIKE = 0.05

interface UvPicture {
  readonly width: number
  readonly height: number
  /** By pixel: where it points to, half the short side about the picture's middle. */
  readonly at: (x: number, y: number) => readonly [number, number]
}

/** @throws Problem `lens.map-file`, `lens.map-moves`, `lens.map-shape`, `lens.distortion-folds`, as `openSource` */
export async function fromMap(
  plate: Pick<Picture, 'width' | 'height'>,
  { file, way }: MapAsked,
): Promise<{ readonly reading: Reading<LensFound>; readonly said: readonly string[] }> {
  const { first, last } = await read(file)
  const unit = Math.min(plate.width, plate.height) / 2
  const reach = reachOf(plate)
  if (Math.abs(first.width / first.height / (plate.width / plate.height) - 1) > 1e-3)
    throw shape(first, plate, file)
  const told = nodePlaces(reach).map(([x, y]) => nodeOf(first, x, y))
  if (last !== undefined)
    refuseMoving(
      told,
      nodePlaces(reach).map(([x, y]) => nodeOf(last, x, y)),
      unit,
      file,
    )
  const asTold = shiftsOf(told, nodePlaces(reach))
  // A map from the plate without distortion is gone the other way.
  const way2 = mapWays(asTold, reach)
  const terms =
    way === 'to-straight'
      ? asTold
      : shiftsOf(
          nodePlaces(reach).map(([x, y]) => way2.bent(x, y)),
          nodePlaces(reach),
        )
  const off = unit * worst(first, distortionWays({ form: 'map', terms }, reach), way)
  return {
    reading: {
      value: { form: 'map', terms },
      evidence: {
        kind: 'derived',
        formula: 'a distortion map, at nodes over the picture',
        inputs: { file, way },
        confidence: 0.95,
      },
    },
    said:
      off > ALIKE ? [`Between its nodes the map is up to ${off.toFixed(2)} px off what the file says.`] : [],
  }
}

async function read(file: string): Promise<{ first: UvPicture; last: UvPicture | undefined }> {
  const channels: Float32Array[][] = []
  let size = { width: 0, height: 0 }
  for (const layer of ['R', 'G']) {
    const source = await openMap(file, layer)
    try {
      const { width, height, frameCount } = source.info
      size = { width, height }
      const planes: Float32Array[] = []
      for (const n of frameCount > 1 ? [0, frameCount - 1] : [0])
        for await (const native of source.frames(n, 1))
          planes.push(Float32Array.from(native.planes[0]?.data ?? []))
      channels.push(planes)
    } finally {
      await source.close()
    }
  }
  const [red = [], green = []] = channels
  const made = red.map((r, i) => uv(size, r, green[i] as Float32Array))
  return { first: made[0] as UvPicture, last: made[1] }
}

/** Asking for a layer tells what is no OpenEXR, but the person named none. */
async function openMap(file: string, layer: string): ReturnType<typeof openSource> {
  try {
    return await openSource(file, { layer })
  } catch (e) {
    if (!(e instanceof Problem) || e.detail.code !== 'media.no-layers') throw e
    throw new Problem({
      code: 'lens.map-file',
      what: 'A distortion map is an OpenEXR file',
      where: file,
      expected: 'an OpenEXR file whose channels R and G say places as shares of width and height',
      received: extname(file) === '' ? 'another kind of file' : `a file ${extname(file)}`,
      remedy: 'Write the map as OpenEXR: eight or sixteen bits a channel are too coarse for places.',
    })
  }
}

function uv(
  { width, height }: { width: number; height: number },
  r: Float32Array,
  g: Float32Array,
): UvPicture {
  const unit = Math.min(width, height) / 2
  return {
    width,
    height,
    at: (x, y) => {
      const o = y * width + x
      return [((r[o] as number) - 0.5) * (width / unit), ((g[o] as number) - 0.5) * (height / unit)]
    },
  }
}

/** Where a node points to: a parabola in both directions through what lies around it, so that rounding in the file meets itself. */
function nodeOf(picture: UvPicture, x: number, y: number): readonly [number, number] {
  const { width, height } = picture
  const unit = Math.min(width, height) / 2
  const [cx, cy] = [x * unit + width / 2, y * unit + height / 2]
  const half = Math.max(3, (WINDOW * width) / 32)
  const rows: number[][] = []
  const values: number[][] = []
  for (const py of around(cy, half, height)) {
    for (const px of around(cx, half, width)) {
      const [s, t] = [(px + 0.5 - cx) / half, (py + 0.5 - cy) / half]
      const [u, v] = picture.at(px, py)
      if (!Number.isFinite(u) || !Number.isFinite(v)) continue
      rows.push([1, s, t, s * s, s * t, t * t])
      values.push([u - (px + 0.5 - width / 2) / unit, v - (py + 0.5 - height / 2) / unit])
    }
  }
  if (rows.length < FEWEST) throw holes(x, y)
  const found = solve(new Matrix(rows), new Matrix(values), true)
  return [x + found.get(0, 0), y + found.get(0, 1)]
}

/** Whole pixels around a place, within the picture. */
function around(c: number, half: number, count: number): number[] {
  const all = Array.from({ length: SAMPLES }, (_, i) =>
    Math.round(c - 0.5 + half * ((2 * i) / (SAMPLES - 1) - 1)),
  )
  // At the border the window moves inwards: a parabola needs three places.
  const shift = Math.max(0, -(all[0] as number)) - Math.max(0, (all.at(-1) as number) - count + 1)
  return [...new Set(all.map((v) => Math.min(Math.max(v + shift, 0), count - 1)))]
}

function shiftsOf(
  to: readonly (readonly [number, number])[],
  from: readonly (readonly [number, number])[],
): number[] {
  return to.flatMap(([u, v], i) => [u - (from[i]?.[0] as number), v - (from[i]?.[1] as number)])
}

/** Half the short side: how far at most the file's pixels are from where the nodes put them. */
function worst(picture: UvPicture, ways: ReturnType<typeof distortionWays>, way: MapWay): number {
  const { width, height } = picture
  const unit = Math.min(width, height) / 2
  const through = way === 'to-straight' ? ways.undistort : ways.distort
  let off = 0
  for (let y = 5; y < height; y += 37) {
    for (let x = 5; x < width; x += 41) {
      const [u, v] = picture.at(x, y)
      const [p, q] = through((x + 0.5 - width / 2) / unit, (y + 0.5 - height / 2) / unit)
      off = Math.max(off, Math.sqrt((u - p) ** 2 + (v - q) ** 2))
    }
  }
  return off
}

function refuseMoving(
  a: readonly (readonly [number, number])[],
  b: readonly (readonly [number, number])[],
  unit: number,
  file: string,
): void {
  const moved =
    unit * Math.max(...a.map(([x, y], i) => Math.hypot(x - (b[i]?.[0] as number), y - (b[i]?.[1] as number))))
  if (moved <= ALIKE) return
  throw new Problem({
    code: 'lens.map-moves',
    what: 'This map changes from its first to its last frame',
    where: file,
    expected: 'a lens that stands still over the shot',
    received: `up to ${moved.toFixed(2)} px`,
    remedy: 'Name the one file whose frame holds for the shot, or cut the shot where the lens moves.',
  })
}

function holes(x: number, y: number): Problem {
  return new Problem({
    code: 'lens.map-holes',
    what: 'This map points nowhere in a part of the picture',
    where: '--map',
    expected: 'numbers in every pixel of the channels R and G',
    received: `none about ${(x).toFixed(2)}, ${(y).toFixed(2)} of half the short side from the middle`,
  })
}

function shape(map: UvPicture, plate: Pick<Picture, 'width' | 'height'>, file: string): Problem {
  return new Problem({
    code: 'lens.map-shape',
    what: 'This map is one of another picture than the plate',
    where: file,
    expected: `pictures as wide for their height as the plate's ${plate.width}×${plate.height}`,
    received: `${map.width}×${map.height}`,
  })
}
