/** Motions and points as plain text that the readers beside it take, digit for digit. Plate pixels with edges at whole numbers, frames of the shot from 0. */
import type { State } from '../known.js'
import type { Matrix3, Place } from '../matrix.js'
import { anglesOfMotion } from './angles.js'
import type { NamedPoint, Size } from './file.js'

const head = ({ width, height }: Size, bridged: readonly number[] = []) =>
  `# pixel centres: half\n# first frame: 0\n# size: ${width} ${height}\n# y: down\n${bridged.length === 0 ? '' : `# bridged: ${bridged.join(' ')}\n`}`

interface FrameMatrix {
  readonly frame: number
  readonly matrix: readonly number[]
  readonly state?: State
}

const bridgedIn = (frames: readonly FrameMatrix[]) =>
  frames.flatMap((f) => (f.state === 'bridged' ? [f.frame] : []))

const named = (points: readonly NamedPoint[]): readonly NamedPoint[] =>
  points.map(({ name, seen }, i) => ({ name: name || `point ${i + 1}`, seen }))

/** `frame,x,y,name`, a row for each sighting; names without comma, quote or line break. */
export function pointsCsv(points: readonly NamedPoint[], plate: Size): string {
  const rows = named(points).flatMap(({ name, seen }) => seen.map((s) => [...s, name].join(',')))
  return `${head(plate)}frame,x,y,name\n${rows.join('\n')}\n`
}

/** The same as JSON. */
export function pointsJson(points: readonly NamedPoint[], plate: Size): string {
  return json({}, 'points', named(points), plate)
}

/** `frame,m1 … m9`: from the reference frame's pixels to each frame's, row by row. */
export function matricesCsv(frames: readonly FrameMatrix[], plate: Size): string {
  return `${head(plate, bridgedIn(frames))}frame,m1,m2,m3,m4,m5,m6,m7,m8,m9\n${frames.map((f) => [f.frame, ...f.matrix].join(',')).join('\n')}\n`
}

/** The same as JSON. */
export function matricesJson(frames: readonly FrameMatrix[], plate: Size): string {
  const bridged = bridgedIn(frames)
  const list = frames.map(({ frame, matrix }) => ({ frame, matrix }))
  return json(bridged.length === 0 ? {} : { bridged }, 'frames', list, plate)
}

function json(more: object, name: string, list: readonly object[], { width, height }: Size): string {
  const said = { pixelCentres: 'half', firstFrame: 0, size: [width, height], y: 'down', ...more }
  const lines = Object.entries(said).map(([key, value]) => `  "${key}": ${JSON.stringify(value)},\n`)
  const entries = list.map((one) => `    ${JSON.stringify(one)}`).join(',\n')
  return `{\n${lines.join('')}  "${name}": [\n${entries}\n  ]\n}\n`
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
