/**
 * Memory for decoded frames, seen by all threads: a frame goes to a worker and on to the encoder without being copied, and
 * a block that was touched once is used again, which is cheaper than fresh pages for every frame.
 *
 * Whoever keeps a frame holds it and lets it go; a block is free again when nobody holds it.
 */
import type { NativeFrame, Plane, Samples } from '../core/index.js'

export class FrameMemory {
  readonly #free = new Map<number, SharedArrayBuffer[]>()
  readonly #held = new Map<ArrayBufferLike, number>()

  /** Room for `bytes`, held once. What it holds is anybody's. */
  readonly take = (bytes: number): Uint8Array<SharedArrayBuffer> => {
    const block = this.#free.get(bytes)?.pop() ?? new SharedArrayBuffer(bytes)
    this.#held.set(block, 1)
    return new Uint8Array(block)
  }

  /** The frame in memory of this kind, held once: itself where it lies there already, else a copy. */
  share(frame: NativeFrame): NativeFrame {
    if (frame.planes.every((p) => this.#held.has(p.data.buffer))) return frame
    const done = new Map<Plane, Plane>()
    for (const plane of frame.planes) if (!done.has(plane)) done.set(plane, this.#copy(plane))
    return { ...frame, planes: frame.planes.map((p) => done.get(p) as Plane) }
  }

  hold(frame: NativeFrame): void {
    for (const block of blocksOf(frame)) this.#held.set(block, (this.#held.get(block) ?? 0) + 1)
  }

  letGo(frame: NativeFrame): void {
    for (const block of blocksOf(frame)) {
      const others = (this.#held.get(block) ?? 0) - 1
      if (others > 0) this.#held.set(block, others)
      else if (this.#held.delete(block)) this.#put(block as SharedArrayBuffer)
    }
  }

  #copy({ width, height, data }: Plane): Plane {
    const { buffer } = this.take(data.byteLength)
    const Kind = data.constructor as new (buffer: SharedArrayBuffer) => Samples
    const own = new Kind(buffer)
    own.set(data)
    return { width, height, data: own }
  }

  #put(block: SharedArrayBuffer): void {
    const free = this.#free.get(block.byteLength)
    if (free === undefined) this.#free.set(block.byteLength, [block])
    else free.push(block)
  }
}

function blocksOf(frame: NativeFrame): Set<ArrayBufferLike> {
  return new Set(frame.planes.map((p) => p.data.buffer))
}
