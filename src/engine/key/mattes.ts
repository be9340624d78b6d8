/** Mattes that come as files: what the element covers, what is kept out of it and what is surely in it. */
import { type NativeFrame, Problem } from '../../core/index.js'
import { openSource, type Source, type SourceInfo } from '../../media/index.js'
import { Forward } from '../forward.js'
import type { KeyedFile, KeyOptions } from './types.js'

/** Of one frame, 0 to 1 a pixel. */
export interface MattesAt {
  /** The coverage itself. */
  readonly matte?: Float32Array
  /** Nothing is kept: the most of all that are given. */
  readonly outside?: Float32Array
  /** All is the element: the most of all that are given. */
  readonly covered?: Float32Array
}

type Use = keyof MattesAt

interface Opened {
  readonly use: Use
  readonly source: Source
  readonly frames: Forward
}

export class Mattes {
  readonly #all: readonly Opened[]
  readonly #first: number
  readonly #clip: number

  private constructor(all: readonly Opened[], first: number, clip: number) {
    this.#all = all
    this.#first = first
    this.#clip = clip
  }

  /** @throws Problem `key.wrong-size`, `key.matte-frames`; as `openSource` */
  static async open(
    { info: clip }: Source,
    frames: KeyedFile['frames'],
    { matte, outsideFiles = [], coveredFiles = [] }: KeyOptions,
  ): Promise<Mattes> {
    const asked: readonly (readonly [Use, string])[] = [
      ...(matte === undefined ? [] : [['matte', matte] as const]),
      ...outsideFiles.map((f) => ['outside', f] as const),
      ...coveredFiles.map((f) => ['covered', f] as const),
    ]
    const all: Opened[] = []
    try {
      for (const [use, file] of asked) {
        const source = await openSource(file)
        all.push({ use, source, frames: new Forward(source) })
        refuseMatte(source.info, clip, frames.count)
      }
    } catch (error) {
      for (const { source } of all) await source.close()
      throw error
    }
    return new Mattes(all, frames.first, clip.frameCount)
  }

  get files(): readonly SourceInfo[] {
    return this.#all.map((a) => a.source.info)
  }

  /** Undefined where no file is given. @param number of the clip */
  async at(number: number): Promise<MattesAt | undefined> {
    if (this.#all.length === 0) return undefined
    const out: { -readonly [K in Use]?: Float32Array } = {}
    for (const { use, source, frames } of this.#all) {
      const { frameCount } = source.info
      const index = frameCount === this.#clip ? number : number - this.#first
      const frame = await frames.at(Math.min(Math.max(index, 0), frameCount - 1))
      if (frame === undefined) throw new Error('the matte has no such frame')
      const shares = sharesOf(frame, source.info)
      const before = out[use]
      for (let p = 0; before !== undefined && p < shares.length; p++)
        shares[p] = Math.max(shares[p] as number, before[p] as number)
      out[use] = shares
    }
    return out
  }

  async close(): Promise<void> {
    for (const { frames, source } of this.#all) {
      await frames.close()
      await source.close()
    }
  }
}

function refuseMatte(matte: SourceInfo, clip: SourceInfo, count: number): void {
  if (matte.width !== clip.width || matte.height !== clip.height)
    throw new Problem({
      code: 'key.wrong-size',
      what: 'A matte has the size of the file that it is for',
      where: matte.path,
      expected: `${clip.width}×${clip.height}, as ${clip.path}`,
      received: `${matte.width}×${matte.height}`,
    })
  if ([1, clip.frameCount, count].includes(matte.frameCount)) return
  throw new Problem({
    code: 'key.matte-frames',
    what: 'This matte does not say which of its frames belongs to which of the file',
    where: matte.path,
    expected: `1 frame, which stands for all; ${clip.frameCount}, as many as the file has${count === clip.frameCount ? '' : `; or ${count}, as many as are asked for`}`,
    received: `${matte.frameCount}`,
    remedy: 'Give the matte of the whole file, or name the frames that it is for (--frames).',
  })
}

/** Its alpha where it has one that says anything; else its first plane, from black to white of its range. */
function sharesOf({ layout, planes, width, height }: NativeFrame, { encoding }: SourceInfo): Float32Array {
  const whole = layout.float ? 1 : 2 ** layout.bits - 1
  const alpha = layout.alpha ? planes[3]?.data : undefined
  const own = alpha?.some((v) => v < whole) === true
  const data = own ? alpha : planes[0]?.data
  const limited = !own && !layout.float && encoding.range === 'limited'
  const [black, white] = limited ? [16 * 2 ** (layout.bits - 8), 235 * 2 ** (layout.bits - 8)] : [0, whole]
  const out = new Float32Array(width * height)
  for (let p = 0; p < out.length; p++)
    out[p] = Math.min(Math.max(((data?.[p] as number) - black) / (white - black), 0), 1)
  return out
}
