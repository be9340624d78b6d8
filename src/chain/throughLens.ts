/** Lens link of an element: out of focus, drawn where and in which colours the plate's lens draws it, and as bright as it leaves it. */
import { chained, type FloatImage, intersect, type Reach } from '../core/index.js'
import { cropImage, warp } from '../kernels/index.js'
import type { ElementSettings, Sheet, View } from './element.js'
import { bendReach } from './lens/bend.js'
import { blurByColour, widest } from './lens/colourBlur/apply.js'
import { defocusReach } from './lens/defocus/reach.js'
import { applyVignette, vignetteReach } from './lens/vignette/apply.js'
import type { Medium } from './order.js'

export function lensReach(s: ElementSettings): Reach {
  return chained(defocusReach(widest(s.blurRadius, s.blurByColour)), bendReach(s.bend), vignetteReach)
}

/** @param light the caller's own: it may be changed */
export function throughLens(
  light: FloatImage,
  s: ElementSettings,
  { frame, window }: View,
): Pick<Sheet, 'region' | 'draw'> {
  const { bend, vignette } = s
  const reach = bendReach(bend)
  const whole = blurByColour(light, s.blurRadius, s.blurByColour)
  const image = cropImage(whole.image, reach.needs(window))
  const coverage = whole.coverage && cropImage(whole.coverage, reach.needs(window))
  if (bend === undefined) {
    if (vignette !== undefined) applyVignette(image, vignette, frame)
    return still({ image, coverage })
  }
  const region = intersect(reach.touches(image.region), window)
  return {
    region,
    draw: (part) => {
      const wanted = intersect(part, region)
      const drawn = warp(image, bend.map, wanted)
      if (vignette !== undefined) applyVignette(drawn.image, vignette, frame)
      // What covers each colour is drawn as that colour is.
      return coverage === undefined
        ? { image: drawn.image, coverage: drawn.coverage }
        : { image: drawn.image, coverage: warp(coverage, bend.map, wanted).image }
    },
  }
}

export function still(medium: Medium): Pick<Sheet, 'region' | 'draw'> {
  return { region: medium.image.region, draw: () => medium }
}
