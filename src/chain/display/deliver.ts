/**
 * The null render: a plate's frame in the samples of a delivery, with nothing done to its light.
 *
 * Where the curves agree only the samples are carried over (layout, range, matrix, chroma sites); where they do not (linear
 * EXR out of a coded plate, a movie out of linear EXR) every pixel goes through light.
 */
import { type ColourEncoding, type NativeFrame, type PixelLayout, sameLayout } from '../../core/index.js'
import { type CurveTables, convertFrame, isIdentity } from '../../kernels/index.js'

export interface Delivery {
  readonly from: ColourEncoding
  readonly to: ColourEncoding
  readonly layout: PixelLayout
  /** Plate code to light and light to the delivery's code; used only where the curves differ. */
  readonly decode: CurveTables
  readonly encode: CurveTables
}

/** Whether a plate's samples are the delivery's as they stand. */
export function sameSamples({ layout }: NativeFrame, { from, to, layout: wanted }: Delivery): boolean {
  if (!sameLayout(layout, wanted) || from.curve !== to.curve) return false
  const yuv = layout.family === 'yuv'
  return from.range === to.range && (!yuv || (from.matrix === to.matrix && from.siting === to.siting))
}

/** A new frame; the plate's own is not touched. */
export function nullRender(plate: NativeFrame, d: Delivery): NativeFrame {
  const curves = d.from.curve === d.to.curve ? [] : [d.decode, d.encode]
  return convertFrame(
    plate,
    d.from,
    d.layout,
    d.to,
    curves.filter((c) => !isIdentity(c)),
  )
}
