/**
 * The null render: a plate's frame in the samples of a delivery, with nothing done to its light.
 *
 * Where the curves agree only the samples are carried over (layout, range, matrix, chroma sites); where they do not (linear
 * EXR out of a coded plate, a movie out of linear EXR) every pixel goes through light.
 */
import {
  allocateFrame,
  type ColourEncoding,
  type FloatImage,
  type NativeFrame,
  type PixelLayout,
  sameLayout,
} from '../../core/index.js'
import { applyCurve, type Coding, type CurveTables, convertFrame, unpack } from '../../kernels/index.js'

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

const RGB: Coding = { range: 'full', matrix: 'rgb', siting: 'left' }

/** A new frame; the plate's own is not touched. */
export function nullRender(plate: NativeFrame, d: Delivery): NativeFrame {
  if (d.from.curve === d.to.curve) return convertFrame(plate, d.from, d.layout, d.to)
  const image = unpack(plate, d.from, { x: 0, y: 0, width: plate.width, height: plate.height })
  applyCurve(image, d.decode)
  applyCurve(image, d.encode)
  return convertFrame(toFloatFrame(image, d.layout.alpha), RGB, d.layout, d.to)
}

function toFloatFrame(image: FloatImage, alpha: boolean): NativeFrame {
  const { width, height } = image.region
  const frame = allocateFrame(
    { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha },
    width,
    height,
  )
  frame.planes.forEach((plane, c) => {
    for (let i = 0; i < plane.data.length; i++) plane.data[i] = image.data[4 * i + c] as number
  })
  return frame
}
