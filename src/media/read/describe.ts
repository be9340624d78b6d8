/** Turns what a first frame and its container say into the facts of `SourceInfo`. */
import { type EncodingTags, Problem } from '../../core/index.js'
import type { AlphaHint, Rate, SourceInfo } from '../types.js'
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
  /** A tag of the file on its alpha, which no frame carries. */
  readonly alphaTag?: AlphaHint | undefined
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

/** No field of these formats tells the kind: what a decoder reports of them is the convention, not the file's word. */
const conventions: Readonly<Record<string, AlphaHint>> = {
  exr: byFormat('premultiplied', 'OpenEXR holds premultiplied alpha by its standard'),
  png: byFormat('straight', 'PNG holds straight alpha by its standard'),
  apng: byFormat('straight', 'PNG holds straight alpha by its standard'),
  prores: byFormat('straight', 'ProRes 4444 is straight by convention; the file does not say'),
  vp9: byFormat('straight', 'VP9 alpha is straight by convention; the file does not say'),
  vp8: byFormat('straight', 'VP8 alpha is straight by convention; the file does not say'),
}

function byFormat(kind: AlphaHint['kind'], why: string): AlphaHint {
  return { kind, known: false, why }
}

function alphaOf({ look, codec, alphaTag }: Said): AlphaHint | undefined {
  if (!look.format.layout.alpha) return undefined
  if (alphaTag !== undefined) return alphaTag
  const convention = conventions[codec]
  if (convention !== undefined) return convention
  if (look.alphaMode === 1) return { kind: 'premultiplied', known: true, why: 'frame tag' }
  if (look.alphaMode === 2) return { kind: 'straight', known: true, why: 'frame tag' }
  return undefined
}
