/** Shot documents of `three-depths`: what an artist knows, with an artist's error, and the ways to place the bush. */
import { between } from '../chance.js'
import type { DepthsSetting } from './setting.js'
import { applied, planeMatrix } from './truth.js'

/** A thing that is followed, and what came of it where that is written. */
export interface Named {
  readonly id: string
  readonly region: readonly (readonly [number, number])[]
  readonly z: number
  /** From the first frame to each. */
  readonly matrices: readonly (readonly number[])[]
  readonly data?: { readonly file: string; readonly sha256: string }
}

/** `still`: left where it was put. `flat`: one picture that goes with the wall. `layers`: front and back, each as its own depth goes. */
export type How = 'still' | 'flat' | 'layers'

/** How an element is carried: by what the document says of a track, or by keys made of the same matrices. */
const CARRIED_BY: 'follow' | 'keys' = 'keys'

type Json = { [key: string]: unknown }

/** @param clean of the noise-free twins */
export function depthsDocument(s: DepthsSetting, tracks: readonly Named[], how: How, clean = false): Json {
  const off = (share: number, k: number) => 1 + between(-share, share, s.seed, k, 950)
  return {
    platefit: 1,
    plate: clean
      ? { file: 'clean/plate/plate.####.png', curve: 'bt709', rate: '24' }
      : { file: 'plate.mov', curve: 'bt709' },
    camera: { sensorWidthMm: 36, focalLengthMm: 48 },
    tracks: tracks.map(({ id, region, z, data }, i) => ({
      id,
      region,
      distanceM: round(z * off(0.02, i)),
      ...(data === undefined ? {} : { data }),
    })),
    elements: elementsOf(s, tracks, how, off),
  }
}

function elementsOf(
  s: DepthsSetting,
  tracks: readonly Named[],
  how: How,
  off: (share: number, k: number) => number,
): Json[] {
  const { distanceM, depthM } = s.bush
  const wall = tracks.find((t) => t.id === 'wall')
  const one = (file: string, z: number, matrices: Named['matrices'] | undefined): Json => ({
    id: file,
    file: `${file}/${file}.####.png`,
    curve: 'bt709',
    rate: '24',
    alpha: 'straight',
    nature: 'reflects',
    distanceM: round(z * off(0.02, 10)),
    depthM: round(depthM * off(0.05, 11)),
    ...placed(s, matrices),
    treatments: {},
  })
  if (how === 'still') return [one('bush', distanceM, undefined)]
  if (how === 'flat') return [one('bush', distanceM, wall?.matrices)]
  // Each layer by the matrices of its own plane.
  const layer = (file: string, z: number) =>
    one(
      file,
      z,
      s.poses.map((pose) => planeMatrix(s, pose, z)),
    )
  return [layer('bush-front', distanceM - depthM / 2), layer('bush-back', distanceM + depthM / 2)]
}

/** Its picture is twice as fine as the plate. */
function placed(s: DepthsSetting, matrices: Named['matrices'] | undefined): Json {
  const { left, top, size } = s.bush
  const [x, y] = [left + size / 2, top + size / 2]
  const at = { position: { x, y }, scale: size / (2 * Math.round(size)) }
  if (matrices === undefined) return at
  if (CARRIED_BY === 'follow') return { ...at, follow: { track: 'wall' } }
  const keys = matrices.map((m, frame) => {
    const [cx, cy] = applied(m, x, y)
    const [rx, ry] = applied(m, x + size / 4, y)
    return { frame, dx: cx - x, dy: cy - y, scale: Math.hypot(rx - cx, ry - cy) / (size / 4) }
  })
  return { ...at, keys }
}

function round(v: number): number {
  return Math.round(v * 1000) / 1000
}
