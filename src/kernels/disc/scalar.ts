import type { FloatImage } from '../../core/index.js'

export function discBlur(_src: FloatImage, _radius: number): FloatImage {
  throw new Error('being written')
}
