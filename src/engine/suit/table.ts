/** One element's table: its own facts against the plate's and against what is known. Pure. */
import { curveOf } from '../../colour/index.js'
import { type ColourEncoding, type PixelLayout, type Reading, type Rgb, told } from '../../core/index.js'
import { floorLine, type Gain, noiseLine, veilLine } from './black.js'
import { borderLine, sidesOutside } from './border.js'
import { clippingLine } from './clipping.js'
import { bitsUsed, depthLine, samplingLine } from './coding.js'
import { cutOutLine } from './cutout.js'
import { gainFor } from './gain.js'
import { lengthLine } from './length.js'
import type { ElementLook } from './look.js'
import { grainAt, type PlateLook, placeOf, pointsAt } from './plate.js'
import { rateLine } from './rate.js'
import { scaleFor, sizeLine } from './size.js'
import type { KnownFacts, Line } from './types.js'
import { cannotTell } from './verdict.js'
import { cameraHeightLine, lightSideLine } from './viewpoint.js'

export interface Judged {
  readonly lines: readonly Line[]
  readonly scale: number | undefined
}

export function tableFor(e: ElementLook, plate: PlateLook, known: KnownFacts): Judged {
  const { info, count, cut } = e
  const asked = scaleFor(known, info, plate.info.width)
  const scale = typeof asked === 'number' ? asked : undefined
  const placed = scale === undefined ? undefined : { width: scale * info.width, height: scale * info.height }
  const place = placeOf(known.at, placed, plate.image.region)
  const grain = grainAt(plate, place)
  const gain = gainFor(known, e.points, () => pointsAt(plate, place))
  const rate = info.rateEvidence.kind === 'assumed' ? known.rate : info.rate
  const needed = known.frames ?? plate.info.frameCount
  const outside =
    known.at === undefined || placed === undefined ? undefined : sidesOutside(known.at, placed, plate.info)
  const lines = [
    cutOutLine(cut),
    sizeLine(known, info, plate.info.width, e.filled),
    rateLine(rate, plate.rate, count, needed),
    lengthLine({ rate, plateRate: plate.rate, count }, known.frames, plate.info.frameCount, e.ends),
    cut.kind === 'on-black' ? floorLine(most(e, 'floor'), gain) : undefined,
    cut.kind === 'alpha' ? veilLine(most(e, 'floor')) : undefined,
    noiseLine(sigmaOf(e.noise), grain, gain, scale, cut.kind !== 'on-black'),
    clippingLine(e.clipping, info.layout.float),
    e.border === undefined
      ? cannotTell('border', 'what of it is element and what is ground is not known')
      : borderLine(e.border, outside, cut.key !== undefined),
    e.compression,
    depthLine(info.layout, e.bits, codeStep(info, e.level, gain, bitsUsed(info.layout, e.bits)), grain),
    samplingLine(info.layout, cut.key?.colour, scale),
    cameraHeightLine(known),
    lightSideLine(known),
  ]
  return { lines: lines.filter((l) => l !== undefined), scale }
}

function most(e: ElementLook, which: 'floor'): Reading<number> {
  return told(e[which]) ? { value: Math.max(...e[which].value.floor), evidence: e[which].evidence } : e[which]
}

function sigmaOf(variance: Reading<Rgb>): Reading<number> {
  if (!told(variance)) return variance
  const [r, g, b] = variance.value
  return { value: Math.sqrt((r + g + b) / 3), evidence: variance.evidence }
}

/** Linear light of one code of so many bits at a level, after the gain; nothing for float files and where nothing shows. */
export function codeStep(
  file: { readonly layout: PixelLayout; readonly encoding: Pick<ColourEncoding, 'curve' | 'range'> },
  level: number | undefined,
  gain: Gain,
  bits: number,
): number | undefined {
  const { layout, encoding } = file
  if (layout.float || level === undefined) return undefined
  const codes =
    layout.family === 'yuv' && encoding.range === 'limited' ? 219 * 2 ** (bits - 8) : 2 ** bits - 1
  const { encode, decode } = curveOf(encoding.curve)
  const code = Math.min(encode(level), 1 - 1 / codes)
  return (decode(code + 1 / codes) - decode(code)) * gain.factor
}
