/** Frames kept by a key, up to a number of bytes; those used longest ago go first. */
import type { NativeFrame } from '../../core/index.js'

export interface Kept {
  readonly frame: NativeFrame
  /** Of a plate: what it shows when nothing is done to it, three bytes a pixel. */
  readonly shown?: Uint8Array
}

export class Store {
  readonly #bytes: number
  readonly #kept = new Map<string, Kept>()
  #used = 0

  /** @param bytes that it may hold; the newest is kept in any case */
  constructor(bytes: number) {
    this.#bytes = bytes
  }

  /** What is kept under `key`, or made and kept. */
  async get(key: string, make: () => Promise<Kept>): Promise<Kept> {
    const known = this.#kept.get(key)
    if (known !== undefined) {
      this.#kept.delete(key)
      this.#kept.set(key, known)
      return known
    }
    const made = await make()
    const meanwhile = this.#kept.get(key)
    if (meanwhile !== undefined) return meanwhile
    this.#kept.set(key, made)
    this.#used += bytesOf(made)
    for (const [old, kept] of this.#kept) {
      if (this.#used <= this.#bytes || old === key) break
      this.#kept.delete(old)
      this.#used -= bytesOf(kept)
    }
    return made
  }

  clear(): void {
    this.#kept.clear()
    this.#used = 0
  }
}

function bytesOf({ frame, shown }: Kept): number {
  return frame.planes.reduce((sum, p) => sum + p.data.byteLength, shown?.byteLength ?? 0)
}
