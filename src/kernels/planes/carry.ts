/** A frame's own samples, and all that a patch is made from, in the kernels' memory. */
import type { NativeFrame, Plane, Region, Samples } from '../../core/index.js'
import { memory, takeLike, words } from '../wasm/memory.js'
import { codeScale } from './codes.js'
import type { Coding } from './coding.js'

/** 0 bytes, 1 words of 16 bits, 2 floats: log2 of the bytes a sample. */
export type SampleType = 0 | 1 | 2

export function sampleType(data: Samples): SampleType {
  return data.BYTES_PER_ELEMENT === 1 ? 0 : data.BYTES_PER_ELEMENT === 2 ? 1 : 2
}

export interface Carried {
  readonly start: number
  readonly type: SampleType
  /** Bytes a row. */
  readonly line: number
}

/** Rows of a plane, carried into scratch memory. */
export function carried({ data, width }: Plane, y: number, rows: number): Carried {
  const type = sampleType(data)
  return { start: words(data.subarray(y * width, (y + rows) * width)), type, line: width << type }
}

/** The same rows back into the plane. */
export function carryBack({ start, line }: Carried, { data }: Plane, y: number, rows: number): void {
  const plane = new Uint8Array(data.buffer, data.byteOffset, data.byteLength)
  plane.set(new Uint8Array(memory.buffer, start, line * rows), line * y)
}

/** Addresses of what a patch is made from. */
export interface Pictures {
  readonly region: Region
  /** Rows that hold a touched pixel. */
  readonly busy: Uint8Array
  readonly before: number
  readonly after: number
  readonly keep: number
  readonly touched: number
}

/** Offset, scale and top of a plane's codes, for `settleRow`. */
export function scaleWords(base: NativeFrame, coding: Coding, plane: number): number {
  const { offset, scale, top } = codeScale(base.layout, coding.range, plane)
  return words(Float32Array.of(offset, scale, top))
}

/** Room for rows of a plane that are about to be written. */
export function emptyRows({ data, width }: Plane, y: number, rows: number): Carried {
  const type = sampleType(data)
  const line = width << type
  return { start: takeLike(data.byteOffset + line * y, line * rows), type, line }
}
