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
import { blurAlong, gradientReach } from './lens/defocus/gradient.js'
import { defocusReach } from './lens/defocus/reach.js'
import { applyVignette, vignetteReach } from './lens/vignette/apply.js'
import type { Medium } from './order.js'
import { streakReach } from './streak.js'

export function lensReach(s: ElementSettings, ways: StreakMap | undefined): Reach {
  const blur =
    s.blurGradient === undefined
      ? defocusReach(widest(s.blurRadius, s.blurByColour), s.aperture)
      : gradientReach(s.blurGradient, s.aperture)
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
  const whole = outOfFocus(light, s, frame)
  const wanted = reach.needs(window)
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

/** Colours part only where one radius holds for all of it. */
function outOfFocus(light: FloatImage, s: ElementSettings, frame: Region): Medium {
  if (s.blurGradient !== undefined)
    return { image: blurAlong(light, s.blurGradient, s.aperture), coverage: undefined }
  return blurByColour(light, s.blurRadius, s.blurByColour, defocusBy(s.aperture, frame))
}

/** What of a picture is seen in a part while the shutter is open. */
function exposed(image: FloatImage, ways: StreakMap | undefined, part: Region): FloatImage {
  if (ways === undefined) return cropImage(image, part)
  return streak(image, ways, intersect(streakReach(ways).touches(image.region), part))
}

export function still(medium: Medium): Pick<Sheet, 'region' | 'draw'> {
  return { region: medium.image.region, draw: () => medium }
}
