/**
 * What a file's colour tags mean. Resolved tag by tag: the picture's own (bitstream) → the container's → a stated
 * assumption; an override stands above all. Code points: [h273-2021 tables 2 to 4, clause 8.7].
 */
import {
  type CurveName,
  type EncodingTags,
  type Evidence,
  type MatrixName,
  type PixelLayout,
  type Primaries,
  type PrimariesName,
  Problem,
  type RangeName,
  type Siting,
} from '../../core/index.js'

/** Code points as the library gives them. 2 is unspecified for curve, primaries and matrix; 0 for range and siting. */
export interface RawTags {
  readonly range: number
  readonly primaries: number
  readonly curve: number
  readonly matrix: number
  readonly siting: number
}

export interface Guess<T> {
  readonly value: T
  readonly why: string
  readonly confidence: number
}

/** What the caller read in the file by itself: stands above the library's tags. */
export type Known = {
  readonly [P in keyof EncodingTags]?: { readonly value: EncodingTags[P]; readonly method: string }
}

/** What to take where the file is silent. */
export interface Guesses {
  readonly range?: Guess<RangeName>
  readonly curve?: Guess<CurveName>
  readonly primaries?: Guess<Primaries>
  readonly siting?: Guess<Siting>
}

export interface TagQuestion {
  readonly where: string
  readonly layout: PixelLayout
  readonly height: number
  readonly frame: RawTags
  readonly stream?: RawTags
  /** The pixel format itself means full range. */
  readonly fullByFormat: boolean
  readonly known?: Known
  readonly guesses: Guesses
  readonly overrides: Partial<EncodingTags>
  /** Where the overrides come from; they count as set by hand where nothing is said. */
  readonly evidence?: Readonly<Partial<Record<keyof EncodingTags, Evidence>>> | undefined
}

export interface TagAnswer {
  readonly encoding: EncodingTags
  readonly evidence: Readonly<Record<keyof EncodingTags, Evidence>>
  readonly findings: readonly Problem[]
}

const ranges: Readonly<Record<number, RangeName>> = { 1: 'limited', 2: 'full' }
const primaries: Readonly<Record<number, PrimariesName>> = {
  1: 'bt709',
  5: 'bt601-625',
  6: 'bt601-525',
  7: 'bt601-525',
  9: 'bt2020',
  10: 'xyz',
  11: 'p3-dci',
  12: 'p3-d65',
}
const curves: Readonly<Record<number, CurveName>> = {
  1: 'bt709',
  4: 'gamma22',
  5: 'gamma28',
  6: 'bt709',
  8: 'linear',
  11: 'bt709',
  12: 'bt709',
  13: 'srgb',
  14: 'bt709',
  15: 'bt709',
  16: 'pq',
  17: 'gamma26',
  18: 'hlg',
}
const matrices: Readonly<Record<number, MatrixName>> = {
  0: 'rgb',
  1: 'bt709',
  5: 'bt601',
  6: 'bt601',
  9: 'bt2020',
}
const sitings: Readonly<Record<number, Siting>> = {
  1: 'left',
  2: 'centre',
  3: 'top-left',
  4: 'top',
  5: 'bottom-left',
  6: 'bottom',
}

/** Evidence of what a caller gives without a word about where it is from. */
export const GIVEN: Evidence = { kind: 'set', note: 'given when the file was opened' }

/** @throws Problem `media.unsupported-matrix` for constant luminance, ICtCp, YCgCo and other matrices we cannot undo */
export function resolveTags(q: TagQuestion): TagAnswer {
  const findings: Problem[] = []
  const rgb = q.layout.family === 'rgb'
  const tagged = <T>(part: keyof EncodingTags, names: Readonly<Record<number, T>>, silent: number) =>
    readTag(q, part, names, silent, findings)
  const choose = <T>(part: keyof EncodingTags, found: Found<T> | undefined, guess: Guess<T>): Found<T> => {
    const set = q.overrides[part] as T | undefined
    if (set !== undefined) return { value: set, evidence: q.evidence?.[part] ?? GIVEN }
    const known = q.known?.[part] as { value: T; method: string } | undefined
    if (known !== undefined) return { value: known.value, evidence: measured(known.method) }
    if (found !== undefined) return found
    return { value: guess.value, evidence: { kind: 'assumed', why: guess.why, confidence: guess.confidence } }
  }

  const byFormat: Found<RangeName> = { value: 'full', evidence: measured('pixel format') }
  const range = choose<RangeName>(
    'range',
    q.fullByFormat ? byFormat : tagged('range', ranges, 0),
    q.guesses.range ?? {
      value: rgb ? 'full' : 'limited',
      why: rgb
        ? 'RGB samples without a range tag: full by convention'
        : 'no range tag: limited is the convention of video',
      confidence: 0.9,
    },
  )
  const prim = choose<Primaries>(
    'primaries',
    tagged('primaries', primaries, 2),
    q.guesses.primaries ?? guessPrimaries(q.height),
  )
  const curve = choose<CurveName>(
    'curve',
    tagged('curve', curves, 2),
    q.guesses.curve ?? {
      value: 'bt709',
      why: 'no transfer tag: BT.709 is the convention of video',
      confidence: 0.6,
    },
  )
  const byLayout: Found<MatrixName> = { value: 'rgb', evidence: measured('sample layout') }
  const matrix = rgb ? byLayout : choose('matrix', matrixTag(q, findings), guessMatrix(q.height))
  const subsampled = q.layout.subX > 0 || q.layout.subY > 0
  const siting = choose(
    'siting',
    subsampled ? tagged('siting', sitings, 0) : undefined,
    subsampled ? (q.guesses.siting ?? guessSiting(q.layout, prim.value)) : noSiting,
  )
  return {
    encoding: {
      range: range.value,
      primaries: prim.value,
      curve: curve.value,
      matrix: matrix.value,
      siting: siting.value,
    },
    evidence: {
      range: range.evidence,
      primaries: prim.evidence,
      curve: curve.evidence,
      matrix: matrix.evidence,
      siting: siting.evidence,
    },
    findings,
  }
}

interface Found<T> {
  readonly value: T
  readonly evidence: Evidence
}

function measured(method: string): Evidence {
  return { kind: 'measured', frames: [0], method, confidence: 1 }
}

function readTag<T>(
  q: TagQuestion,
  part: keyof EncodingTags,
  names: Readonly<Record<number, T>>,
  silent: number,
  findings: Problem[],
): Found<T> | undefined {
  const [own, container] = [q.frame[part], q.stream?.[part] ?? silent]
  const [inFrame, inStream] = [names[own], names[container]]
  if (inFrame !== undefined && inStream !== undefined && inFrame !== inStream) {
    findings.push(
      new Problem({
        code: 'media.tag-conflict',
        what: `The picture's ${part} tag and the container's disagree; the picture's is used`,
        where: q.where,
        received: `${String(inFrame)} in the picture, ${String(inStream)} in the container`,
        remedy: `If the colour looks wrong, give the ${part} by hand.`,
      }),
    )
  }
  if (inFrame === undefined && inStream === undefined) {
    const unknown = own !== silent && own !== 0 ? own : container
    if (unknown !== silent && unknown !== 0 && unknown !== 3)
      findings.push(unknownTag(q.where, part, unknown))
    return undefined
  }
  if (inFrame !== undefined) return { value: inFrame, evidence: measured('frame tag') }
  return inStream === undefined ? undefined : { value: inStream, evidence: measured('stream tag') }
}

function unknownTag(where: string, part: string, code: number): Problem {
  return new Problem({
    code: 'media.unknown-tag',
    what: `The ${part} tag names something we have no record of; it is treated as absent`,
    where,
    received: `code point ${code}`,
    remedy: `Give the ${part} by hand when you know it.`,
  })
}

function matrixTag(q: TagQuestion, findings: Problem[]): Found<MatrixName> | undefined {
  // Y′CbCr planes tagged as RGB contradict themselves: no tag at all.
  const plain = (code: number) => (code === 0 || code === 3 ? 2 : code)
  const frame = { ...q.frame, matrix: plain(q.frame.matrix) }
  const stream = q.stream === undefined ? undefined : { ...q.stream, matrix: plain(q.stream.matrix) }
  const code = frame.matrix !== 2 ? frame.matrix : (stream?.matrix ?? 2)
  if (code !== 2 && matrices[code] === undefined && q.overrides.matrix === undefined) {
    throw new Problem({
      code: 'media.unsupported-matrix',
      what: 'The luma-chroma matrix of this file cannot be undone here',
      where: q.where,
      expected: 'BT.601, BT.709 or BT.2020 (non-constant luminance)',
      received: `code point ${code}`,
      remedy: 'Transcode the file to BT.709 or BT.2020, or give the matrix by hand if the tag is wrong.',
    })
  }
  return readTag(
    { ...q, frame, ...(stream === undefined ? {} : { stream }) },
    'matrix',
    matrices,
    2,
    findings,
  )
}

function guessMatrix(height: number): Guess<MatrixName> {
  if (height >= 720)
    return { value: 'bt709', why: `no matrix tag; ${height} lines: BT.709 by convention`, confidence: 0.8 }
  return { value: 'bt601', why: `no matrix tag; ${height} lines: BT.601 by convention`, confidence: 0.6 }
}

function guessPrimaries(height: number): Guess<Primaries> {
  return { value: 'bt709', why: 'no primaries tag: BT.709 assumed', confidence: height >= 720 ? 0.8 : 0.6 }
}

const noSiting: Guess<Siting> = {
  value: 'centre',
  why: 'no subsampled chroma: has no meaning here',
  confidence: 1,
}

function guessSiting(layout: PixelLayout, prim: Primaries): Guess<Siting> {
  if (layout.subX === 1 && layout.subY === 1 && prim === 'bt2020') {
    return {
      value: 'top-left',
      why: 'no siting tag; BT.2020 4:2:0 is top-left by its standard',
      confidence: 0.6,
    }
  }
  return { value: 'left', why: 'no siting tag: left is the convention of video', confidence: 0.8 }
}
