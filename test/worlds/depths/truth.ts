/** What is true of the move: the homography of each plane, and what the bush's parts shift against each other. */
import { DEPTHS, type DepthsSetting, type Pose, shows, toCamera } from './setting.js'

type Matrix = readonly number[]

/**
 * From the first frame's pixels to this frame's, of a plane that faces the camera of the first: three of its points carried over
 * say how the plane lies before this camera, since (X, Y) at depth z is linear in the pixel.
 */
export function planeMatrix(s: DepthsSetting, pose: Pose, z: number): number[] {
  const way = (px: number, py: number) =>
    toCamera(pose, [
      ((px - s.width / 2) * z) / s.focalPx - pose.right,
      ((py - s.height / 2) * z) / s.focalPx - pose.down,
      z - pose.forward,
    ])
  const [o, x, y] = [way(0, 0), way(1, 0), way(0, 1)]
  const columns = [0, 1, 2].map((i) => [x[i] - o[i], y[i] - o[i], o[i]])
  const rows = [
    columns[0].map((v, k) => s.focalPx * v + (s.width / 2) * columns[2][k]),
    columns[1].map((v, k) => s.focalPx * v + (s.height / 2) * columns[2][k]),
    columns[2],
  ]
  return rows.flat().map((v) => v / columns[2][2])
}

export function applied(m: Matrix, x: number, y: number): [number, number] {
  const w = m[6] * x + m[7] * y + m[8]
  return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]
}

/** Largest shift of near against far parts of the bush that lie on one way of sight of the first frame, px, frame by frame. */
export function internalParallax(s: DepthsSetting): number[] {
  const { left, top, size, distanceM, depthM } = s.bush
  const grid = Array.from({ length: 9 }, (_, i) => i / 8)
  return s.poses.map((pose) => {
    let most = 0
    for (const a of grid) {
      for (const b of grid) {
        const [x, y] = [left + a * size - s.width / 2, top + b * size - s.height / 2]
        const at = (z: number) => shows(s, pose, [(x * z) / s.focalPx, (y * z) / s.focalPx, z])
        const [n, f] = [at(distanceM - depthM / 2), at(distanceM + depthM / 2)]
        most = Math.max(most, Math.hypot(n[0] - f[0], n[1] - f[1]))
      }
    }
    return most
  })
}

/** First frame beyond a limit. */
export function firstBeyond(values: readonly number[], limit: number): number | undefined {
  const at = values.findIndex((v) => v > limit)
  return at < 0 ? undefined : at
}

/** Outlines of what a tracker is asked to follow, on the first frame, and how far away each is. */
export function followed(s: DepthsSetting): { id: string; region: [number, number][]; z: number }[] {
  const k = s.width / 384
  const box = (x0: number, y0: number, x1: number, y1: number): [number, number][] => [
    [x0 * k, y0 * k],
    [x1 * k, y0 * k],
    [x1 * k, y1 * k],
    [x0 * k, y1 * k],
  ]
  return [
    { id: 'ledge', region: box(120, 162, 340, 206), z: DEPTHS.near },
    { id: 'wall', region: box(290, 20, 374, 130), z: DEPTHS.middle },
    { id: 'hill', region: box(30, 70, 90, 140), z: DEPTHS.far },
  ]
}
