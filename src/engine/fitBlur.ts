/**
 * Lens link: how far an element is blurred.
 *
 * With the camera's facts by its circle of confusion. Without them it takes the blur of what stands beside it: of the place that it
 * is compared with, else of its own place's surroundings. That holds all that softens the plate, and its own file holds the like, so
 * only what is missing is added (variances add; a disc's is r²/4, the pixels' of scene and weights 1/6 px²):
 *
 *   r² = r_plate² − own²     own² = k² (r_file² + ⅔) − ⅔     k  plate pixels per element pixel
 *
 * A circle of confusion comes on top of what the camera softens anyway, as the element's own softness does: nothing is taken off it.
 */
import { circleOfConfusion, radiusPx } from '../chain/lens/defocus/model.js'
import { type Evidence, type Reading, type Told, told } from '../core/index.js'
import type { ShotElement, Treatment } from '../shot/schema.js'
import { blurBeside, type Own, type OwnFrames, ownBlur } from './blurBeside.js'
import type { FitContext } from './context.js'
import { curveTrust, doubtedReading, elementTrust } from './trust.js'

const LARGEST = 256
/** Radius squared that the pixels of scene and weights blur by: 4 · 1/6 px². */
const PIXELS = 2 / 3

export function fitBlur(e: ShotElement, c: FitContext, own: OwnFrames): Treatment {
  const { sensorWidthMm, focalLengthMm, fNumber, focusM } = c.shot.camera
  const facts = { sensorWidthMm, focalLengthMm, fNumber, focusM, distanceM: e.distanceM }
  const missing = Object.entries(facts)
    .filter(([, v]) => v === undefined)
    .map(([k]) => k)
  if (missing.length === 0) return byFacts(facts as Known, c)
  const seen = doubtedReading(blurBeside(e, c), curveTrust(c.sources.plate))
  if (!told(seen)) return { cannotTell: `the blur needs ${missing.join(', ')}; beside it ${seen.cannotTell}` }
  return lacking(seen, doubtedReading(ownBlur(e, c, own), elementTrust(e, c)))
}

type Known = Readonly<Record<'sensorWidthMm' | 'focalLengthMm' | 'fNumber' | 'focusM' | 'distanceM', number>>

function byFacts(f: Known, c: FitContext): Treatment {
  const { sensorWidthMm, distanceM, ...lens } = f
  const radius = radiusPx(circleOfConfusion(lens, distanceM), sensorWidthMm, c.sources.plate.info.width)
  return {
    value: [Math.min(radius, LARGEST)],
    evidence: {
      kind: 'derived',
      formula: '|d − s| / d · f² / (N · (s − f)) / 2 in plate pixels',
      inputs: { ...lens, distanceM, sensorWidthMm },
      confidence: 0.7,
    },
  }
}

function lacking(plate: Told<number>, own: Reading<Own>): Treatment {
  const { evidence } = plate
  if (evidence.kind !== 'measured') return { cannotTell: 'the plate was not measured' }
  const placed = told(own)
    ? Math.sqrt(Math.max(own.value.scale ** 2 * (own.value.radius ** 2 + PIXELS) - PIXELS, 0))
    : 0
  const radius = Math.sqrt(Math.max(plate.value ** 2 - placed ** 2, 0))
  const has = told(own)
    ? `less the ${placed.toFixed(1)} px that its own file brings`
    : `its own softness counted as none (${own.cannotTell})`
  const doubt = told(own) ? placed * own.value.scale * spreadOf(own.evidence) : 0
  const spread =
    Math.hypot(plate.value * spreadOf(evidence), doubt) / Math.max(radius, spreadOf(evidence), 0.1)
  return {
    value: [Math.min(radius, LARGEST)],
    evidence: {
      ...evidence,
      method: `${plate.value.toFixed(1)} px by ${evidence.method}, ${has}`,
      spread,
      confidence: evidence.confidence * (told(own) ? 1 : 0.8),
    },
  } as Treatment
}

function spreadOf(e: Evidence): number {
  return e.kind === 'measured' ? (e.spread ?? 0) : 0
}
