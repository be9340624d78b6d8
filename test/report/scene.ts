/** A painted scene for the report's tests: sky, hills, a wall, a column of smoke; no file is read. */
import { uniform } from '../../src/core/index.js'
import type { Hands, Look, Role } from '../../src/report/types.js'

/** All samples of one file's frame, as they are seen. */
export type Paint = (role: Role, frame: number, width: number, height: number) => Uint8Array

/** Smooth noise of about `size` pixels. */
function cloud(x: number, y: number, size: number, seed: number): number {
  let sum = 0
  let weight = 0
  for (let octave = 0, s = size, w = 1; octave < 4; octave++, s /= 2, w *= 0.55) {
    sum += w * lattice(x / s, y / s, seed + octave)
    weight += w
  }
  return sum / weight
}

function lattice(x: number, y: number, seed: number): number {
  const x0 = Math.floor(x)
  const y0 = Math.floor(y)
  const u = ease(x - x0)
  const v = ease(y - y0)
  const at = (i: number, j: number) => uniform(seed, 0, x0 + i, y0 + j, 0)
  const top = at(0, 0) + (at(1, 0) - at(0, 0)) * u
  const bottom = at(0, 1) + (at(1, 1) - at(0, 1)) * u
  return top + (bottom - top) * v
}

function ease(t: number): number {
  return t * t * (3 - 2 * t)
}

/** Display values 0 to 255 of a hazy dusk, as a share of a 960 × 540 frame. */
export function dusk(scale: number): Paint {
  return (role, frame, width, height) => {
    const rgb = new Uint8ClampedArray(3 * width * height)
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) rgb.set(duskAt(role, x, y, frame, scale), 3 * (y * width + x))
    }
    return new Uint8Array(rgb.buffer)
  }
}

function duskAt(role: Role, px: number, py: number, frame: number, scale: number) {
  const x = px / scale
  const y = py / scale
  const ridge = 330 - 40 * cloud(x, 7, 260, 3)
  const near = 420 - 30 * cloud(x, 90, 120, 5)
  let c: readonly [number, number, number] = mix([96, 116, 146], [226, 190, 160], Math.min(1, y / 330))
  if (y > ridge) c = mix([128, 128, 140], [104, 100, 106], (y - ridge) / 120)
  if (y > near) c = mix([44, 42, 44], [26, 25, 28], cloud(x, y, 30, 9))
  const drift = frame * 1.5
  const centre = 560 + 70 * (cloud(200, y + drift, 160, 11) - 0.5) + (400 - y) * 0.18
  const wide = 26 + (400 - y) * 0.2
  const body = Math.max(0, 1 - ((x - centre) / wide) ** 2) * Math.min(1, (410 - y) / 40)
  const alpha = y > 410 ? 0 : Math.min(1, Math.max(0, body * (0.4 + 1.3 * cloud(x, y + drift, 46, 21))))
  const smoke = role === 'plain' ? [9, 9, 11] : role === 'truth' ? [92, 89, 92] : [66, 65, 70]
  if (role !== 'plate') c = mix(c, smoke, alpha)
  const clean = role === 'plain' ? 1 - alpha : 1
  const grain = (i: number) =>
    c[i]! + 7 * clean * (uniform(i, frame, px, py, 1) + uniform(i, frame, px, py, 2) - 1)
  return [grain(0), grain(1), grain(2)]
}
function mix(a: readonly number[], b: readonly number[], t: number): readonly [number, number, number] {
  const m = (i: number) => a[i]! + (b[i]! - a[i]!) * t
  return [m(0), m(1), m(2)]
}

/** Every sample random (a xorshift of 32 bits): the worst that a picture can do to a size limit. */
export const noise: Paint = (role, frame, width, height) => {
  const words = new Uint32Array(Math.ceil((3 * width * height) / 4))
  let state = 0x9e3779b9 ^ (frame * 8 + role.length)
  for (let i = 0; i < words.length; i++) {
    state ^= state << 13
    state ^= state >>> 17
    state ^= state << 5
    words[i] = state
  }
  return new Uint8Array(words.buffer, 0, 3 * width * height)
}

export function paintedHands(paint: Paint, width: number, height: number, encode: Hands['encode']): Hands {
  const painted = new Map<string, Look>()
  const remembered = (role: Role, frame: number) => {
    const key = `${role} ${frame}`
    const known = painted.get(key) ?? look(paint, role, frame, width, height)
    painted.set(key, known)
    return known
  }
  return {
    encode,
    version: '0.0.0',
    viewing: 'Painted as it is seen.',
    swatch: ([r, g, b]) => {
      const code = (v: number) => Math.round(255 * Math.min(1, Math.max(0, v)) ** (1 / 2.2))
      return [code(r), code(g), code(b)]
    },
    open: async (role, path) => ({
      pixelAspect: 1,
      frameCount: 48,
      wideRange: false,
      facts: {
        role,
        name: path,
        lines: [
          ['Size', `${width} × ${height} pixels`],
          ['Rate', '24 frames a second, as the file says'],
          ['Curve', 'bt709. Assumed because the file has no tag. Not very sure (50 %).'],
        ],
        findings: [],
      },
      look: async (frame) => remembered(role, frame),
      close: async () => undefined,
    }),
  }
}

function look(paint: Paint, role: Role, frame: number, width: number, height: number): Look {
  const whole = paint(role, frame, width, height)
  return {
    width,
    height,
    view(region, push = {}) {
      const rgb = new Uint8Array(3 * region.width * region.height)
      const gain = (push.blackBoost ?? 1) * 2 ** ((push.stops ?? 0) / 2.2)
      for (let y = 0; y < region.height; y++) {
        for (let i = 0; i < 3 * region.width; i++) {
          const v = whole[3 * ((y + region.y) * width + region.x) + i]!
          rgb[3 * y * region.width + i] = Math.min(255, gain * v)
        }
      }
      return { width: region.width, height: region.height, rgb }
    },
  }
}
