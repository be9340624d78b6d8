/** The work of a preview's thread. */
import { imageViewer } from '../../colour/index.js'
import {
  type ColourEncoding,
  type FloatImage,
  intersect,
  isEmpty,
  type NativeFrame,
  type Region,
  type Rgb,
} from '../../core/index.js'
import { duringFrame, unpack } from '../../kernels/index.js'
import { FrameMaker } from '../frame.js'
import { Recent } from '../recent.js'
import { shrunkData, shrunkElement, shrunkMatte, shrunkPlate } from './shrunk.js'
import type { Kept } from './store.js'
import type { Band, Done, Point, Shrink, Task } from './task.js'

export function work(task: Task): Done {
  if (task.kind === 'band') return workBand(task)
  return task.kind === 'point' ? workPoint(task) : workShrink(task)
}

function workShrink({ kind, frame, encoding, alpha, factor }: Shrink): Kept {
  if (kind === 'data') return { frame: shrunkData(frame, factor) }
  if (kind === 'matte') return { frame: shrunkMatte(frame, factor) }
  if (kind === 'element') return { frame: shrunkElement(frame, encoding, alpha, factor) }
  const plate = shrunkPlate(frame, encoding, factor)
  const all = { x: 0, y: 0, width: plate.width, height: plate.height }
  const shown = new Uint8Array(new SharedArrayBuffer(3 * plate.width * plate.height))
  shown.set(seen(plate, all, encoding, 0))
  return { frame: plate, shown }
}

/** Two pages that compare all ways to see a shot. */
const makers = new Recent<FrameMaker>(6)

function makerOf({ key, plan }: Pick<Band, 'key' | 'plan'>): FrameMaker {
  return makers.get(key, () => new FrameMaker(plan))
}

function workBand(task: Band): undefined {
  const { plan, plate, stops, input, shown } = task
  const maker = makerOf(task)
  const { width, height } = plan.plate
  // What nothing touches stands there already, as it is seen without a push.
  const all = stops === 0 ? maker.touchable(input) : { x: 0, y: 0, width, height }
  const wanted = bandOf(all, task)
  if (isEmpty(wanted)) return undefined
  const { frame, window, touched } = maker.make(input, false, wanted)
  const part = stops === 0 ? touched : window
  if (isEmpty(part)) return undefined
  const rgb = seen(frame, { ...part, x: part.x - window.x, y: part.y - window.y }, plate, stops)
  for (let y = 0; y < part.height; y++) {
    const row = rgb.subarray(3 * y * part.width, 3 * (y + 1) * part.width)
    shown.set(row, 3 * ((part.y + y) * width + part.x))
  }
  return undefined
}

function workPoint({ plans, input, x, y }: Point): Rgb[] {
  return plans.map((one) => {
    const { frame, window } = makerOf(one).make(input, false, { x, y, width: 1, height: 1 })
    const at = (y - window.y) * window.width + (x - window.x)
    const [r = 0, g = 0, b = 0] = frame.planes.map((p) => p.data[at])
    return [r, g, b]
  })
}

function bandOf(all: Region, { band, bands }: Band): Region {
  const height = Math.ceil(all.height / bands)
  return intersect(all, { ...all, y: all.y + band * height, height })
}

/** A part of a linear picture as it is seen. */
function seen(frame: NativeFrame, part: Region, plate: ColourEncoding, stops: number): Uint8Array {
  return duringFrame(() => viewerOf(plate, stops)(unpack(frame, RGB, part)))
}

const RGB = { range: 'full', matrix: 'rgb', siting: 'left' } as const
const viewers = new Recent<(image: FloatImage) => Uint8Array>(4)

function viewerOf(plate: ColourEncoding, stops: number): (image: FloatImage) => Uint8Array {
  return viewers.get([plate, stops], () => imageViewer(plate, { stops }))
}
