import type { NativeFrame, PixelLayout, Problem } from '../../core/index.js'

/** A movie or a sequence in the making; `createWriter` adds the order of calls and the cleaning up. */
export interface Work {
  readonly layout: PixelLayout
  readonly findings: readonly Problem[]
  readonly kept: readonly unknown[]
  /** The frame may be used again once this has returned its promise. */
  write(frame: NativeFrame, note: unknown): Promise<void>
  /** What is left to encode is made whole before the signal counts. */
  finish(signal?: AbortSignal): Promise<void>
  abort(): Promise<void>
  keep(): Promise<number>
}
