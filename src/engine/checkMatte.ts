/** The check of a solid element's matte over time, on its own file: what flickers there flickers in the shot. */
import { type Comparison, cannotTell, quiet } from '../chain/compare.js'
import {
  CHATTER_FRAMES,
  type ChatterLook,
  compareChatter,
  type Four,
  lookAtChatter,
} from '../chain/source/moving/chatter.js'
import { sourceLight } from '../chain/sourceLight.js'
import type { FloatImage, Region } from '../core/index.js'
import type { ShotElement } from '../shot/schema.js'
import type { FitContext } from './context.js'
import { lightSettings } from './fitElement.js'
import { spread } from './samples.js'

/** Places in time that are looked at. */
const PLACES = 3

/** @param seen frames of the shot that show it, and where */
export async function compareMatteOverTime(
  e: ShotElement,
  c: FitContext,
  seen: { readonly frames: readonly number[]; readonly region: Region },
): Promise<Comparison> {
  const source = c.sources.elements.get(e.id)
  const settings = lightSettings(e, c, 'own')
  // A still does not flicker, and where light itself is the coverage there is no matte.
  if (
    source === undefined ||
    settings === undefined ||
    source.info.frameCount === 1 ||
    e.alpha === 'on-black'
  )
    return quiet()
  const last = source.info.frameCount - CHATTER_FRAMES
  if (last < e.trimFrames) return cannotTell('matte-chatter', 'source', 'its file has fewer than four frames')
  const looks: (ChatterLook | undefined)[] = []
  for (const first of spread(e.trimFrames, last, PLACES)) {
    const images: FloatImage[] = []
    for await (const native of source.frames(first, CHATTER_FRAMES))
      images.push(sourceLight(native, settings, true).image)
    if (images.length === CHATTER_FRAMES) looks.push(lookAtChatter(first + 1, images as unknown as Four))
  }
  return compareChatter(e.id, looks, seen)
}
