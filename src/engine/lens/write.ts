/** What was found of the plate's lens goes into the document; what stands there by hand stays. */
import type { Distortion } from '../../chain/lens/distortion/model.js'
import { type Evidence, Problem, type Told } from '../../core/index.js'
import type { Shot, Treatment } from '../../shot/schema.js'
import { editShot } from '../document.js'
import { plateSettled } from '../plateSettings.js'
import { type Published, publishedNames } from './besides.js'

export type LensFound = Distortion
type Treatments = Shot['plate']['treatments']

const [NAME, AXIS] = ['lens.distortion', 'lens.axis'] as const

/** @throws Problem `lens.set-by-hand` */
export function refuseByHand(shot: Shot): void {
  const name = ([NAME, AXIS] as const).find((n) => plateSettled(shot, n, 'set') !== undefined)
  if (name === undefined) return
  throw new Problem({
    code: 'lens.set-by-hand',
    what: "The plate's lens was set by hand, and stays",
    where: `plate ${name}`,
    received: (plateSettled(shot, name) ?? []).join(' '),
    remedy: `Take it out with \`platefit set SHOT plate ${name} --clear\`, then ask again.`,
  })
}

/** @throws Problem `lens.set-by-hand`, or as `editShot` */
export async function writeLens(
  path: string,
  { value: { form, terms, axis }, evidence }: Told<LensFound>,
  besides?: Published,
): Promise<void> {
  const named = form === 'brown-conrady' ? {} : { form }
  const treatment = { value: [...terms], ...named, evidence } as Treatment
  await editShot(path, (shot) => {
    refuseByHand(shot)
    const { [AXIS]: _, ...others } = shot.plate.treatments
    const own = axis && { [AXIS]: { value: [...axis], evidence } as Treatment }
    const more = besides && notByHand(shot, besides)
    const kept = more === undefined ? others : { ...withoutPublished(others), ...more }
    const treatments = { ...kept, [NAME]: treatment, ...own }
    return { ...shot, plate: { ...shot.plate, treatments } }
  })
}

/** Without those that a hand has set; a curve belongs to its factors. */
export function notByHand(shot: Shot, besides: Published): Published {
  const set = (name: keyof Published) => plateSettled(shot, name, 'set') !== undefined
  const colours = set('lens.aberration') || set('lens.aberrationCurve')
  return Object.fromEntries(
    Object.entries(besides).filter(([name]) => (name === 'lens.vignette' ? !set(name) : !colours)),
  )
}

/** What an earlier profile said goes with it. */
function withoutPublished(treatments: Treatments): Treatments {
  const gone = (name: string, t: unknown) =>
    publishedNames.some((n) => n === name) &&
    (t as Treatment & { evidence?: Evidence }).evidence?.kind === 'derived'
  return Object.fromEntries(Object.entries(treatments).filter(([name, t]) => !gone(name, t)))
}
