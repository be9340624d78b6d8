/** A file's frame as a linear picture of the working size in shared memory: made once, kept as long as there is room. */
import { refuseSecond, topOf } from '../../chain/place/holdout/matte.js'
import { type AlphaKind, toPremultiplied } from '../../chain/source/alpha/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import {
  allocateFrame,
  type ColourEncoding,
  emptyImage,
  type FloatImage,
  type NativeFrame,
  type PixelLayout,
} from '../../core/index.js'
import { applyCurve, duringFrame, shrink, unpack } from '../../kernels/index.js'
import { tableOf, tablesOf } from '../tables.js'
import { elementSize, plateSize } from './scale.js'

type Border = Parameters<typeof shrink>[3]

/** The plate's light. */
export function shrunkPlate(frame: NativeFrame, encoding: ColourEncoding, factor: number): NativeFrame {
  return duringFrame(() => {
    const image = unpack(frame, encoding, whole(frame))
    if (frame.layout.float) replaceNotFinite(image)
    applyCurve(image, tablesOf(encoding, 'decode'))
    return planar(smaller(image, factor, plateSize(frame, factor), 'held'), false)
  })
}

/** Premultiplied light of an element in its own primaries; its middle lies in the picture's middle. */
export function shrunkElement(
  frame: NativeFrame,
  encoding: ColourEncoding,
  alpha: AlphaKind,
  factor: number,
): NativeFrame {
  return duringFrame(() => {
    const image = unpack(frame, encoding, whole(frame))
    if (frame.layout.float) replaceNotFinite(image)
    toPremultiplied(image, alpha, encoding.curve === 'linear' ? undefined : tableOf(encoding.curve, 'decode'))
    return planar(smaller(image, factor, elementSize(frame, factor), 'clear'), true)
  })
}

/** The first plane of a matte, 0 to 1. @throws Problem as `refuseSecond` */
export function shrunkMatte(frame: NativeFrame, factor: number): NativeFrame {
  refuseSecond(frame)
  return shrunkData(frame, factor)
}

/** The first plane as data: floats as they are, codes as shares of full code. */
export function shrunkData(frame: NativeFrame, factor: number): NativeFrame {
  return duringFrame(() => {
    const image = emptyImage(whole(frame))
    const top = topOf(frame)
    frame.planes[0]?.data.forEach((v, i) => {
      image.data[4 * i] = v / top
    })
    return planar(smaller(image, factor, plateSize(frame, factor), 'held'), false)
  })
}

function whole({ width, height }: NativeFrame) {
  return { x: 0, y: 0, width, height }
}

function smaller(image: FloatImage, factor: number, size: { width: number; height: number }, border: Border) {
  if (factor === 1) return image
  const { width, height } = image.region
  // What an element's picture lacks of whole pixels is shared by both sides; the plate's corner stays where it is.
  const rest = border === 'clear' ? 0.5 : 0
  const map = {
    scaleX: factor,
    scaleY: factor,
    originX: rest * (size.width - factor * width),
    originY: rest * (size.height - factor * height),
  }
  return shrink(image, map, { x: 0, y: 0, ...size }, border)
}

function planar({ region, data }: FloatImage, alpha: boolean): NativeFrame {
  const layout: PixelLayout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha }
  const frame = allocateFrame(layout, region.width, region.height, true)
  frame.planes.forEach((plane, c) => {
    for (let i = 0; i < plane.data.length; i++) plane.data[i] = data[4 * i + c] as number
  })
  return frame
}
