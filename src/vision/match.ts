/** Finding again what has moved far by a small picture of it. */
import { type Grey, matOf, type Place, type Vision } from './vision.js'

/**
 * Where a template correlates best with a part of the picture, brightness and contrast aside, at whole pixels.
 *
 * @returns place of the template's first edge, and the correlation there, −1 to 1
 */
export function search(vision: Vision, template: Grey, picture: Grey): { at: Place; correlation: number } {
  return vision.use((cv, keep) => {
    const scores = keep(new cv.Mat())
    cv.matchTemplate(matOf(cv, keep, picture), matOf(cv, keep, template), scores, cv.TM_CCOEFF_NORMED)
    const { data32F, cols } = scores
    let best = 0
    for (let i = 1; i < data32F.length; i++) {
      if ((data32F[i] as number) > (data32F[best] as number)) best = i
    }
    return { at: [best % cols, Math.floor(best / cols)], correlation: data32F[best] as number }
  })
}
