/** Rows of a frame's own samples in the kernels' memory. */
import type { Plane } from '../../core/index.js'
import { memory, words } from '../wasm/memory.js'

/** 0 bytes, 1 words of 16 bits, 2 floats: log2 of the bytes a sample. */
export type SampleType = 0 | 1 | 2

export interface Carried {
  readonly start: number
  readonly type: SampleType
  /** Bytes a row. */
  readonly line: number
}

/** Rows of a plane, carried into scratch memory. */
export function carried({ data, width }: Plane, y: number, rows: number): Carried {
  const type = data.BYTES_PER_ELEMENT === 1 ? 0 : data.BYTES_PER_ELEMENT === 2 ? 1 : 2
  return { start: words(data.subarray(y * width, (y + rows) * width)), type, line: width << type }
}

/** The same rows back into the plane. */
export function carryBack({ start, line }: Carried, { data }: Plane, y: number, rows: number): void {
  const plane = new Uint8Array(data.buffer, data.byteOffset, data.byteLength)
  plane.set(new Uint8Array(memory.buffer, start, line * rows), line * y)
}
