/**
 * A file's pixels on the plate: scaled from the picture that it was made on, y down.
 *
 *   (x, y) → (x·W/w, y·H/h)        y up: (x·W/w, (h − y)·H/h)        w × h  picture of the file        W × H  plate
 */
import { at, chained, inverse, type Matrix3 } from '../matrix.js'
import type { MotionFile, Size } from './file.js'

/** The same file in plate pixels; what is taken for granted, and a change of size, are said. */
export function onPlate(file: MotionFile, plate: Size): MotionFile {
  const { size = plate, y = 'down' } = file
  const [across, down] = [plate.width / size.width, plate.height / size.height]
  const to: Matrix3 =
    y === 'up' ? [across, 0, 0, 0, -down, plate.height, 0, 0, 1] : [across, 0, 0, 0, down, 0, 0, 0, 1]
  const assumed = [...file.assumed, ...saidOf(file, plate)]
  if (across === 1 && down === 1 && y === 'down') return { ...file, assumed }
  return { ...moved(file, to, across), size: plate, y: 'down', assumed }
}

function moved(file: MotionFile, to: Matrix3, across: number): MotionFile {
  if (file.kind === 'points') {
    const points = file.points.map(({ name, seen }) => ({
      name,
      seen: seen.map(([frame, x, y]) => [frame, ...at(to, x, y)] as const),
    }))
    return { ...file, points }
  }
  if (file.kind === 'matrices') {
    const back = inverse(to)
    const matrices = file.matrices.map(({ frame, matrix }) => ({
      frame,
      matrix: chained(to, chained(matrix, back)),
    }))
    return { ...file, matrices }
  }
  const angles = file.angles.map((a) => ({ ...a, focalPx: a.focalPx * across }))
  return { ...file, angles, ...(file.middle ? { middle: at(to, ...file.middle) } : {}) }
}

function saidOf({ kind, size, y }: MotionFile, plate: Size): readonly string[] {
  const written = ({ width, height }: Size) => `${width}×${height}`
  const said: string[] = []
  if (size === undefined)
    said.push(
      `The file does not say how large the picture is that it was made on: the plate’s ${written(plate)} is assumed.`,
    )
  else if (size.width !== plate.width || size.height !== plate.height) {
    const alike = size.width * plate.height === size.height * plate.width
    said.push(
      `The file was made on a picture of ${written(size)}, and is scaled to the plate’s ${written(plate)}${alike ? '' : ', whose shape is another: width and height each by itself'}.`,
    )
  }
  if (y === undefined && kind !== 'angles')
    said.push('The file does not say which way y goes: down is assumed.')
  return said
}
