import type { NativeFrame } from '../core/index.js'
import type { Source } from '../media/index.js'
import type { FrameMemory } from './frameMemory.js'

/** A source read forward, one frame held: asked for the same frame twice it gives the same arrays. What lies between is left out. */
export class Forward {
  readonly #source: Source
  readonly #memory: FrameMemory | undefined
  #frames: AsyncGenerator<NativeFrame, void, undefined> | undefined
  #index = -1
  #held: NativeFrame | undefined

  constructor(source: Source, memory?: FrameMemory) {
    this.#source = source
    this.#memory = memory
  }

  /** How many frames it would read forward to give this one; infinite where it would have to go back. */
  ahead(index: number): number {
    if (index === this.#index) return 0
    return index > this.#index && this.#frames !== undefined ? index - this.#index : Number.POSITIVE_INFINITY
  }

  async at(index: number): Promise<NativeFrame | undefined> {
    if (index === this.#index) return this.#held
    if (this.#frames === undefined || index !== this.#index + 1) {
      await this.close()
      this.#frames = this.#source.frames(index, undefined, this.#memory?.take)
      this.#index = index - 1
    }
    const next = await this.#frames.next()
    this.#keep(next.done === true ? undefined : next.value)
    this.#index = index
    return this.#held
  }

  async close(): Promise<void> {
    await this.#frames?.return()
    this.#frames = undefined
    this.#keep(undefined)
  }

  #keep(frame: NativeFrame | undefined): void {
    if (this.#held !== undefined) this.#memory?.letGo(this.#held)
    this.#held = frame === undefined ? undefined : (this.#memory?.share(frame) ?? frame)
  }
}
