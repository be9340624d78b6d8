import type { ColourEncoding, FloatImage, NativeFrame } from '../../core/index.js'
import { unpack } from '../../kernels/index.js'

/** A frame kept whole for the looks at single pictures; `after` is the next one, where it was read too. */
export interface Still {
  readonly frame: number
  readonly native: NativeFrame
  readonly after?: NativeFrame
}

/** Code values R′, G′, B′ and alpha of the whole still. */
export function codesOf(still: Still, encoding: ColourEncoding): FloatImage {
  const { width, height } = still.native
  return unpack(still.native, encoding, { x: 0, y: 0, width, height })
}
