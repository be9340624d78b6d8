/** What a published profile says of the plate's lens besides its distortion: lateral aberration and fall-off toward the corners. */
import { aberrationFor, aberrationInUnit } from '../../chain/lens/aberration/profile.js'
import { falloffFor, falloffInUnit } from '../../chain/lens/vignette/profile.js'
import type { Shot, Treatment } from '../../shot/schema.js'
import { type FoundProfile, nameOf } from './database.js'

export const publishedNames = ['lens.aberration', 'lens.aberrationCurve', 'lens.vignette'] as const

export type Published = Partial<Record<(typeof publishedNames)[number], Treatment>>

/** Colours part by how a copy was put together, more than lines bend; light falls off by the glass and the stop. Choices. */
const ABERRATION = 0.5
const FALLOFF = 0.7
/** The data's own word for a lens that is focused far away, m. */
const ENDLESS_M = 1000

export interface Seen {
  /** Focal length, mm. */
  readonly f: number
  /** Half the plate's short side over that of the calibration's pictures. */
  readonly s: number
  /** Diagonal of 36 × 24 mm over that of the plate's part of the sensor. */
  readonly crop: number
  readonly camera: Shot['camera']
}

export function besidesOf(
  profile: FoundProfile,
  seen: Seen,
): { readonly besides: Published; readonly said: readonly string[] } {
  const falloff = falloffOf(profile, seen)
  return {
    besides: { ...aberrationOf(profile, seen), ...(typeof falloff === 'string' ? {} : falloff.besides) },
    said: [
      ...(profile.aberration.length === 0 ? ['The profile says nothing of lateral aberration.'] : []),
      ...(typeof falloff === 'string' ? [falloff] : falloff.said),
    ],
  }
}

function aberrationOf(profile: FoundProfile, { f, s }: Seen): Published {
  if (profile.aberration.length === 0) return {}
  const published = aberrationFor(profile.aberration, f)
  const [red, blue, ...curve] = aberrationInUnit(published, s)
  const evidence = {
    kind: 'derived' as const,
    formula:
      'published lens profile, interpolated over the focal length, in half the short side of the plate',
    inputs: {
      lens: nameOf(profile),
      file: profile.file,
      focalLengthMm: f,
      measuredAtMm: profile.aberration.map((m) => m.focalLengthMm),
      published: [...published],
      unit: s,
    },
    confidence: ABERRATION,
  }
  return {
    'lens.aberration': { value: [red, blue], evidence } as Treatment,
    ...(curve.some((k) => k !== 0)
      ? { 'lens.aberrationCurve': { value: curve, evidence } as Treatment }
      : {}),
  }
}

function falloffOf(
  profile: FoundProfile,
  { f, crop, camera: { fNumber, focusM } }: Seen,
): { readonly besides: Published; readonly said: readonly string[] } | string {
  if (profile.falloff.measured.length === 0)
    return 'The profile says nothing of the fall-off toward the corners.'
  if (fNumber === undefined)
    return 'The fall-off toward the corners hangs on the aperture: write camera.fNumber, then ask again.'
  const distanceM = focusM ?? ENDLESS_M
  const published = falloffFor(profile.falloff, f, fNumber, distanceM)
  if (published === undefined) return `Nobody measured the fall-off at ${f} mm and f/${fNumber}, or near it.`
  const unit = profile.cropFactor / crop
  const treatment = {
    value: [...falloffInUnit(published, unit)],
    evidence: {
      kind: 'derived',
      formula:
        'published lens profile, interpolated over focal length, aperture and distance, where 1 is the corner of the plate',
      inputs: {
        lens: nameOf(profile),
        file: profile.file,
        ...{ focalLengthMm: f, fNumber, distanceM },
        published: [...published],
        unit,
      },
      confidence: FALLOFF,
    },
  } as Treatment
  const far = `Nothing says at which distance the lens is focused (camera.focusM): its fall-off is that of far focus.`
  return { besides: { 'lens.vignette': treatment }, said: focusM === undefined ? [far] : [] }
}
