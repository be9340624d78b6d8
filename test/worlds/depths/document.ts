/** Shot documents of `three-depths`: what an artist knows, with an artist's error, and the ways to place the bush. */
import { between } from '../chance.js'
import type { DepthsSetting } from './setting.js'
import { applied, planeMatrix } from './truth.js'

/** A thing that is followed. */
export interface Named {
  readonly id: string
  readonly region: readonly (readonly [number, number])[]
  readonly z: number
}

export interface TrackFile {
  readonly file: string
  readonly sha256: string
}

/** `still`: left where it was put. `flat`: one picture that goes with the wall. `layers`: front and back, each as its own depth goes. */
export type How = 'still' | 'flat' | 'layers'

type Json = { [key: string]: unknown }

/**
 * @param clean of the noise-free twins
 * @param data what came of the tracks; they are still to be followed where it is absent
 */
export function depthsDocument(
  s: DepthsSetting,
  tracks: readonly Named[],
  how: How,
  clean = false,
  data?: (id: string) => TrackFile | undefined,
): Json {
  const off = (share: number, k: number) => 1 + between(-share, share, s.seed, k, 950)
  return {
    platefit: 1,
    plate: clean
      ? { file: 'clean/plate/plate.####.png', curve: 'bt709', rate: '24' }
      : { file: 'plate.mov', curve: 'bt709' },
    camera: { sensorWidthMm: 36, focalLengthMm: 48, shutterAngleDeg: 1 },
    tracks: tracks.map(({ id, region, z }, i) => ({
      id,
      region,
      distanceM: round(z * off(0.02, i)),
      ...(data ? { data: data(id) } : {}),
    })),
    elements: elementsOf(s, how, off),
  }
}

function elementsOf(s: DepthsSetting, how: How, off: (share: number, k: number) => number): Json[] {
  const { distanceM, depthM } = s.bush
  const one = (file: string, z: number, carried: Json): Json => ({
    id: file,
    file: `${file}/${file}.####.png`,
    curve: 'bt709',
    rate: '24',
    alpha: 'straight',
    nature: 'reflects',
    distanceM: round(z * off(0.02, 10)),
    depthM: round(depthM * off(0.05, 11)),
    ...placed(s),
    ...carried,
    treatments: {},
  })
  if (how === 'still') return [one('bush', distanceM, {})]
  if (how === 'flat') return [one('bush', distanceM, { follow: { track: 'wall' } })]
  // Each layer by the matrices of its own plane.
  const layer = (file: string, z: number) =>
    one(
      file,
      z,
      keyed(
        s,
        s.poses.map((pose) => planeMatrix(s, pose, z)),
      ),
    )
  return [layer('bush-front', distanceM - depthM / 2), layer('bush-back', distanceM + depthM / 2)]
}

/** Its picture is twice as fine as the plate. */
function placed(s: DepthsSetting): { position: { x: number; y: number }; scale: number } {
  const { left, top, size } = s.bush
  return { position: { x: left + size / 2, y: top + size / 2 }, scale: size / (2 * Math.round(size)) }
}

function keyed(s: DepthsSetting, matrices: readonly (readonly number[])[]): Json {
  const { x, y } = placed(s).position
  const { size } = s.bush
  return {
    keys: matrices.map((m, frame) => {
      const [cx, cy] = applied(m, x, y)
      const [rx, ry] = applied(m, x + size / 4, y)
      return { frame, dx: cx - x, dy: cy - y, scale: Math.hypot(rx - cx, ry - cy) / (size / 4) }
    }),
  }
}

function round(v: number): number {
  return Math.round(v * 1000) / 1000
}
