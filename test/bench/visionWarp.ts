/**
 * Bending by OpenCV: a plane a channel, and one of alpha for each of three coverages, by maps in the library's fastest form (whole
 * pixels and thirty-seconds), made beforehand. That is what ours gives too: colours and coverages, six planes.
 */
import type { WarpMap } from '../../src/kernels/index.js'
import type { Mat, Vision } from './vision.js'

/** @param rgba pixels of the whole map's frame; @returns the work to time */
export function bent(cv: Vision, rgba: Float32Array, map: WarpMap): () => void {
  const { width, height } = map.frame
  const plane = () => new cv.Mat(height, width, cv.CV_32FC1)
  const channels = [0, 1, 2, 3].map((c) => {
    const mat = plane()
    for (let i = 0; i < width * height; i++) mat.data32F[i] = rgba[4 * i + c] as number
    return mat
  })
  const maps = [0, 1, 2].map((c) => {
    const [x, y, whole, part] = [plane(), plane(), new cv.Mat(), new cv.Mat()]
    positions(map, 2 * c, x.data32F, (at) => at % width)
    positions(map, 2 * c + 1, y.data32F, (at) => Math.floor(at / width))
    cv.convertMaps(x, y, whole, part, cv.CV_16SC2, false)
    for (const mat of [x, y]) mat.delete()
    return { whole, part }
  })
  const made = new cv.Mat()
  const outside = new cv.Scalar()
  return () => {
    for (const [c, { whole, part }] of maps.entries()) {
      for (const from of [channels[c], channels[3]]) {
        cv.remap(from as Mat, made, whole, part, cv.INTER_CUBIC, cv.BORDER_CONSTANT, outside)
      }
    }
  }
}

/** Source positions of one plane of the map, linear between its nodes. */
function positions(map: WarpMap, plane: number, out: Float32Array, own: (at: number) => number): void {
  const { columns, rows, step, shift, frame } = map
  const first = plane * columns * rows
  for (let at = 0; at < out.length; at++) {
    const [x, y] = [(at % frame.width) / step, Math.floor(at / frame.width) / step]
    const [i, j] = [Math.floor(x), Math.floor(y)]
    const node = (k: number, l: number) =>
      shift[first + Math.min(l, rows - 1) * columns + Math.min(k, columns - 1)] as number
    const row = (l: number) => node(i, l) + (node(i + 1, l) - node(i, l)) * (x - i)
    out[at] = own(at) + row(j) + (row(j + 1) - row(j)) * (y - j)
  }
}
