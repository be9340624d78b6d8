/** Kernels against the same operation of OpenCV in WebAssembly: one thread each, floats, 1080p. */
import * as ours from '../../src/kernels/index.js'
import { noisy, region, SIZE } from './picture.js'
import { faster, type Row } from './timing.js'
import { type Vision, withVision } from './vision.js'

const RADIUS = 6

/** Of the operations whose names begin with `only`. */
export function visionRows(rounds: number, only: string): Promise<Row[]> {
  return withVision((cv) => rowsOf(cv, rounds).filter((row) => row.name.startsWith(only)))
}

function rowsOf(cv: Vision, rounds: number): Row[] {
  const source = new cv.Mat(region.height, region.width, cv.CV_32FC4)
  source.data32F.set(noisy().data)
  const made = new cv.Mat()
  const size = 2 * RADIUS + 1
  const disc = new cv.Mat(size, size, cv.CV_32FC1)
  disc.data32F.set(discOf(RADIUS))
  const centre = new cv.Point(-1, -1)
  const rows = ours.duringFrame(() => {
    const resident = ours.copyImage(noisy())
    return [
      faster(
        'disc-6',
        SIZE,
        () => ours.duringScratch(() => ours.discBlur(resident, RADIUS)),
        'opencv-js',
        () => cv.filter2D(source, made, -1, disc, centre, 0, cv.BORDER_CONSTANT),
        rounds,
      ),
    ]
  })
  for (const mat of [source, made, disc]) mat.delete()
  return rows
}

/** A disc with a soft edge one pixel wide, its sum 1. */
function discOf(radius: number): Float32Array {
  const size = 2 * radius + 1
  const disc = Float32Array.from({ length: size * size }, (_, i) => {
    const distance = Math.hypot((i % size) - radius, Math.floor(i / size) - radius)
    return Math.min(1, Math.max(0, radius + 0.5 - distance))
  })
  const sum = disc.reduce((a, b) => a + b)
  return disc.map((v) => v / sum)
}
