import { POINTWISE, type Reach, type Region, wholeOf } from '../../../core/index.js'

/**
 * Cast light changes the plate pixel by pixel, on the surfaces' masks alone (`surfaceReach`); but how much depends on all
 * that the element emits over `near`, the frame and what is blurred into it.
 */
export function emissionReach(answered: boolean, near: Region): Reach {
  return answered ? wholeOf(near) : POINTWISE
}
