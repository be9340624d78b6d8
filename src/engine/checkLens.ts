/** The check of what lens and sensor do to one element: what each sees of it on every frame, and what that comes to. */
import { type Comparison, cannotTell, type Seen, type SeenElement } from '../chain/compare.js'
import type { ElementSettings } from '../chain/element.js'
import {
  compareFringe,
  type FringeLook,
  lookAtFringe,
  showsFringe,
} from '../chain/lens/aberration/compare.js'
import { type BlurLook, compareBeside } from '../chain/lens/defocus/beside.js'
import { compareSkirt, lookAtSkirt, type SkirtLook } from '../chain/lens/glare/compare.js'
import { compareFalloff, type FalloffLook, lookAtFalloff } from '../chain/lens/vignette/compare.js'
import { compareLimits, type LimitLook, lookAtLimits } from '../chain/sensor/limits/compare.js'
import type { Region } from '../core/index.js'
import type { Source } from '../media/index.js'
import { natureShares } from '../shot/index.js'
import type { Shot, ShotElement } from '../shot/schema.js'
import { blurBeside, blurOf } from './blurBeside.js'
import type { FitContext } from './context.js'
import type { LensNorms } from './lensNorms.js'
import { clipLevel } from './samples.js'
import type { Look } from './seen.js'

export interface LensLooks {
  readonly falloff: (FalloffLook | undefined)[]
  readonly skirt: (SkirtLook | undefined)[]
  readonly fringe: FringeLook[]
  readonly limits: LimitLook[]
  readonly blur: BlurLook[]
}

export function noLensLooks(): LensLooks {
  return { falloff: [], skirt: [], fringe: [], limits: [], blur: [] }
}

/** Frames on which fringes and edges are looked at: they take long, and more of one take tell hardly more. */
export const FEW = 2

/** Adds what one frame shows. */
export function lookThroughLens(
  { seen, elements, file }: Look,
  e: Look['elements'][number],
  { element, s }: { readonly element: ShotElement; readonly s: ElementSettings },
  norms: LensNorms,
  c: FitContext,
  all: LensLooks,
): void {
  const { plate } = c.sources
  if ('value' in norms.vignette)
    all.falloff.push(lookAtFalloff(seen, e, norms.vignette.value, s.vignette, clipLevel(plate)))
  if ('value' in norms.clip && !file.info.layout.float)
    all.limits.push(lookAtLimits(seen, e, norms.clip.value, s.emits > 0))
  if ('value' in norms.glare && s.emits > 0) {
    const others = elements.filter((o) => o.id !== e.id).map((o) => o.region)
    const taken = [...others, ...boxes(c.shot.elements)]
    all.skirt.push(lookAtSkirt(seen, e, e.body, norms.glare.value, s.glare?.share ?? 0, taken))
  }
  if (s.emits === 1) return
  const { aberration } = norms
  if (
    'value' in aberration &&
    all.fringe.length < FEW &&
    showsFringe(aberration.value, e, seen.plate.region)
  ) {
    const { subX, subY } = plate.info.layout
    all.fringe.push(lookAtFringe(seen, e, { x: subX > 0, y: subY > 0 }))
  }
  if (element.compareWith !== undefined && all.blur.length < FEW)
    all.blur.push(lookAtBlur(seen, e, file, c.shot))
}

/** Where surfaces answer light. */
function boxes(elements: readonly ShotElement[]): Region[] {
  return elements
    .flatMap((e) => e.lights ?? [])
    .map(({ polygon, featherPx }) => {
      const [xs, ys] = [polygon.map((p) => p[0]), polygon.map((p) => p[1])]
      const [x, y] = [Math.floor(Math.min(...xs) - featherPx), Math.floor(Math.min(...ys) - featherPx)]
      return { x, y, width: Math.max(...xs) + featherPx - x, height: Math.max(...ys) + featherPx - y }
    })
}

/** The element's own light in the finished file. */
function lookAtBlur(seen: Seen, e: SeenElement, file: Source, shot: Shot): BlurLook {
  const { region } = seen.plate
  const data = new Float32Array(seen.rendered.data.length)
  for (let p = 0; p < data.length / 4; p++) {
    if (e.alpha[p] === 0 && e.light[p] === 0) continue
    for (let i = 4 * p; i < 4 * p + 3; i++)
      data[i] = (seen.rendered.data[i] as number) - (seen.keep[p] as number) * (seen.plate.data[i] as number)
  }
  return {
    frame: seen.frame,
    read: blurOf({ region, data }, seen.frame, e.region, file, shot),
    region: e.region,
  }
}

/** All that lens and sensor say of one element. */
export function compareThroughLens(
  e: ShotElement,
  all: LensLooks,
  norms: LensNorms,
  c: FitContext,
  blurRadius: number,
): Comparison[] {
  const { emits, reflects } = natureShares(e.nature)
  const why = (known: LensNorms[keyof LensNorms]) => ('why' in known ? known.why : undefined)
  const clip = 'value' in norms.clip ? norms.clip.value : NOWHERE
  const out = [
    compareFalloff(e.id, all.falloff, why(norms.vignette)),
    compareLimits(e.id, all.limits, clip, why(norms.clip)),
  ]
  if (emits > 0) out.push(compareSkirt(e.id, all.skirt, why(norms.glare)))
  const { aberration } = norms
  if (emits < 1)
    out.push(compareFringe(e.id, all.fringe, 'value' in aberration ? aberration.value : undefined))
  if (all.blur.length > 0) {
    const softer = reflects === 1 && e.keys === undefined && e.follow === undefined ? blurRadius : 0
    out.push(compareBeside(e.id, all.blur, blurBeside(e, c), softer))
  } else if (emits < 1 && e.compareWith === undefined)
    out.push(
      cannotTell(
        'softness',
        'lens',
        'no place of the plate is named that it should be as soft as (compareWith)',
      ),
    )
  return out
}

const NOWHERE = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] as const
