/** The wall and the light: a lamp from the upper left and sky about, and what the wall sends back on the figure. */
import { fbm, noise, step } from '../chance.js'
import { bodyAt, swingAt, type WallSetting } from './setting.js'
import type { Hit } from './shapes.js'

export type Light = [number, number, number]

const GREEN = [0.05, 0.36, 0.085] as const
/** Towards the lamp: right, down, to the camera. */
const LAMP = [-0.52, -0.55, 0.654] as const
const DIRECT = 0.95
const ABOUT = 0.28
/** Share of the wall's light that a surface turned edge-on gives back. */
const BOUNCE = 0.3

/** Light of the bare wall with the figure's shadow on it. Place in units. */
export function wallAt(s: WallSetting, x: number, y: number, time: number, out: Light): void {
  const [u, v] = [x / 960 - 0.5, y / 540 - 0.5]
  const lamp = 1.12 - 0.42 * u - 0.35 * v * v - 0.5 * u * u
  const cloth = 0.05 * fbm(x / 90, y / 260, 11, 3)
  const bend = x - 655 + 0.09 * y + 5 * noise(y / 60, 3, 3)
  const fold = 0.09 * Math.exp(-(bend * bend) / 60) - 0.07 * Math.exp(-((bend - 13) ** 2) / 90)
  const lit = lamp * (1 + cloth + fold + 0.02 * Math.sin(0.5 * time)) * (1 - 0.5 * shadowAt(s, x, y, time))
  // Another lamp's colour from the left.
  const cold = 0.5 - u
  out[0] = lit * GREEN[0] * (1.1 - 0.2 * cold)
  out[1] = lit * GREEN[1]
  out[2] = lit * GREEN[2] * (0.85 + 0.3 * cold)
}

/** The figure's shadow falls to the right and down, soft: 0 none, 1 full. */
function shadowAt(s: WallSetting, x: number, y: number, time: number): number {
  const [mx, my] = bodyAt(s, time)
  const [px, py] = [x - 85 - mx, y - 50 - my]
  const head = 1 - step(0.6, 1.5, Math.sqrt(((px - 430) / 72) ** 2 + ((py - 185) / 90) ** 2))
  const body = 1 - step(0.75, 1.3, Math.sqrt(((px - 430) / 175) ** 2 + ((py - 560) / 265) ** 2))
  const angle = swingAt(s, time)
  const along = Math.min(Math.max((px - 672) * Math.sin(angle) - (py - 402) * Math.cos(angle), 0), 165)
  const off = Math.hypot(px - 672 - along * Math.sin(angle), py - 402 + along * Math.cos(angle))
  const arm = 1 - step(6, 48, off)
  return 1 - (1 - head) * (1 - body) * (1 - 0.8 * arm)
}

/**
 * What a surface sends to the camera: into `clean` without the wall's light on it, into `spilled` what that adds.
 *
 * The wall stands behind: a surface sees more of it the more it turns away from the camera, and thin things are lit through.
 */
export function sentBy(hit: Hit, wall: Light, clean: Light, spilled: Light): void {
  const facing = Math.max(hit.nx * LAMP[0] + hit.ny * LAMP[1] + hit.nz * LAMP[2], 0)
  const lit = ABOUT + DIRECT * facing
  const behind = BOUNCE * Math.max((1 - hit.nz) ** 2, 0.6 * hit.thin)
  clean[0] = hit.r * lit
  clean[1] = hit.g * lit
  clean[2] = hit.b * lit * 0.97
  // A sheen that has the light's colour and not the surface's: grazing surfaces reflect more.
  const sheen = 0.04 * (1 - hit.nz) ** 3
  for (let c = 0; c < 3; c++) {
    const own = c === 0 ? hit.r : c === 1 ? hit.g : hit.b
    clean[c] += 0.12 * sheen
    spilled[c] = wall[c] * (behind * own + 0.5 * sheen)
  }
}
