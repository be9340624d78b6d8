/**
 * Lens and shutter of an element: out of focus, moved while the shutter is open, drawn where and in which colours the plate's lens draws
 * it, and as bright as it leaves it. A lens draws every moment of an exposure alike, so the mean over them is bent once, and ways are
 * as they are before it.
 */
import { chained, type FloatImage, intersect, type Reach, type Region } from '../core/index.js'
import { cropImage, type StreakMap, streak, warp } from '../kernels/index.js'
import type { ElementSettings, Sheet, View } from './element.js'
import { bendReach } from './lens/bend.js'
import { blurByColour, widest } from './lens/colourBlur/apply.js'
import { defocusBy } from './lens/defocus/apply.js'
import { blurByField, fieldReach, scaledField } from './lens/defocus/field.js'
import { defocusReach } from './lens/defocus/reach.js'
import { applyVignette, vignetteReach } from './lens/vignette/apply.js'
import type { Medium } from './order.js'
import { streakReach } from './streak.js'

export function lensReach(s: ElementSettings, ways: StreakMap | undefined): Reach {
  const blur =
    s.blurField === undefined
      ? defocusReach(s.blurRadius * widest(s.blurByColour), s.aperture)
      : fieldReach(scaledField(s.blurField, widest(s.blurByColour)), s.aperture)
  return chained(blur, streakReach(ways), bendReach(s.bend), vignetteReach)
}

/** @param light the caller's own: it may be changed */
export function throughLens(
  light: FloatImage,
  s: ElementSettings,
  ways: StreakMap | undefined,
  { frame, window }: View,
): Pick<Sheet, 'region' | 'draw'> {
  const { bend, vignette } = s
  const reach = bendReach(bend)
  const wanted = reach.needs(window)
  const whole = outOfFocus(light, s, frame, streakReach(ways).needs(wanted))
  const image = exposed(whole.image, ways, wanted)
  const coverage = whole.coverage && exposed(whole.coverage, ways, wanted)
  if (bend === undefined) {
    if (vignette !== undefined) applyVignette(image, vignette, frame)
    return still({ image, coverage })
  }
  const region = intersect(reach.touches(image.region), window)
  return {
    region,
    draw: (part) => {
      const here = intersect(part, region)
      const drawn = warp(image, bend.map, here)
      if (vignette !== undefined) applyVignette(drawn.image, vignette, frame)
      // What covers each colour is drawn as that colour is.
      return coverage === undefined
        ? { image: drawn.image, coverage: drawn.coverage }
        : { image: drawn.image, coverage: warp(coverage, bend.map, here).image }
    },
  }
}

function outOfFocus(light: FloatImage, s: ElementSettings, frame: Region, wanted: Region): Medium {
  const { blurField: field, blurRadius, aperture } = s
  if (field !== undefined)
    return blurByColour(s.blurByColour, (f) =>
      blurByField(light, scaledField(field, f), aperture, frame, wanted),
    )
  const blur = defocusBy(aperture, frame)
  return blurByColour(blurRadius === 0 ? [1, 1] : s.blurByColour, (f) => blur(light, f * blurRadius))
}

/** What of a picture is seen in a part while the shutter is open. */
function exposed(image: FloatImage, ways: StreakMap | undefined, part: Region): FloatImage {
  if (ways === undefined) return cropImage(image, part)
  return streak(image, ways, intersect(streakReach(ways).touches(image.region), part))
}

export function still(medium: Medium): Pick<Sheet, 'region' | 'draw'> {
  return { region: medium.image.region, draw: () => medium }
}
