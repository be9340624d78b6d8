/**
 * Code points that stand for an encoding in files: [h273-2021] tables 2 (primaries), 3 (curve), 4 (matrix) and
 * clause 8.7 (chroma location), as FFmpeg numbers them (range 1 limited, 2 full; siting one above H.264's).
 *
 * What has no code point is left untagged and said so. BT.1886 has none of its own: the code of BT.709, whose
 * display curve it is, stands for it. F-Gamut has the primaries of BT.2020, and their code.
 */
import type {
  AVChromaLocation,
  AVColorPrimaries,
  AVColorRange,
  AVColorSpace,
  AVColorTransferCharacteristic,
} from 'node-av/constants'
import {
  type ColourEncoding,
  type CurveName,
  type Primaries,
  type PrimariesName,
  Problem,
  primariesWords,
  type Siting,
} from '../../core/index.js'

const UNSPECIFIED = 2

const curveCodes: Readonly<Partial<Record<CurveName, number>>> = {
  bt709: 1,
  bt1886: 1,
  gamma22: 4,
  gamma28: 5,
  linear: 8,
  srgb: 13,
  pq: 16,
  gamma26: 17,
  hlg: 18,
}

const primariesCodes: Readonly<Partial<Record<PrimariesName, number>>> = {
  bt709: 1,
  'bt601-625': 5,
  'bt601-525': 6,
  bt2020: 9,
  'f-gamut': 9,
  xyz: 10,
  'p3-dci': 11,
  'p3-d65': 12,
}

function codeOfPrimaries(primaries: Primaries): number | undefined {
  return typeof primaries === 'string' ? primariesCodes[primaries] : undefined
}

const matrixCodes = { rgb: 0, bt709: 1, bt601: 6, bt2020: 9 } as const
const rangeCodes = { limited: 1, full: 2 } as const
const sitingCodes: Readonly<Partial<Record<Siting, number>>> = {
  left: 1,
  centre: 2,
  'top-left': 3,
  top: 4,
  'bottom-left': 5,
  bottom: 6,
}

export interface CodeTags {
  readonly range: AVColorRange
  readonly matrix: AVColorSpace
  readonly curve: AVColorTransferCharacteristic
  readonly primaries: AVColorPrimaries
  readonly siting: AVChromaLocation
}

export function codeTags(e: ColourEncoding): CodeTags {
  return {
    range: rangeCodes[e.range] as AVColorRange,
    matrix: matrixCodes[e.matrix] as AVColorSpace,
    curve: (curveCodes[e.curve] ?? UNSPECIFIED) as AVColorTransferCharacteristic,
    primaries: (codeOfPrimaries(e.primaries) ?? UNSPECIFIED) as AVColorPrimaries,
    siting: (sitingCodes[e.siting] ?? 0) as AVChromaLocation,
  }
}

/** What the file's tags cannot say. */
export function tagFindings(path: string, e: ColourEncoding): Problem[] {
  const findings: Problem[] = []
  const silent = (part: string, name: string) =>
    findings.push(
      new Problem({
        code: 'media.tag-missing',
        what: `The file has no tag for this ${part}; it is left untagged`,
        where: path,
        received: name,
        remedy: `Say so in the delivery notes: ${part} ${name}.`,
      }),
    )
  if (curveCodes[e.curve] === undefined) silent('curve', e.curve)
  if (codeOfPrimaries(e.primaries) === undefined) silent('primaries', primariesWords(e.primaries))
  if (e.matrix !== 'rgb' && sitingCodes[e.siting] === undefined) silent('chroma siting', e.siting)
  if (e.curve === 'bt1886') {
    findings.push(
      new Problem({
        code: 'media.tag-inexact',
        what: 'BT.1886 has no tag of its own; the file is tagged BT.709, whose display curve it is',
        where: path,
      }),
    )
  }
  return findings
}
