/**
 * A source whose frames are kept as they were decoded: the planes one behind the other, samples as this machine holds them. Made
 * for work that looks at a few frames here and there: to read one back takes a sixth of decoding it (ProRes, 1080p) or less
 * (H.264: a tenth and below, for what lies before it need not be decoded). Whoever reads a whole file once does better without: to
 * write a frame costs a quarter of decoding it.
 *
 * Their linear light is not kept: it has four times the bytes, and to read them takes about as long as to make it anew.
 */
import {
  type NativeFrame,
  type PixelLayout,
  type Plane,
  planeCount,
  planeSize,
  type Samples,
} from '../../core/index.js'
import {
  type Content,
  type OpenOptions,
  openSource,
  type Source,
  type SourceInfo,
} from '../../media/index.js'
import { contentOf } from './content.js'
import { keyOf } from './key.js'
import type { Cache } from './store.js'

/** As `openSource`; with a cache its frames are kept there, and always come in memory of their own. */
export async function openCached(path: string, options: OpenOptions = {}, cache?: Cache): Promise<Source> {
  if (cache === undefined) return openSource(path, options)
  const content = await contentOf(path, options.still === true, cache)
  const source = await openSource(path, options)
  return content === undefined ? source : new CachedSource(source, content, options, cache)
}

class CachedSource implements Source {
  readonly info: SourceInfo
  readonly content: Content
  readonly #source: Source
  readonly #cache: Cache
  /** What of the options decides which samples a frame has: tags only say what they mean. */
  readonly #how: unknown

  constructor(source: Source, content: Content, { rate, layer, still, inspect }: OpenOptions, cache: Cache) {
    this.info = source.info
    this.content = content
    this.#source = source
    this.#cache = cache
    const { layout, width, height, rotation, frameCount } = source.info
    this.#how = { rate, layer, still, inspect, layout, width, height, rotation, frameCount }
  }

  async *frames(first = 0, count?: number): AsyncGenerator<NativeFrame, void, undefined> {
    const end = Math.min(this.info.frameCount, first + (count ?? this.info.frameCount))
    let decoding: { frames: AsyncGenerator<NativeFrame, void, undefined>; next: number } | undefined
    try {
      for (let n = first; n < end; n++) {
        const key = keyOf({ kind: 'frame', of: this.content.id, how: this.#how, n })
        const kept = await this.#kept(key)
        if (kept !== undefined) {
          yield kept
          continue
        }
        if (decoding?.next !== n) {
          await decoding?.frames.return()
          decoding = { frames: this.#source.frames(n, end - n), next: n }
        }
        const { done, value } = await decoding.frames.next()
        if (done === true) return
        decoding.next++
        if (await this.content.unchanged(n)) await this.#cache.put(key, value.planes.map(copyOf))
        yield value
      }
    } finally {
      await decoding?.frames.return()
    }
  }

  reach(frame: number): number {
    return this.#source.reach(frame)
  }

  close(): Promise<void> {
    return this.#source.close()
  }

  async #kept(key: string): Promise<NativeFrame | undefined> {
    const bytes = await this.#cache.get(key)
    return bytes === undefined ? undefined : frameOf(bytes, this.info)
  }
}

/** Whoever gets the frame may change it while it is being written. */
function copyOf({ data }: Plane): Uint8Array {
  return new Uint8Array(data.buffer, data.byteOffset, data.byteLength).slice()
}

/** The frame that such bytes are; nothing where they are too few or too many. */
function frameOf(bytes: Uint8Array, { layout, width, height }: SourceInfo): NativeFrame | undefined {
  const planes: Plane[] = []
  let at = bytes.byteOffset
  for (let i = 0; i < planeCount(layout); i++) {
    const size = planeSize(layout, width, height, i)
    const data = samplesAt(layout, bytes.buffer as ArrayBuffer, at, size.width * size.height)
    if (data === undefined) return undefined
    planes.push({ ...size, data })
    at += data.byteLength
  }
  return at === bytes.byteOffset + bytes.byteLength ? { layout, width, height, planes } : undefined
}

function samplesAt(layout: PixelLayout, buffer: ArrayBuffer, at: number, count: number): Samples | undefined {
  const Kind = layout.float ? Float32Array : layout.bits > 8 ? Uint16Array : Uint8Array
  return at + count * Kind.BYTES_PER_ELEMENT <= buffer.byteLength ? new Kind(buffer, at, count) : undefined
}
