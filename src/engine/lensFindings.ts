/** What a render says of numbers of the lens that do nothing without another one, or for which another is assumed. */
import { isColoured } from '../chain/lens/aberration/model.js'
import { isStraight } from '../chain/lens/distortion/model.js'
import { Problem } from '../core/index.js'
import type { Shot } from '../shot/schema.js'
import { ASSUMED_GLARE_PX, aberrationOf, distortionOf, plateSettled } from './plateSettings.js'
import { settled } from './settings.js'

export function lensFindings(shot: Shot): Problem[] {
  const plate = (name: Parameters<typeof plateSettled>[1]) => plateSettled(shot, name)
  const on = (values: readonly number[] | undefined) => values?.some((v) => v !== 0) === true
  const out: Problem[] = []
  if (on(plate('lens.glareShare')) && plate('lens.glareWidth') === undefined)
    out.push(
      new Problem({
        code: 'lens.glare-assumed',
        what: `Nothing says how wide the lens's glare is: ${ASSUMED_GLARE_PX} px are assumed`,
        where: 'plate.treatments["lens.glareWidth"]',
        remedy: "Set lens.glareWidth, or let `fit` look for it around the plate's lights.",
      }),
    )
  if (plate('lens.glareWidth') !== undefined && plate('lens.glareShare') === undefined)
    out.push(idle('plate', 'lens.glareWidth', 'lens.glareShare says how much light goes astray'))
  const [bent, parted] = [distortionOf(shot, 1), aberrationOf(shot)]
  if (
    on(plate('lens.axis')) &&
    (bent === undefined || isStraight(bent)) &&
    (parted === undefined || !isColoured(parted))
  )
    out.push(idle('plate', 'lens.axis', 'lens.distortion or lens.aberration says what goes on around it'))
  if (on(plate('lens.bladeRotation')) && !on(plate('lens.blades')))
    out.push(idle('plate', 'lens.bladeRotation', 'lens.blades says that the aperture has corners'))
  for (const e of shot.elements) {
    if (settled(e, 'lens.depthFocus') !== undefined && settled(e, 'lens.depthBlur') === undefined)
      out.push(idle(`elements.${e.id}`, 'lens.depthFocus', 'lens.depthBlur says how wide the blur is'))
  }
  return out
}

function idle(whose: string, name: string, until: string): Problem {
  return new Problem({
    code: 'lens.alone',
    what: `${name} does nothing by itself: nothing happens until ${until}`,
    where: `${whose}.treatments["${name}"]`,
    remedy: 'Set that too, or take this one out.',
  })
}
