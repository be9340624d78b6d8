/** Frames by brute force: every pixel gathers light at many places of it and moments of its row's exposure. */
import { bits, fbm, mix, noise, step } from '../chance.js'
import { levelled, panelAt, type ShakeSetting } from './setting.js'

/** Light gathered a pixel, where nothing else is said. */
const SAMPLES = 96

/** Linear R, G, B of one frame without and with the panel. */
export function paintFrame(
  s: ShakeSetting,
  frame: number,
  samples = SAMPLES,
): { plate: Float32Array; truth: Float32Array } {
  const { width, height } = s
  const plate = new Float32Array(3 * width * height)
  const truth = new Float32Array(3 * width * height)
  const wall = new Float32Array(3)
  const panel = new Float32Array(4)
  for (let y = 0; y < height; y++) {
    const row = frame + s.readout * ((y + 0.5) / height - 0.5)
    const moments = Array.from({ length: samples }, (_, k) => {
      const t = row + s.open * ((k + 0.5) / samples - 0.5)
      return { back: levelled(s, t), middle: panelAt(s, t) }
    })
    for (let x = 0; x < width; x++) {
      const p = 3 * (y * width + x)
      const h = bits(s.seed, y * width + x, frame)
      for (const [k, { back, middle }] of moments.entries()) {
        // Places that fill the pixel evenly (an additive sequence), begun elsewhere in each.
        const u = (k * 0.7548776662 + (h & 0xffff) / 65536) % 1
        const v = (k * 0.5698402909 + (h >>> 16) / 65536) % 1
        const [lx, ly] = back(x + u, y + v)
        wallAt(s, lx, ly, wall)
        panelLight(s, lx - middle[0], ly - middle[1], panel)
        for (let c = 0; c < 3; c++) {
          plate[p + c] += wall[c] / samples
          truth[p + c] += (wall[c] * (1 - panel[3]) + panel[c]) / samples
        }
      }
    }
  }
  return { plate, truth }
}

function wallAt(s: ShakeSetting, px: number, py: number, out: Float32Array): void {
  const [x, y] = [(384 * px) / s.width, (384 * py) / s.width]
  const brick = Math.floor(y / 18)
  const joint = Math.min((y % 18) + 18, ((x + 23 * (brick % 2)) % 46) + 46) % 18
  const v = 0.2 + 0.1 * fbm(x / 9, y / 9, s.seed, 3) - 0.06 * step(2, 0, Math.abs(joint))
  const stain = 0.06 * noise(x / 70, y / 60, s.seed + 2)
  out[0] = Math.max(1.1 * v + stain, 0.02)
  out[1] = Math.max(v + stain, 0.02)
  out[2] = Math.max(0.85 * v + stain, 0.02)
}

/** Premultiplied R, G, B, A at a place counted from the panel's middle. */
function panelLight({ panel, seed, width }: ShakeSetting, dx: number, dy: number, out: Float32Array): void {
  const [u, v] = [(2 * dx) / panel.width, (2 * dy) / panel.height]
  const soft = 2 / panel.width
  const a = step(1, 1 - soft, Math.abs(u)) * step(1, 1 - soft, Math.abs(v))
  if (a === 0) {
    out.fill(0)
    return
  }
  const unit = 384 / width
  const stripes = step(-0.2, 0.2, Math.sin(unit * (0.35 * dx + 0.08 * dy)))
  const rings = step(-0.2, 0.2, Math.sin(unit * 0.3 * Math.hypot(dx, dy)))
  const t = 0.6 * stripes + 0.4 * rings
  const shade = 1 + 0.2 * fbm((unit * dx) / 12, (unit * dy) / 12, seed + 5, 2)
  out[0] = a * shade * mix(0.05, 0.75, t)
  out[1] = a * shade * mix(0.08, 0.6, t)
  out[2] = a * shade * mix(0.25, 0.2, t)
  out[3] = a
}

/** The panel as it would be photographed by itself, still and sharp: straight R, G, B linear and A, at twice the plate's pixels. */
export function filmPanel(s: ShakeSetting): {
  width: number
  height: number
  straight: Float32Array
  alpha: Float32Array
} {
  const [width, height] = [2 * Math.ceil(s.panel.width + 2), 2 * Math.ceil(s.panel.height + 2)]
  const straight = new Float32Array(3 * width * height)
  const alpha = new Float32Array(width * height)
  const [light, sum] = [new Float32Array(4), new Float32Array(4)]
  for (let p = 0; p < width * height; p++) {
    sum.fill(0)
    for (let k = 0; k < 16; k++) {
      const x = ((p % width) + ((k % 4) + 0.5) / 4 - width / 2) / 2
      const y = (Math.floor(p / width) + ((k >> 2) + 0.5) / 4 - height / 2) / 2
      panelLight(s, x, y, light)
      for (let c = 0; c < 4; c++) sum[c] += light[c] / 16
    }
    alpha[p] = sum[3]
    for (let c = 0; c < 3; c++) straight[3 * p + c] = sum[3] > 1e-4 ? sum[c] / sum[3] : 0
  }
  return { width, height, straight, alpha }
}
