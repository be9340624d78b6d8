/** A camera with a curve that no tag names, and what it films: a plate, a chart, a bracket, a cloud of steam and its truth. */
import { converter } from 'culori'
import { chartPatches } from '../src/colour/index.js'
import { allocateFrame, type Rgb } from '../src/core/index.js'
import { createWriter } from '../src/media/index.js'
import { pictures } from './small.js'

export const SIZE = { width: 192, height: 108 } as const
/** Light of the place, as a white card shows it. */
export const AMBIENT: Rgb = [0.9, 1, 1.1]
export const CARD = { x: 8, y: 8, width: 32, height: 24 } as const

/** Filmic: half of the code is reached at 0.24, a toe and a shoulder around it, black lifted (Naka and Rushton's form). */
export function filmic(light: number): number {
  const x = Math.max(light, 0) ** 1.1
  return 0.03 + (0.94 * x) / (x + 0.24 ** 1.1)
}

/** Its inverse, by hand. */
export function filmicBack(code: number): number {
  const share = (code - 0.03) / 0.94
  return 0.24 * (share / (1 - share)) ** (1 / 1.1)
}

/** Light of the scene: dark wall to bright sky, a warm side and a cool one, a card in the corner. */
export function scene(x: number, y: number): Rgb {
  const { x: left, y: top, width, height } = CARD
  if (x >= left && x < left + width && y >= top && y < top + height)
    return [0.18 * AMBIENT[0], 0.18 * AMBIENT[1], 0.18 * AMBIENT[2]]
  const level = 0.01 * 150 ** (x / SIZE.width)
  const warm = 0.8 + (0.4 * y) / SIZE.height
  return [level * warm, level, level * (2 - warm)]
}

/** Cover of the cloud at a pixel of its own picture. */
export function cover(x: number, y: number): number {
  return 0.85 * Math.exp(-(((x - 70) / 34) ** 2) - ((y - 40) / 20) ** 2)
}

const film = (light: Rgb): Rgb => [filmic(light[0]), filmic(light[1]), filmic(light[2])]
/** Some thousandths of the codes, another in every frame. */
const noise = (x: number, y: number, f: number) =>
  (((x * 7919 + y * 104729 + f * 15485863) % 1009) / 1009 - 0.5) * 0.004

const lab = converter('lrgb')

/** Corner patches of the chart that `filmFiles` writes. */
export const CORNERS = [
  [31, 27],
  [156, 27],
  [156, 87],
  [31, 87],
] as const

/** Writes `plate/`, `chart/`, `bracket/` (a grey card from −5 to +4 stops, a frame a stop) and `steam/` into `folder`. */
export async function filmFiles(folder: string): Promise<void> {
  const { width, height } = SIZE
  const film16 = (name: string, frames: number, light: (x: number, y: number, f: number) => Rgb) =>
    pictures(`${folder}/${name}/${name}.####.png`, width, height, frames, (x, y, f) => {
      const [r, g, b] = film(light(x, y, f))
      const n = noise(x, y, f)
      return [r + n, g + n, b + n]
    })
  await film16('plate', 2, scene)
  // In a warm light, a third of a stop under: neither says anything of the curve.
  const patches = chartPatches.map(([l, a, b]): Rgb => {
    const c = lab({ mode: 'lab', l, a, b })
    return [0.95 * c.r, 0.8 * c.g, 0.65 * c.b]
  })
  await film16('chart', 1, (x, y) => {
    const [u, v] = [(x - 31) / 25, (y - 27) / 20]
    const [column, row] = [Math.round(u), Math.round(v)]
    const on = column >= 0 && column < 6 && row >= 0 && row < 4
    const border = Math.abs(u - column) > 0.42 || Math.abs(v - row) > 0.42
    return on && !border ? (patches[6 * row + column] as Rgb) : [0.02, 0.02, 0.02]
  })
  await film16('bracket', 10, (_x, _y, f) => [0.18 * 2 ** (f - 5), 0.16 * 2 ** (f - 5), 0.13 * 2 ** (f - 5)])
  const writer = await createWriter(`${folder}/steam/steam.####.exr`, {
    format: 'exr-half',
    width: 140,
    height: 80,
    rate: { num: 24, den: 1 },
    encoding: { range: 'full', matrix: 'rgb', curve: 'linear', primaries: 'bt709', siting: 'centre' },
    alpha: true,
  })
  const frame = allocateFrame(writer.layout, 140, 80)
  for (let y = 0; y < 80; y++) {
    for (let x = 0; x < 140; x++) {
      const a = cover(x, y)
      ;[0.5 * a, 0.5 * a, 0.5 * a, a].forEach((v, c) => {
        const plane = frame.planes[c]
        if (plane !== undefined) plane.data[y * 140 + x] = v
      })
    }
  }
  for (let f = 0; f < 2; f++) await writer.write(frame)
  await writer.finish()
}

/** What the camera would have seen of a cloud of this reflectance, its top left corner at (26, 14). */
export function truth(x: number, y: number, reflectance: number): Rgb {
  const [u, v] = [x - 26, y - 14]
  const a = u >= 0 && u < 140 && v >= 0 && v < 80 ? cover(u, v) : 0
  const light = scene(x, y).map((l, c) => (1 - a) * l + a * reflectance * (AMBIENT[c] as number))
  return film(light as unknown as Rgb)
}
