/** Blurs whose radius differs from place to place on a frame: of an element that follows the depth map, and of the plate itself. */
import { type DepthBlur, depthField } from '../chain/lens/defocus/depth.js'
import { gradientField } from '../chain/lens/defocus/gradient.js'
import { hiddenShare } from '../chain/place/holdout/apply.js'
import { distancesOf } from '../chain/place/holdout/depth.js'
import type { PlateBlur } from '../chain/plateBlur.js'
import { EMPTY, type Region, union } from '../core/index.js'
import type { RadiusField } from '../kernels/index.js'
import { hidesOn } from '../shot/before.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { strengthOf } from '../shot/strength.js'
import type { FrameInput } from './frame.js'
import { shapeHide } from './hides.js'
import { openingOf } from './opening.js'
import type { Plan } from './plan.js'
import { settled } from './settings.js'

/** By the depth map, as far as the element gets its lens; undefined where it does not follow that. */
export function elementField(e: ShotElement, input: FrameInput, plan: Plan): RadiusField | undefined {
  const endlessPx = strengthOf(e, 'lens') * (settled(e, 'lens.depthBlur')?.[0] ?? 0)
  const focusM = settled(e, 'lens.depthFocus')?.[0]
  if (endlessPx === 0 || focusM === undefined) return undefined
  return byDepth({ focusM, endlessPx }, input, plan)
}

/** Undefined where the plate is left as it is. */
export function plateBlurOf(input: FrameInput, plan: Plan): PlateBlur | undefined {
  const { blur } = plan.shot.plate
  if (blur === undefined || plan.variant !== 'result') return undefined
  const field =
    blur.depth === undefined ? gradientField(blur.gradient ?? NONE) : byDepth(blur.depth, input, plan)
  if (field === undefined || field.most === 0) return undefined
  const frame = { x: 0, y: 0, width: plan.plate.width, height: plan.plate.height }
  const aperture = openingOf(plan.shot)
  if (blur.shapes === undefined) return { field, region: frame, aperture }
  return { ...within(field, blur.shapes, frame, input.number, plan), aperture }
}

const NONE = [0, 0, 0, 0, 0, 0] as const

function byDepth(blur: DepthBlur, { depth }: FrameInput, { shot, plate }: Plan): RadiusField | undefined {
  const scale = shot.site.depth
  return depth && scale && depthField(blur, distancesOf(depth, scale, plate))
}

/** Radii times the share of each pixel that the shapes cover. */
function within(
  { at, most }: RadiusField,
  ids: readonly string[],
  frame: Region,
  number: number,
  plan: Plan,
): Pick<PlateBlur, 'field' | 'region'> {
  const shapes: Shot['shapes'] = plan.shot.shapes.filter((s) => ids.includes(s.id) && hidesOn(s, number))
  const hides = shapes.map((s) => shapeHide(s, number, plan))
  const region = hides.map((hide) => hide(frame)?.region ?? EMPTY).reduce(union, EMPTY)
  const share = hiddenShare(hides, region)
  const { x: left, y: top, width, height } = region
  return {
    region,
    field: {
      most,
      at: (x, y) =>
        x < left || y < top || x >= left + width || y >= top + height
          ? 0
          : (share[(y - top) * width + x - left] as number) * at(x, y),
    },
  }
}
