/** Turns what a first frame and its container say into the facts of `SourceInfo`. */
import { type EncodingTags, Problem } from '../../core/index.js'
import type { Rate, SourceInfo } from '../types.js'
import type { Look } from './look.js'
import {
  fromDisplayMatrix,
  isUpright,
  type Orientation,
  orientedLayout,
  orientedSiting,
  turnOf,
  UPRIGHT,
} from './orient.js'
import { type Guesses, type Known, type RawTags, resolveTags, type TagQuestion } from './tags.js'

export interface Said {
  readonly where: string
  readonly look: Look
  readonly streamTags?: RawTags
  readonly streamMatrix?: Uint8Array | undefined
  readonly streamAspect?: Rate | undefined
  readonly codec: string
  readonly known?: Known
  readonly guesses: Guesses
  readonly overrides: Partial<EncodingTags>
  /** Where the overrides come from. */
  readonly evidence: TagQuestion['evidence']
}

type Facts =
  | 'codec'
  | 'width'
  | 'height'
  | 'rotation'
  | 'pixelAspect'
  | 'layout'
  | 'encoding'
  | 'encodingEvidence'
  | 'alphaHint'
  | 'findings'

export function describe(said: Said): { info: Pick<SourceInfo, Facts>; orientation: Orientation } {
  const { look, where } = said
  const { orientation, findings: turned } = orientationOf(said)
  const { layout: stored } = look.format
  const tags = resolveTags({
    where,
    layout: stored,
    height: Math.min(look.width, look.height),
    frame: look.tags,
    ...(said.streamTags === undefined ? {} : { stream: said.streamTags }),
    fullByFormat: look.format.fullRange,
    ...(said.known === undefined ? {} : { known: said.known }),
    guesses: said.guesses,
    overrides: said.overrides,
    evidence: said.evidence,
  })
  const layout = orientedLayout(stored, orientation, where)
  const siting = orientedSiting(tags.encoding.siting, stored, look.width, look.height, orientation, where)
  const moved = siting !== tags.encoding.siting && said.overrides.siting === undefined
  const aspect = said.streamAspect ?? look.pixelAspect ?? { num: 1, den: 1 }
  const { degrees } = turnOf(orientation)
  const side = orientation.transpose
  const alphaHint = alphaOf(said)
  return {
    orientation,
    info: {
      codec: said.codec,
      width: side ? look.height : look.width,
      height: side ? look.width : look.height,
      rotation: degrees,
      pixelAspect: side ? { num: aspect.den, den: aspect.num } : aspect,
      layout,
      encoding: { ...tags.encoding, siting: moved ? siting : tags.encoding.siting },
      encodingEvidence: moved
        ? {
            ...tags.evidence,
            siting: {
              kind: 'derived',
              formula: 'chroma sites turn with the picture',
              inputs: { stored: tags.encoding.siting, degrees },
              confidence: 1,
            },
          }
        : tags.evidence,
      findings: [...tags.findings, ...turned],
      ...(alphaHint === undefined ? {} : { alphaHint }),
    },
  }
}

function orientationOf(said: Said): { orientation: Orientation; findings: Problem[] } {
  const matrix = said.look.displayMatrix ?? said.streamMatrix
  if (matrix === undefined) return { orientation: UPRIGHT, findings: [] }
  const orientation = fromDisplayMatrix(matrix)
  if (orientation === undefined) {
    const problem = new Problem({
      code: 'media.rotation-oblique',
      what: 'The file asks for a turn that is no quarter turn; it is not followed',
      where: said.where,
      remedy: 'Turn the clip when you transcode it.',
    })
    return { orientation: UPRIGHT, findings: [problem] }
  }
  if (isUpright(orientation) || !turnOf(orientation).mirrored) return { orientation, findings: [] }
  const problem = new Problem({
    code: 'media.mirrored',
    what: 'The file asks to be mirrored, and is',
    where: said.where,
    remedy: 'Look whether writing in it can be read; if not, export it again without the mirroring.',
  })
  return { orientation, findings: [problem] }
}

const conventions: Readonly<Record<string, NonNullable<SourceInfo['alphaHint']>>> = {
  exr: { kind: 'premultiplied', why: 'OpenEXR files are premultiplied by their standard' },
  png: { kind: 'straight', why: 'PNG files are straight by their standard' },
  prores: { kind: 'straight', why: 'ProRes 4444 is straight by convention; the file does not say' },
  vp9: { kind: 'straight', why: 'VP9 alpha is straight by convention; the file does not say' },
  vp8: { kind: 'straight', why: 'VP8 alpha is straight by convention; the file does not say' },
}

function alphaOf(said: Said): SourceInfo['alphaHint'] {
  if (!said.look.format.layout.alpha) return undefined
  if (said.look.alphaMode === 1) return { kind: 'premultiplied', why: 'frame tag' }
  if (said.look.alphaMode === 2) return { kind: 'straight', why: 'frame tag' }
  return conventions[said.codec]
}
