import { expect, it } from 'vitest'
import { curveOf } from '../colour/index.js'
import { allocateFrame, type Region } from '../core/index.js'
import { curveTable } from '../kernels/index.js'
import { gradientField } from './lens/defocus/gradient.js'
import { blurPlate } from './plateBlur.js'

const [WIDTH, HEIGHT] = [96, 160]
const FRAME: Region = { x: 0, y: 0, width: WIDTH, height: HEIGHT }
const coding = { range: 'full', matrix: 'rgb', siting: 'left' } as const

/** A plate of linear light, blurred. */
function blurred(
  light: (x: number, y: number) => number,
  field: Parameters<typeof gradientField>[0],
  part = FRAME,
) {
  const layout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false } as const
  const plate = allocateFrame(layout, WIDTH, HEIGHT)
  for (const { data } of plate.planes)
    for (let i = 0; i < data.length; i++) data[i] = light(i % WIDTH, Math.floor(i / WIDTH))
  const decode = curveTable(curveOf('linear').decode)
  const blur = { field: gradientField(field), region: FRAME, aperture: undefined }
  return blurPlate(plate, coding, decode, blur, FRAME, part)
}

it('a smooth plate under a smooth gradient of wide near blur has no step, up to the border', () => {
  const { data } = blurred((_, y) => 0.1 + (0.5 * y) / HEIGHT, [0, 0, -10, 0, HEIGHT, -60])
  const code = (x: number, y: number) => 255 * (data[4 * (y * WIDTH + x)] as number) ** (1 / 2.4)
  for (const x of [0, 5, 48, 95]) {
    const codes = Array.from({ length: HEIGHT }, (_, y) => code(x, y))
    const bends = codes
      .slice(2)
      .map((v, i) => Math.abs(v - 2 * (codes[i + 1] as number) + (codes[i] as number)))
    expect(Math.max(...bends)).toBeLessThan(0.5)
    // Nothing along a row differs: as much light comes from the mirror as from the plate.
    for (const y of [0, 40, 159]) expect(Math.abs(code(x, y) - code(20, y))).toBeLessThan(0.1)
  }
})

it('a plate that is even up to its border stays even, and is the same in a part as in the whole', () => {
  const field = [0, 0, 50, WIDTH, HEIGHT, -50] as const
  for (const v of blurred(() => 0.4, field).data.filter((_, i) => i % 4 < 3)) expect(v).toBeCloseTo(0.4, 5)
  const light = (x: number, y: number) => ((x * 7 + y * 13) % 17) / 17
  const part = { x: 60, y: 100, width: 36, height: 60 }
  const [whole, some] = [blurred(light, field), blurred(light, field, part)]
  for (let y = 0; y < part.height; y++) {
    const i = 4 * ((y + part.y) * WIDTH + part.x)
    expect(some.data.slice(4 * y * part.width, 4 * (y + 1) * part.width)).toEqual(
      whole.data.slice(i, i + 4 * part.width),
    )
  }
})
