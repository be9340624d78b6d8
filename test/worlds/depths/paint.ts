/** Frames by brute force: many rays a pixel, each through every plane from the nearest on. */
import { bits } from '../chance.js'
import { DEPTHS, type DepthsSetting, type Pose, toWorld } from './setting.js'
import { bushTexture, layUnder, planeTexture, type Texture } from './textures.js'

/** Rays a pixel, each way. */
const RAYS = 3

export interface Scene {
  readonly s: DepthsSetting
  readonly near: Texture
  readonly middle: Texture
  readonly far: Texture
  /** Nearest first, and how far away each stands. */
  readonly bush: readonly { readonly texture: Texture; readonly z: number }[]
}

export function makeScene(s: DepthsSetting): Scene {
  const { distanceM, depthM } = s.bush
  return {
    s,
    near: planeTexture(s, 'near'),
    middle: planeTexture(s, 'middle'),
    far: planeTexture(s, 'far'),
    bush: [
      { texture: bushTexture(s, 0), z: distanceM - depthM / 2 },
      { texture: bushTexture(s, 1), z: distanceM + depthM / 2 },
    ],
  }
}

/** Linear R, G, B of one frame without and with the bush. */
export function paintFrame(scene: Scene, frame: number): { plate: Float32Array; truth: Float32Array } {
  const { s } = scene
  const pose = s.poses[frame] as Pose
  const n = s.width * s.height
  const plate = new Float32Array(3 * n)
  const truth = new Float32Array(3 * n)
  const [ray, grown] = [new Float32Array(4), new Float32Array(4)]
  const way = [0, 0, 0]
  // Ways of sight are linear in the pixel.
  const [origin, right, down] = [
    toWorld(pose, [-s.width / 2, -s.height / 2, s.focalPx]),
    toWorld(pose, [1, 0, 0]),
    toWorld(pose, [0, 1, 0]),
  ]
  const share = 1 / RAYS ** 2
  for (let p = 0; p < n; p++) {
    const px = p % s.width
    const py = Math.floor(p / s.width)
    for (let k = 0; k < RAYS ** 2; k++) {
      const h = bits(s.seed, p, frame, k)
      const x = px + ((k % RAYS) + (h & 0xffff) / 65536) / RAYS
      const y = py + (Math.floor(k / RAYS) + (h >>> 16) / 65536) / RAYS
      for (let i = 0; i < 3; i++) way[i] = origin[i] + x * right[i] + y * down[i]
      ray.fill(0)
      meet(scene.near, pose, way, DEPTHS.near, ray)
      grown.set(ray)
      for (const b of scene.bush) meetBush(s, b, pose, way, grown)
      const grows = grown[3] !== ray[3]
      meetRest(scene, pose, way, ray)
      if (grows) meetRest(scene, pose, way, grown)
      for (let c = 0; c < 3; c++) {
        plate[3 * p + c] += share * ray[c]
        truth[3 * p + c] += share * (grows ? grown : ray)[c]
      }
    }
  }
  return { plate, truth }
}

type Way = readonly number[]

function meetRest(scene: Scene, pose: Pose, way: Way, out: Float32Array): void {
  if (out[3] < 1) meet(scene.middle, pose, way, DEPTHS.middle, out)
  if (out[3] < 1) meet(scene.far, pose, way, DEPTHS.far, out)
}

function meet(t: Texture, pose: Pose, way: Way, z: number, out: Float32Array): void {
  const k = (z - pose.forward) / way[2]
  layUnder(t, pose.right + k * way[0], pose.down + k * way[1], out)
}

/** The bush's layers are kept by the pixels in which they show on the first frame. */
function meetBush(s: DepthsSetting, b: Scene['bush'][number], pose: Pose, way: Way, out: Float32Array): void {
  const k = (b.z - pose.forward) / way[2]
  const unit = s.focalPx / b.z
  const x = s.width / 2 + unit * (pose.right + k * way[0])
  const y = s.height / 2 + unit * (pose.down + k * way[1])
  layUnder(b.texture, x, y, out)
}

/** What a camera on the first frame films of some of its layers: straight R, G, B linear and A, at twice the plate's pixels. */
export function filmBush(
  scene: Scene,
  layers: readonly (0 | 1)[],
): { size: number; straight: Float32Array; alpha: Float32Array } {
  const { left, top, size } = scene.s.bush
  const n = 2 * Math.round(size)
  const straight = new Float32Array(3 * n * n)
  const alpha = new Float32Array(n * n)
  const ray = new Float32Array(4)
  for (let p = 0; p < n * n; p++) {
    const sum = [0, 0, 0, 0]
    for (let k = 0; k < RAYS ** 2; k++) {
      ray.fill(0)
      const x = left + ((p % n) + ((k % RAYS) + 0.5) / RAYS) / 2
      const y = top + (Math.floor(p / n) + (Math.floor(k / RAYS) + 0.5) / RAYS) / 2
      for (const l of layers) layUnder((scene.bush[l] as Scene['bush'][number]).texture, x, y, ray)
      for (let c = 0; c < 4; c++) sum[c] += ray[c] / RAYS ** 2
    }
    alpha[p] = sum[3]
    for (let c = 0; c < 3; c++) straight[3 * p + c] = sum[3] > 1e-4 ? sum[c] / sum[3] : 0
  }
  return { size: n, straight, alpha }
}
