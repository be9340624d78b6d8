/** The work of a preview's thread. */
import { imageViewer } from '../../colour/index.js'
import {
  type ColourEncoding,
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type Region,
} from '../../core/index.js'
import { duringFrame, unpack } from '../../kernels/index.js'
import { FrameMaker } from '../frame.js'
import { Recent } from '../tables.js'
import { shrunkElement, shrunkMatte, shrunkPlate } from './shrunk.js'
import type { Kept } from './store.js'
import type { Band, Done, Shrink, Task } from './task.js'

export function work(task: Task): Done {
  return task.kind === 'band' ? workBand(task) : workShrink(task)
}

function workShrink({ kind, frame, encoding, alpha, factor }: Shrink): Kept {
  if (kind === 'matte') return { frame: shrunkMatte(frame, factor) }
  if (kind === 'element') return { frame: shrunkElement(frame, encoding, alpha, factor) }
  const plate = shrunkPlate(frame, encoding, factor)
  const all = { x: 0, y: 0, width: plate.width, height: plate.height }
  const shown = new Uint8Array(new SharedArrayBuffer(3 * plate.width * plate.height))
  shown.set(seen(plate, all, encoding))
  return { frame: plate, shown }
}

let maker: { readonly key: string; readonly maker: FrameMaker } | undefined

function workBand(task: Band): undefined {
  const { key, plan, plate, input, shown } = task
  if (maker?.key !== key) maker = { key, maker: new FrameMaker(plan) }
  const wanted = bandOf(maker.maker.touchable(input), task)
  if (isEmpty(wanted)) return undefined
  const { frame, window, touched } = maker.maker.make(input, false, wanted)
  if (isEmpty(touched)) return undefined
  const part = { ...touched, x: touched.x - window.x, y: touched.y - window.y }
  const rgb = seen(frame, part, plate)
  for (let y = 0; y < touched.height; y++) {
    const row = rgb.subarray(3 * y * touched.width, 3 * (y + 1) * touched.width)
    shown.set(row, 3 * ((touched.y + y) * plan.plate.width + touched.x))
  }
  return undefined
}

function bandOf(all: Region, { band, bands }: Band): Region {
  const height = Math.ceil(all.height / bands)
  return intersect(all, { ...all, y: all.y + band * height, height })
}

/** A part of a linear picture as it is seen. */
function seen(frame: NativeFrame, part: Region, plate: ColourEncoding): Uint8Array {
  return duringFrame(() => viewerOf(plate)(unpack(frame, RGB, part)))
}

const RGB = { range: 'full', matrix: 'rgb', siting: 'left' } as const
const viewers = new Recent<(image: FloatImage) => Uint8Array>(2)

function viewerOf(plate: ColourEncoding): (image: FloatImage) => Uint8Array {
  return viewers.get(plate, () => imageViewer(plate))
}
