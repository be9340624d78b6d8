import type { FloatImage } from '../../core/index.js'

export function over(_dst: FloatImage, _src: FloatImage): void {
  throw new Error('being written')
}

export function add(_dst: FloatImage, _src: FloatImage): void {
  throw new Error('being written')
}
