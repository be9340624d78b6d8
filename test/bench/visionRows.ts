/** Kernels against the same operation of OpenCV in WebAssembly: one thread each, floats, 1080p. */
import * as ours from '../../src/kernels/index.js'
import { LENS, noisy, region, SIZE } from './picture.js'
import { faster, type Row } from './timing.js'
import { type Mat, type Vision, withVision } from './vision.js'
import { bent } from './visionWarp.js'

const RADIUS = 6
const SIGMA = 20

/** Of the operations whose names begin with `only`. */
export function visionRows(rounds: number, only: string): Promise<Row[]> {
  return withVision((cv) => ours.duringFrame(() => rowsOf(cv, rounds, only)))
}

function rowsOf(cv: Vision, rounds: number, only: string): Row[] {
  const resident = ours.copyImage(noisy())
  const source = new cv.Mat(region.height, region.width, cv.CV_32FC4)
  source.data32F.set(resident.data)
  const made = new cv.Mat()
  const disc = discOf(cv, RADIUS)
  const [centre, anySize] = [new cv.Point(-1, -1), new cv.Size(0, 0)]
  const pairs: readonly (readonly [name: string, ours: () => void, theirs: () => void])[] = [
    [
      `disc-${RADIUS}`,
      () => ours.discBlur(resident, RADIUS),
      () => cv.filter2D(source, made, -1, disc, centre, 0, cv.BORDER_CONSTANT),
    ],
    [
      `gaussian-${SIGMA}`,
      () => ours.gaussianBlur(resident, SIGMA, region),
      () => cv.GaussianBlur(source, made, anySize, SIGMA, SIGMA, cv.BORDER_CONSTANT),
    ],
    ['warp', () => ours.warp(resident, LENS, region), bent(cv, resident.data, LENS)],
  ]
  return pairs
    .filter(([name]) => name.startsWith(only))
    .map(([name, mine, its]) => faster(name, SIZE, () => ours.duringScratch(mine), 'opencv-js', its, rounds))
}

/** A disc with a soft edge one pixel wide, its sum 1. */
function discOf(cv: Vision, radius: number): Mat {
  const size = 2 * radius + 1
  const disc = Float32Array.from({ length: size * size }, (_, i) => {
    const distance = Math.hypot((i % size) - radius, Math.floor(i / size) - radius)
    return Math.min(1, Math.max(0, radius + 0.5 - distance))
  })
  const sum = disc.reduce((a, b) => a + b)
  const mat = new cv.Mat(size, size, cv.CV_32FC1)
  mat.data32F.set(disc.map((v) => v / sum))
  return mat
}
