/** What the plate's lens and sensor do, for the check: as the document has it, measured or by hand; of a plate that was not fitted measured now. */
import type { Aberration } from '../chain/lens/aberration/model.js'
import type { Glare } from '../chain/lens/glare/model.js'
import type { Vignette } from '../chain/lens/vignette/model.js'
import type { Rgb } from '../core/index.js'
import { natureShares } from '../shot/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import type { Cache } from './cache/store.js'
import { fitAberration, fitGlare, fitVignette } from './fitLens.js'
import { fitLimits } from './fitLimits.js'
import type { ShotSources } from './plan.js'
import { plateSettled } from './plateSettings.js'
import type { PlateSamples } from './samples.js'

type Known<T> = { readonly value: T } | { readonly why: string }

export interface LensNorms {
  readonly vignette: Known<Vignette>
  readonly glare: Known<Glare>
  readonly aberration: Known<Aberration>
  /** Infinity where a channel ends nowhere. */
  readonly clip: Known<Rgb>
}

type Treatments = Shot['plate']['treatments']

/** What no element of the shot is judged by is not measured. @throws Problem as `fitVignette` */
export async function lensNorms(
  shot: Shot,
  folder: string,
  { plate }: ShotSources,
  samples: PlateSamples,
  cache: Cache | undefined,
): Promise<LensNorms> {
  const of = async (
    name: keyof Treatments,
    asked: boolean,
    measure: () => Promise<Treatments>,
  ): Promise<Known<readonly number[]>> => {
    const own = shot.plate.treatments[name]
    const t = (own ?? (asked ? (await measure())[name] : undefined)) as Treatment | undefined
    if (t === undefined) return { why: 'no element is judged by it' }
    return 'value' in t ? { value: t.value } : { why: t.cannotTell }
  }
  const shines = shot.elements.map((e) => natureShares(e.nature).emits)
  const [some, lamps, things] = [shines.length > 0, shines.some((v) => v > 0), shines.some((v) => v < 1)]
  const glare = () => fitGlare(plate, samples, cache)
  const [share, width] = [
    await of('lens.glareShare', lamps, glare),
    await of('lens.glareWidth', lamps, glare),
  ]
  const clip = await of('sensor.clip', some, () => fitLimits(plate, samples, cache))
  const vignette = await of('lens.vignette', some, async () => ({
    'lens.vignette': await fitVignette(shot, folder, plate, cache),
  }))
  const aberration = await of('lens.aberration', things, () => fitAberration(plate, samples, cache))
  return {
    vignette: vignette as Known<Vignette>,
    glare: 'why' in share ? share : 'why' in width ? width : { value: glareOf(share.value, width.value) },
    aberration: 'why' in aberration ? aberration : { value: curved(aberration.value, shot) },
    clip:
      'why' in clip
        ? clip
        : { value: clip.value.map((v) => (v > 0 ? v : Number.POSITIVE_INFINITY)) as unknown as Rgb },
  }
}

function curved(factors: readonly number[], shot: Shot): Aberration {
  const curve = plateSettled(shot, 'lens.aberrationCurve') ?? [0, 0, 0, 0]
  return [...factors, ...curve] as unknown as Aberration
}

function glareOf([share]: readonly number[], [width]: readonly number[]): Glare {
  return { share: share as number, width: width as number }
}
