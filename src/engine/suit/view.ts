/**
 * One frame as far as an element's fitness needs it, so that a 1080p frame costs a tenth of a look at all its pixels:
 *
 *   small   every step-th sample both ways, never mixed: shares, levels and colours stay what they are
 *   rows    strips of whole rows, spread from top to bottom, on the grid of the 8×8 blocks: noise and floor; of some frames
 *   sides   the outermost pixels, all of them: border contact
 *
 * All in code values, alpha as stored. Chroma of `small` is the sample next to it, not interpolated.
 */
import { CELL, type Sides } from '../../chain/place/border/measure.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import type { ColourEncoding, FloatImage, NativeFrame, Plane, Region } from '../../core/index.js'
import { unpack } from '../../kernels/index.js'

/** Pixels of a small picture, about: 640×360. */
const SMALL = 640 * 360
const BLOCK = 8
/** Strips of rows: at least so many where the picture has them. */
const STRIPS = 16

export interface View {
  readonly frame: number
  readonly small: FloatImage
  readonly rows: readonly FloatImage[]
  readonly sides: Sides
}

/**
 * @param thin the same frame, `thinned`
 * @param steady whether its rows are looked at
 */
export function viewOf(
  frame: number,
  native: NativeFrame,
  thin: NativeFrame,
  encoding: ColourEncoding,
  steady: boolean,
): View {
  const { width, height } = native
  const part = (region: Region): FloatImage => {
    const image = unpack(native, encoding, region)
    if (native.layout.float) replaceNotFinite(image)
    return image
  }
  const edge = { width: Math.min(CELL, width), height: Math.min(CELL, height) }
  const small = unpack(thin, encoding, { x: 0, y: 0, width: thin.width, height: thin.height })
  if (native.layout.float) replaceNotFinite(small)
  return {
    frame,
    small,
    rows: (steady ? stripsOf(height) : []).map((y) => part({ x: 0, y, width, height: BLOCK })),
    sides: {
      top: part({ x: 0, y: 0, width, height: edge.height }),
      right: part({ x: width - edge.width, y: 0, width: edge.width, height }),
      bottom: part({ x: 0, y: height - edge.height, width, height: edge.height }),
      left: part({ x: 0, y: 0, width: edge.width, height }),
    },
  }
}

/** Every picture of a view. */
export function picturesOf({ small, rows, sides }: View): FloatImage[] {
  return [small, ...rows, sides.top, sides.right, sides.bottom, sides.left]
}

/** First rows of the strips, spread from top to bottom. */
export function stripsOf(height: number): number[] {
  const blocks = Math.floor(height / BLOCK)
  const every = Math.max(1, Math.floor(blocks / STRIPS))
  return Array.from({ length: Math.ceil(blocks / every) }, (_, k) => k * every * BLOCK)
}

/** Every so many-th sample, out of the middle of its square; chroma at the same step, so that nothing is subsampled. */
export function thinned(native: NativeFrame): NativeFrame {
  const { width, height, layout } = native
  const step = Math.max(1, Math.round(Math.sqrt((width * height) / SMALL)))
  if (step === 1) return native
  const middle = step >> 1
  const [w, h] = [Math.ceil((width - middle) / step), Math.ceil((height - middle) / step)]
  const planes = native.planes.map((plane, p) => {
    const chroma = layout.family === 'yuv' && (p === 1 || p === 2)
    return everyNth(plane, w, h, step, middle, chroma ? layout.subX : 0, chroma ? layout.subY : 0)
  })
  return { layout: { ...layout, subX: 0, subY: 0 }, width: w, height: h, planes }
}

function everyNth(
  { data, width: stride }: Plane,
  width: number,
  height: number,
  step: number,
  middle: number,
  subX: number,
  subY: number,
): Plane {
  const out = data.slice(0, width * height)
  for (let y = 0, o = 0; y < height; y++) {
    const row = ((y * step + middle) >> subY) * stride
    for (let x = 0; x < width; x++, o++) out[o] = data[row + ((x * step + middle) >> subX)] as number
  }
  return { width, height, data: out }
}
