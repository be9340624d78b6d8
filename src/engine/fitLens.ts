/** The plate's lens as its own frames and a flat frame show it: how far colours lie apart, how light falls off toward the corners, what skirt lies around lights. */
import { type AberrationMeasure, measureAberration } from '../chain/lens/aberration/measure.js'
import { type GlareMeasure, measureGlare } from '../chain/lens/glare/measure.js'
import { type FlatFrame, measureVignette } from '../chain/lens/vignette/measure.js'
import { type FloatImage, type Reading, told } from '../core/index.js'
import { curved } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { asPlate } from './response.js'
import { clipLevel, linearFrame, type PlateSamples, spread } from './samples.js'
import { factsOf, openRecord } from './sources.js'
import { tablesOf } from './tables.js'
import { curveTrust, doubtedReading } from './trust.js'

/** What lies within so many spreads of no aberration is none: else every clean plate would be bent by its noise. */
const STANDS_OUT = 3
/** Frames that are looked at: more of one scene tell hardly more. */
export const FRAMES = 3

export async function fitAberration(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  const key = { kind: 'aberration', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  const { subX, subY } = plate.info.layout
  const found = await cached(cache, key, async () => {
    const all = await read()
    const picked = spread(0, all.length - 1, FRAMES).flatMap((i) => all[i] ?? [])
    const samples = picked.map((s) => ({ frame: s.frame, code: codeOf(s.image, plate) }))
    return measureAberration(samples, { x: subX > 0, y: subY > 0 })
  })
  return { 'lens.aberration': aberrationTreatment(found) }
}

/** What does not stand out is written as none, and the evidence says what was found. */
export function aberrationTreatment(found: Reading<AberrationMeasure>): Treatment {
  if (!told(found)) return found
  const { factors, spreads } = found.value
  const none = factors.map((k, c) => Math.abs(k - 1) < STANDS_OUT * (spreads[c] as number))
  const left = ['red', 'blue'].flatMap((name, c) =>
    none[c] ? [`${name} at ${(factors[c] as number).toFixed(6)}`] : [],
  )
  const { evidence } = found
  const within = `within ${STANDS_OUT} spreads of none, and written as none: ${left.join(', ')}`
  return {
    value: factors.map((k, c) => (none[c] ? 1 : k)),
    evidence:
      left.length > 0 && evidence.kind === 'measured'
        ? { ...evidence, method: `${evidence.method}; ${within}` }
        : evidence,
  } as Treatment
}

/** In the file's own codes; linear files in sRGB's. */
export function codeOf(image: FloatImage, { info }: Source): FloatImage {
  const { encoding } = info
  return curved(image, tablesOf(encoding.curve === 'linear' ? { curve: 'srgb' } : encoding, 'encode'))
}

/** The skirt around the plate's own clipped lights. */
export async function fitGlare(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  const key = { kind: 'glare', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  const found = await cached(cache, key, async () => {
    const all = await read()
    return measureGlare(
      spread(0, all.length - 1, FRAMES).flatMap((i) => all[i] ?? []),
      clipLevel(plate),
    )
  })
  const { share, width } = glareTreatments(doubtedReading(found, curveTrust(plate)))
  return { 'lens.glareShare': share, 'lens.glareWidth': width }
}

function glareTreatments(found: Reading<GlareMeasure>): { share: Treatment; width: Treatment } {
  if (!told(found)) return { share: found, width: found }
  const { share, width, shareSpread, widthSpread } = found.value
  const one = (value: number, spread: number) =>
    ({ value: [value], evidence: { ...found.evidence, spread } }) as Treatment
  return { share: one(share, shareSpread), width: one(width, widthSpread) }
}

/** Frames of a flat clip that are looked at. */
const FLAT_FRAMES = 8
const NO_FLAT =
  'one scene does not say whether its corners are dark or darkened; film an even, featureless surface at the same lens, aperture and zoom (camera.flat), or take it from a published profile (lens --profile)'

/**
 * @param plate with its measured response, where it has one
 * @throws Problem as `openSource` when the flat frame cannot be opened
 */
export async function fitVignette(
  shot: Shot,
  folder: string,
  plate: Source,
  cache?: Cache,
): Promise<Treatment> {
  const { flat } = shot.camera
  if (flat === undefined) return { cannotTell: NO_FLAT }
  const { file, matrix, range, frame } = flat
  const tags = { ...(matrix === undefined ? {} : { matrix }), ...(range === undefined ? {} : { range }) }
  const source = asPlate(await openRecord({ file, ...tags }, folder, cache), plate, shot)
  try {
    const { width, height } = source.info
    if (!alike(width / height, plate.info.width / plate.info.height))
      return {
        cannotTell: `the flat frame is ${width}×${height}, the plate ${plate.info.width}×${plate.info.height}: their corners are not the same`,
      }
    const frames: FlatFrame[] = []
    for await (const native of source.frames(frame, FLAT_FRAMES))
      frames.push({ frame: frame + frames.length, image: linearFrame(native, source.info.encoding) })
    const found = doubtedReading(measureVignette(frames, clipLevel(source)), curveTrust(source))
    return told(found) ? ({ ...found, value: [...found.value] } as Treatment) : found
  } finally {
    await source.close()
  }
}

/** Proportions of two pictures, roundings of a smaller one apart. */
function alike(a: number, b: number): boolean {
  return Math.abs(a / b - 1) < 0.01
}
