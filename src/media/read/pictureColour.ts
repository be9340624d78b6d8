/** What picture files say of their colour, and what is taken where they are silent. */
import {
  type CurveName,
  type PrimariesName,
  Problem,
  primariesWords,
  type RangeName,
} from '../../core/index.js'
import { exrPrimaries } from './exr/colour.js'
import type { Picture } from './picture.js'
import type { Guesses, Known, RawTags } from './tags.js'

export interface PictureColour {
  readonly tags: RawTags
  readonly known: Known
  readonly guesses: Guesses
  readonly findings: readonly Problem[]
}

const silent: RawTags = { range: 0, primaries: 2, curve: 2, matrix: 2, siting: 0 }
const full = {
  value: 'full',
  why: 'picture files use all code values by convention',
  confidence: 0.95,
} as const
const bt709 = {
  value: 'bt709',
  why: 'no primaries in the file: BT.709 assumed, as in sRGB',
  confidence: 0.8,
} as const
const linear: Guesses = {
  range: full,
  curve: { value: 'linear', why: 'float samples: linear light by convention', confidence: 0.8 },
  primaries: bt709,
}

export function pictureColour(p: Picture, bytes: Buffer, where: string): PictureColour {
  if (p.kind === 'exr') return exrColour(p, where)
  if (p.kind === 'dpx') return dpxColour(bytes, where)
  const { tags } = p.look
  if (p.look.format.layout.float) return { tags, known: {}, guesses: linear, findings: [] }
  const srgb = {
    value: 'srgb',
    why: 'no curve in the file: sRGB is the convention of pictures',
    confidence: 0.8,
  } as const
  const siting = { value: 'centre', why: 'JPEG chroma is centred by its standard', confidence: 0.9 } as const
  return { tags, known: {}, guesses: { range: full, curve: srgb, primaries: bt709, siting }, findings: [] }
}

/** Linear by the standard; the library's own tags are its guesses and are not asked. Source: [openexr-layout]. */
function exrColour(p: Picture, where: string): PictureColour {
  const guesses: Guesses = {
    range: { value: 'full', why: 'float samples have no other range', confidence: 1 },
    curve: { value: 'linear', why: 'OpenEXR holds linear light by its standard', confidence: 0.95 },
    primaries: {
      value: 'bt709',
      why: 'no chromaticities: BT.709 is the default of OpenEXR',
      confidence: 0.8,
    },
  }
  const c = p.exr?.part.chromaticities
  if (c === undefined) return { tags: silent, known: {}, guesses, findings: [] }
  const value = p.exr && exrPrimaries(p.exr.part)
  if (value !== undefined) {
    const known = { primaries: { value, method: 'chromaticities attribute' } }
    return { tags: silent, known, guesses, findings: [] }
  }
  const problem = new Problem({
    code: 'media.unknown-primaries',
    what: 'The chromaticities of the file span no colour space; BT.709 is assumed',
    where,
    received: primariesWords(c),
    remedy: 'Give the primaries by hand when you know them.',
  })
  return { tags: silent, known: {}, guesses, findings: [problem] }
}

const dpxCurves: Readonly<Record<number, CurveName>> = {
  2: 'linear',
  5: 'bt709',
  6: 'bt709',
  7: 'bt709',
  8: 'bt709',
}
const dpxPrimaries: Readonly<Record<number, PrimariesName>> = {
  5: 'bt709',
  6: 'bt709',
  7: 'bt601-625',
  8: 'bt601-525',
  9: 'bt601-525',
  10: 'bt601-625',
}

/** Bytes of the first image element: reference codes, transfer and colorimetric. Source: [st268-1 §5.2]. */
function dpxColour(bytes: Buffer, where: string): PictureColour {
  const big = bytes.toString('latin1', 0, 4) === 'SDPX'
  const word = (at: number) => (big ? bytes.readUInt32BE(at) : bytes.readUInt32LE(at))
  const [low, high] = [word(784), word(792)]
  const transfer = bytes[801] ?? 0
  const colour = bytes[802] ?? 0
  const bits = bytes[803] ?? 10
  const range: RangeName | undefined =
    low === 16 * 2 ** (bits - 8) && high === 235 * 2 ** (bits - 8)
      ? 'limited'
      : low === 0 && high === 2 ** bits - 1
        ? 'full'
        : undefined
  const curve = dpxCurves[transfer]
  const prim = dpxPrimaries[colour]
  const findings: Problem[] = []
  if (transfer === 1 || transfer === 3) {
    findings.push(
      new Problem({
        code: 'media.dpx-log',
        what: 'The file says that it holds film density or a logarithm; BT.709 is assumed instead',
        where,
        received: transfer === 1 ? 'printing density' : 'logarithmic',
        remedy: 'Give the curve by hand, or convert the files to linear EXR.',
      }),
    )
  }
  return {
    tags: silent,
    known: {
      ...(range === undefined ? {} : { range: { value: range, method: 'DPX header' } }),
      ...(curve === undefined ? {} : { curve: { value: curve, method: 'DPX header' } }),
      ...(prim === undefined ? {} : { primaries: { value: prim, method: 'DPX header' } }),
    },
    guesses: {
      range: full,
      curve: {
        value: 'bt709',
        why: 'the DPX header names no curve we know: BT.709 assumed',
        confidence: 0.4,
      },
      primaries: {
        value: 'bt709',
        why: 'the DPX header names no primaries: BT.709 assumed',
        confidence: 0.6,
      },
    },
    findings,
  }
}
