/** The plate's distortion out of a published profile of its lens. */
import { atFocalLength, calibratedHalf, inUnit } from '../../chain/lens/distortion/profile.js'
import { Problem, type Reading, type Told } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import type { Picture } from '../plan.js'
import { besidesOf, type Published } from './besides.js'
import { type FoundProfile, findProfiles, nameOf } from './database.js'
import type { LensFound } from './write.js'

/** Another copy of the lens, focused elsewhere: a choice. */
const CONFIDENCE = 0.7
/** Half the diagonal of 36 × 24 mm over that of the plate's part of the sensor: profiles of smaller pictures say nothing of its corners. */
const HALF_DIAGONAL_MM = Math.sqrt(36 * 36 + 24 * 24) / 2
/** A profile of a picture so much smaller still counts as one that covers the plate. Choice: roundings of crop factors. */
const ALMOST = 1.02

export interface ProfileAsked {
  readonly words: readonly string[]
  readonly folder?: string | undefined
  /** The document's where absent. */
  readonly focalLengthMm?: number | undefined
}

/** @throws Problem `lens.unknown`, `lens.ambiguous`, `lens.profile-needs`, as `findProfiles` */
export async function fromProfile(
  shot: Shot,
  plate: Pick<Picture, 'width' | 'height'>,
  { words, folder, focalLengthMm: asked }: ProfileAsked,
): Promise<{ reading: Reading<LensFound>; besides: Published; said: readonly string[] }> {
  const f = asked ?? shot.camera.focalLengthMm
  const width = shot.camera.sensorWidthMm
  if (f === undefined) throw needs('camera.focalLengthMm', 'the focal length, here or with --focal')
  if (width === undefined) throw needs('camera.sensorWidthMm', "the sensor's width along the picture's")
  const height = (width * plate.height) / plate.width
  const crop = HALF_DIAGONAL_MM / (Math.sqrt(width * width + height * height) / 2)
  const profile = chosen(await findProfiles(words, folder), crop, words)
  const s = Math.min(width, height) / 2 / calibratedHalf(profile)
  const published = atFocalLength(profile, f)
  const value = inUnit(published, s)
  const told: Told<LensFound> = {
    value,
    evidence: {
      kind: 'derived',
      formula:
        'published lens profile, interpolated over the focal length, in half the short side of the plate',
      inputs: {
        lens: nameOf(profile),
        file: profile.file,
        focalLengthMm: f,
        measuredAtMm: profile.measured.map((m) => m.focalLengthMm),
        published: published.terms,
        unit: s,
      },
      confidence: CONFIDENCE,
    },
  }
  const { besides, said } = besidesOf(profile, { f, s, crop, camera: shot.camera })
  return { reading: told, besides, said: [...doubts(profile, f, crop), ...said] }
}

/** Of profiles of one name that of the smallest pictures which still cover the plate. */
function chosen(found: readonly FoundProfile[], crop: number, words: readonly string[]): FoundProfile {
  const names = [...new Set(found.map(nameOf))]
  if (names.length !== 1) {
    const some = names.slice(0, 12).join('; ')
    throw new Problem({
      code: names.length === 0 ? 'lens.unknown' : 'lens.ambiguous',
      what: names.length === 0 ? 'No lens is called so' : `${names.length} lenses are called so`,
      where: words.join(' '),
      expected: 'words of its maker and model that only one lens has',
      ...(names.length === 0 ? {} : { received: names.length > 12 ? `${some}; …` : some }),
      remedy: 'See which there are with `platefit lenses WORDS`.',
    })
  }
  const covering = found.filter((p) => p.cropFactor <= crop * ALMOST)
  return (covering.at(-1) ?? found[0]) as FoundProfile
}

function doubts({ measured, cropFactor }: FoundProfile, f: number, crop: number): string[] {
  const [first, last] = [measured[0]?.focalLengthMm ?? f, measured.at(-1)?.focalLengthMm ?? f]
  return [
    ...(f < first || f > last
      ? [`The lens was measured from ${first} to ${last} mm; ${f} mm is taken as the nearest of them.`]
      : []),
    ...(cropFactor > crop * ALMOST
      ? [
          `It was measured on smaller pictures (crop ${cropFactor}, the plate's is ${crop.toFixed(2)}): nobody looked at the plate's corners.`,
        ]
      : []),
  ]
}

function needs(where: string, what: string): Problem {
  return new Problem({
    code: 'lens.profile-needs',
    what: `A lens profile needs ${what}`,
    where,
    received: 'nothing',
    remedy: 'Write it into the document.',
  })
}
