/** What was found of the plate's lens goes into the document; what stands there by hand stays. */
import type { Distortion } from '../../chain/lens/distortion/model.js'
import { Problem, type Told } from '../../core/index.js'
import type { Shot, Treatment } from '../../shot/schema.js'
import { editShot } from '../document.js'
import { plateSettled } from '../settings.js'

export type LensFound = Distortion

const NAME = 'lens.distortion'

/** @throws Problem `lens.set-by-hand` */
export function refuseByHand(shot: Shot): void {
  const byHand = plateSettled(shot, NAME, 'set')
  if (byHand === undefined) return
  throw new Problem({
    code: 'lens.set-by-hand',
    what: "The plate's distortion was set by hand, and stays",
    where: `plate ${NAME}`,
    received: byHand.join(' '),
    remedy: `Take it out with \`platefit set SHOT plate ${NAME} --clear\`, then ask again.`,
  })
}

/** @throws Problem `lens.set-by-hand`, or as `editShot` */
export async function writeLens(
  path: string,
  { value: { form, terms }, evidence }: Told<LensFound>,
): Promise<void> {
  const named = form === 'brown-conrady' ? {} : { form }
  const treatment = { value: [...terms], ...named, evidence } as Treatment
  await editShot(path, (shot) => {
    refuseByHand(shot)
    const treatments = { ...shot.plate.treatments, [NAME]: treatment }
    return { ...shot, plate: { ...shot.plate, treatments } }
  })
}
