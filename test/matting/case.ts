/** One case of the world `green-wall`: filmed, keyed three ways, and how far each is from the truth. */
import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import { keyFile } from '../../src/engine/key/key.js'
import { unpack } from '../../src/kernels/index.js'
import { openSource } from '../../src/media/index.js'
import { filmWall } from '../worlds/wall/film.js'
import { type WallOptions, type WallSetting, wallSetting } from '../worlds/wall/setting.js'
import { armBlur } from './blur.js'
import { planesOf } from './clip.js'
import { differenceOf } from './composite.js'
import { bandOf, type ErrorMaps, errorMaps, errorsOf, type MatteErrors, sadOf } from './errors.js'
import { graphKey } from './graphKey.js'
import { plainKey } from './plainKey.js'

/** Of a frame. */
export interface Truth {
  readonly alpha: Float32Array
  /** Premultiplied light without spill, and alpha. */
  readonly element: Float32Array
  /** Where edges are: 1. */
  readonly band: Uint8Array
}

export interface MattingRow extends MatteErrors {
  readonly case: string
  /** Errors are the mean of the frames; these two the best that their settings can do. */
  readonly plainKeySad: number
  readonly ffmpegSad: number
  /** CIEDE2000 over three grounds, mean over the band. */
  readonly deltaE: number
  readonly plainKeyDeltaE: number
  readonly ffmpegDeltaE: number
  /** Root mean square of what the matte's change from frame to frame has beside the true one, over the band. */
  readonly chatter: number
  readonly plainKeyChatter: number
  /** Blur of the forearm's edges over the true one; of whole frames, as what follows. */
  readonly blur?: number
  /** Pixels a frame, off the band, that are bare and not 0, and that are whole and not 1. */
  readonly floor?: number
  readonly ceiling?: number
}

export const PARTS = {
  hair: [270, 30, 600, 270],
  scarf: [165, 270, 300, 390],
  arm: [620, 200, 800, 420],
} as const

export interface Filmed {
  readonly s: WallSetting
  readonly clip: string
  readonly truth: readonly Truth[]
}

export async function filmed(folder: string, options: WallOptions): Promise<Filmed> {
  const s = wallSetting(options)
  const clip = join(folder, 'wall.mov')
  const painted = await filmWall(clip, s)
  return { s, clip, truth: painted.map(({ element }) => truthOf(s, element)) }
}

export function truthOf(s: WallSetting, element: Float32Array): Truth {
  const alpha = element.filter((_, i) => i % 4 === 3)
  return { alpha, element, band: bandOf({ ...s, alpha }, Math.round(8 * s.scale)) }
}

/** Our own key of a clip: premultiplied light and alpha a frame. */
export async function ownKey(folder: string, clip: string): Promise<Float32Array[]> {
  const out = join(folder, 'keyed', 'wall.####.exr')
  await mkdir(join(folder, 'keyed'), { recursive: true })
  await keyFile(clip, { out, spill: 1 })
  return framesOf(out)
}

/** Premultiplied light and alpha of every frame of a file. */
export async function framesOf(path: string): Promise<Float32Array[]> {
  const source = await openSource(path)
  const frames: Float32Array[] = []
  for await (const f of source.frames()) {
    const whole = { x: 0, y: 0, width: f.width, height: f.height }
    frames.push(Float32Array.from(unpack(f, source.info.encoding, whole).data))
  }
  await source.close()
  return frames
}

/** The case, then its hair, scarf and arm. */
export async function rowsOf(
  name: string,
  folder: string,
  { s, clip, truth }: Filmed,
): Promise<MattingRow[]> {
  const planes = await planesOf(clip)
  const cost = (frames: Float32Array[]) => differenceOf(frames, truth, s.width, 13)
  const own = await ownKey(folder, clip)
  const plain = plainKey(planes, truth, cost)
  const graph = await graphKey(planes, truth, cost)
  const keys = [own, plain.frames, graph.frames].map((frames) => ({ frames, alphas: alphasOf(frames) }))
  const maps = truth.map((t, k) => errorMaps({ ...s, alpha: keys[0].alphas[k] }, t.alpha))
  const row = (called: string, seen: readonly Truth[]) => rowOf(called, s, seen, keys, maps)
  const parts = Object.entries(PARTS).map(([part, box]) =>
    row(
      `${name}/${part}`,
      truth.map((t) => within(t, s, box)),
    ),
  )
  return [{ ...row(name, truth), ...wholeOf(s, truth, keys[0].alphas) }, ...parts]
}

interface Key {
  readonly frames: readonly Float32Array[]
  readonly alphas: readonly Float32Array[]
}

export function alphasOf(frames: readonly Float32Array[]): Float32Array[] {
  return frames.map((f) => f.filter((_, i) => i % 4 === 3))
}

function rowOf(
  name: string,
  s: WallSetting,
  truth: readonly Truth[],
  [own, plain, graph]: readonly Key[],
  maps: readonly ErrorMaps[],
): MattingRow {
  const errors = maps.map((m, k) => errorsOf(m, truth[k].band))
  const mean = (of: (k: number) => number) => meanOf(truth.map((_, k) => of(k)))
  const sad = ({ alphas }: Key) => mean((k) => sadOf(alphas[k], truth[k].alpha, truth[k].band))
  return {
    case: name,
    sad: mean((k) => errors[k].sad),
    mse: mean((k) => errors[k].mse),
    gradient: mean((k) => errors[k].gradient),
    connectivity: mean((k) => errors[k].connectivity),
    plainKeySad: sad(plain),
    ffmpegSad: sad(graph),
    deltaE: round(differenceOf(own.frames, truth, s.width)),
    plainKeyDeltaE: round(differenceOf(plain.frames, truth, s.width)),
    ffmpegDeltaE: round(differenceOf(graph.frames, truth, s.width)),
    chatter: round(chatterOf(own.alphas, truth)),
    plainKeyChatter: round(chatterOf(plain.alphas, truth)),
  }
}

/** What is asked of whole frames. */
function wholeOf(s: WallSetting, truth: readonly Truth[], alphas: readonly Float32Array[]) {
  const wrong = (of: 0 | 1) =>
    meanOf(
      truth.map(({ alpha, band }, k) =>
        alphas[k].reduce((n, v, p) => (band[p] === 0 && alpha[p] === of && v !== of ? n + 1 : n), 0),
      ),
    )
  const blur = (of: readonly Float32Array[]) =>
    armBlur(
      s,
      of.map((alpha) => ({ ...s, alpha })),
    )
  return {
    blur: round(blur(alphas) / blur(truth.map((t) => t.alpha))),
    floor: wrong(0),
    ceiling: wrong(1),
  }
}

function meanOf(values: readonly number[]): number {
  return round(values.reduce((a, b) => a + b, 0) / values.length)
}

function chatterOf(alphas: readonly Float32Array[], truth: readonly Truth[]): number {
  let [sum, n] = [0, 0]
  for (let k = 1; k < alphas.length; k++)
    for (let p = 0; p < alphas[k].length; p++) {
      if (truth[k].band[p] === 0) continue
      const change = alphas[k][p] - alphas[k - 1][p]
      sum += (change - (truth[k].alpha[p] - truth[k - 1].alpha[p])) ** 2
      n++
    }
  return Math.sqrt(sum / Math.max(n, 1))
}

/** Only the band within a box, in units. */
function within(
  t: Truth,
  s: WallSetting,
  [x0, y0, x1, y1]: readonly [number, number, number, number],
): Truth {
  const band = t.band.map((v, p) => {
    const [x, y] = [(p % s.width) / s.scale, Math.floor(p / s.width) / s.scale]
    return x >= x0 && x < x1 && y >= y0 && y < y1 ? v : 0
  })
  return { ...t, band }
}

function round(v: number): number {
  return Number(v.toPrecision(4))
}
