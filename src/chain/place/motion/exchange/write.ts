/** Motions and points as plain text that the readers beside it take, digit for digit. Plate pixels with edges at whole numbers, frames of the shot from 0. */
import type { Matrix3, Place } from '../matrix.js'
import { anglesOfMotion } from './angles.js'
import type { NamedPoint, Size } from './file.js'

const head = ({ width, height }: Size) =>
  `# pixel centres: half\n# first frame: 0\n# size: ${width} ${height}\n# y: down\n`

interface FrameMatrix {
  readonly frame: number
  readonly matrix: readonly number[]
}

/** `frame,x,y,name`, a row for each sighting; names without comma, quote or line break. */
export function pointsCsv(points: readonly NamedPoint[], plate: Size): string {
  const rows = points.flatMap(({ name, seen }, i) =>
    seen.map(([frame, x, y]) => `${frame},${x},${y},${name || `point ${i + 1}`}`),
  )
  return `${head(plate)}frame,x,y,name\n${rows.join('\n')}\n`
}

/** `frame,m1 … m9`: from the reference frame's pixels to each frame's, row by row. */
export function matricesCsv(frames: readonly FrameMatrix[], plate: Size): string {
  return `${head(plate)}frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n${frames.map((f) => [f.frame, ...f.matrix].join(',')).join('\n')}\n`
}

/** The same as JSON. */
export function matricesJson(frames: readonly FrameMatrix[], { width, height }: Size): string {
  const list = frames.map(({ frame, matrix }) => `    ${JSON.stringify({ frame, matrix })}`)
  return `{\n  "pixelCentres": "half",\n  "firstFrame": 0,\n  "size": [${width}, ${height}],\n  "y": "down",\n  "frames": [\n${list.join(',\n')}\n  ]\n}\n`
}

/** `frame,pan,tilt,roll,focal` of a motion that is a camera's turn: degrees against the reference frame, focal length in plate pixels. */
export function anglesCsv(
  frames: readonly FrameMatrix[],
  focalPx: number,
  middle: Place,
  plate: Size,
): string {
  const rows = frames.map(({ frame, matrix }) => {
    const { pan, tilt, roll } = anglesOfMotion(matrix as unknown as Matrix3, focalPx, middle)
    return [frame, pan, tilt, roll, focalPx].join(',')
  })
  return `${head(plate)}# middle: ${middle.join(' ')}\nframe,pan,tilt,roll,focal\n${rows.join('\n')}\n`
}
