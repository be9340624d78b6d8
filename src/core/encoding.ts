import type { Siting } from './planes.js'

/** Transfer curves known to the colour room (see `colour/curves/` for the records). */
export const curveNames = [
  'linear',
  'srgb',
  'bt709',
  'bt1886',
  'gamma22',
  'gamma24',
  'gamma26',
  'gamma28',
  'pq',
  'hlg',
  's-log3',
  'logc3-ei800',
  'logc3-ei160',
  'logc3-ei200',
  'logc3-ei250',
  'logc3-ei320',
  'logc3-ei400',
  'logc3-ei500',
  'logc3-ei640',
  'logc4',
  'v-log',
  'canon-log-2',
  'canon-log-3',
  'log3g10',
  'film-gen5',
  'd-log',
  'apple-log',
  'f-log2',
  'acescc',
  'acescct',
] as const
export type CurveName = (typeof curveNames)[number]

/** Primaries known to the colour room (see `colour/primaries.ts`). */
export const primariesNames = [
  'bt709',
  'bt601-625',
  'bt601-525',
  'bt2020',
  'p3-d65',
  'p3-dci',
  'xyz',
  'aces-ap0',
  'aces-ap1',
  's-gamut3',
  's-gamut3-cine',
  'arri-wide-gamut-3',
  'arri-wide-gamut-4',
  'v-gamut',
  'cinema-gamut',
  'red-wide-gamut',
  'gen5-wide-gamut',
  'd-gamut',
  'f-gamut',
] as const
export type PrimariesName = (typeof primariesNames)[number]

/** Any RGB space by the CIE x, y of its primaries and white. */
export interface Chromaticities {
  readonly red: readonly [number, number]
  readonly green: readonly [number, number]
  readonly blue: readonly [number, number]
  readonly white: readonly [number, number]
}

/** Primaries with a name, or a file's own that have none. */
export type Primaries = PrimariesName | Chromaticities

/** By value: two files' own primaries may be alike without being one object. */
export function samePrimaries(a: Primaries, b: Primaries): boolean {
  return primariesWords(a) === primariesWords(b)
}

/** The name, or the coordinates of primaries that have none: `R 0.64 0.33, G …, white …`. */
export function primariesWords(p: Primaries): string {
  if (typeof p === 'string') return p
  const xy = (v: readonly [number, number]) => v.map((n) => Number(n.toFixed(5))).join(' ')
  return `R ${xy(p.red)}, G ${xy(p.green)}, B ${xy(p.blue)}, white ${xy(p.white)}`
}

/** Luma-chroma matrices; `rgb` means that there is none. */
export const matrixNames = ['rgb', 'bt601', 'bt709', 'bt2020'] as const
export type MatrixName = (typeof matrixNames)[number]

/** Limited: black 16 and white 235 at 8 bits. Full: 0 and 255. */
export type RangeName = 'limited' | 'full'

/** What tags say of code values: resolved from frame tags, then stream tags, then a stated assumption. */
export interface EncodingTags {
  readonly range: RangeName
  readonly matrix: MatrixName
  readonly curve: CurveName
  readonly primaries: Primaries
  readonly siting: Siting
}

/** How code values stand for colour. */
export interface ColourEncoding extends EncodingTags {
  /**
   * The camera's own curve as it was measured; `curve` then only shapes what lies below it. Rows of four numbers: linear
   * light (diffuse white = 1), then the code values R′ G′ B′ that it makes; light above 0, all four rising.
   */
  readonly response?: readonly number[]
}
