import type { Region } from './region.js'

/**
 * A float picture over a region of the frame: interleaved RGBA, 4 · width · height values, row by row.
 * What the numbers mean is said by whoever makes it: *linear* pictures are premultiplied light in the
 * plate's primaries with diffuse white = 1; *code* pictures hold R′G′B′ with nominal black 0 and white 1.
 */
export interface FloatImage {
  readonly region: Region
  readonly data: Float32Array
}

export function emptyImage(region: Region): FloatImage {
  return { region, data: new Float32Array(4 * region.width * region.height) }
}

/** Colour as three numbers, in the primaries that the context says. */
export type Rgb = readonly [number, number, number]
