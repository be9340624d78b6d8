import type { ColourEncoding } from '../../core/index.js'

/** The part of an encoding that says how samples stand for R′G′B′; curve and primaries do not matter here. */
export type Coding = Pick<ColourEncoding, 'range' | 'matrix' | 'siting'>
