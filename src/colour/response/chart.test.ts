import { converter } from 'culori'
import { describe, expect, it } from 'vitest'
import { cameras, filmed, noise } from '../../../test/colour/cameras.js'
import { confidenceOf, type Rgb, told } from '../../core/index.js'
import { type ChartResponse, chartLights, responseOfChart } from './chart.js'
import { decodeResponse, responseRange, responseSpread } from './curve.js'
import { chartPatches } from './patches.js'

const linear = converter('lrgb')

function codesOf(camera: (light: number) => number, lights: readonly Rgb[], sigma = 0, normal = noise(3)) {
  return lights.map((light) => filmed(camera, light, sigma, normal))
}

function seen(codes: readonly Rgb[], clip?: number): ChartResponse {
  const reading = responseOfChart(codes, 'bt709', { frames: [0], ...(clip === undefined ? {} : { clip }) })
  if (!told(reading)) throw new Error(reading.cannotTell)
  return reading.value
}

describe('published patches as light', () => {
  it('are those of culori for every patch (CIELAB D50, Bradford, BT.709)', () => {
    chartLights(chartPatches, 'bt709').forEach((light, i) => {
      const [l, a, b] = chartPatches[i]!
      const want = linear({ mode: 'lab', l, a, b })
      light.forEach((v, c) => {
        expect(v).toBeCloseTo([want.r, want.g, want.b][c]!, 3) // D50 is printed with four digits here and there
      })
    })
  })

  it('dark skin of an older chart is sRGB 115 82 68, as its maker printed', () => {
    const [light] = chartLights([[37.986, 13.555, 14.059]], 'bt709')
    const codes = light!.map((v) => 255 * (1.055 * v ** (1 / 2.4) - 0.055))
    ;[115, 82, 68].forEach((code, c) => {
      expect(Math.abs(codes[c]! - code)).toBeLessThan(1.5)
    })
  })
})

describe.each(Object.entries(cameras))('24-patch chart, curve %s', (_, camera) => {
  const lights = chartLights(chartPatches, 'bt709')

  it.each([0, 0.002])('gives the curve back inside the stated spread, noise %f', (sigma) => {
    const normal = noise(17)
    const stops: number[] = []
    const spreads: number[] = []
    for (let turn = 0; turn < 6; turn++) {
      const { response, colourDifference } = seen(codesOf(camera, lights, sigma, normal))
      expect(colourDifference).toBeLessThan(2)
      for (const channel of response) {
        for (let x = Math.log2(channel.lights[0]!); x <= Math.log2(channel.lights.at(-1)!); x += 0.05) {
          const spread = responseSpread(channel, camera(2 ** x))
          if (spread === undefined) continue
          const error = Math.abs(Math.log2(decodeResponse(channel)(camera(2 ** x))) - x)
          stops.push(error)
          spreads.push(error / spread)
        }
      }
    }
    expect(Math.sqrt(stops.reduce((s, v) => s + v * v, 0) / stops.length)).toBeLessThan(0.05)
    expect(spreads.filter((v) => v < 2).length / spreads.length).toBeGreaterThan(0.88)
    expect(spreads.filter((v) => v < 3).length / spreads.length).toBeGreaterThan(0.96)
  })

  it('does not mind the primaries of the camera: greys are greys, and a matrix brings the colours home', () => {
    const own = lights.map(
      ([r, g, b]): Rgb => [
        0.7 * r + 0.2 * g + 0.1 * b,
        0.1 * r + 0.8 * g + 0.1 * b,
        0.05 * r + 0.15 * g + 0.8 * b,
      ],
    )
    const { response, colourDifference } = seen(codesOf(camera, own))
    expect(colourDifference).toBeLessThan(1.5)
    expect(decodeResponse(response[1])(camera(0.18))).toBeCloseTo(0.18, 2)
  })
})

describe('what a chart can say', () => {
  const lights = chartLights(chartPatches, 'bt709')

  it('says the codes and lights between which it knows', () => {
    const { codes, lights: range } = responseRange(seen(codesOf(cameras.log, lights)).response)
    expect(codes[0][1]).toBeCloseTo(cameras.log(lights[23]![1]), 2)
    expect(range[1][1]).toBeCloseTo(lights[18]![1], 3)
  })

  it('lets the white go where it clips, and tells nothing where two greys do', () => {
    const codes = codesOf(cameras.bt709, lights)
    expect(seen(codes, 0.9).response[1].samples).toBe(5)
    const two = responseOfChart(codes, 'bt709', { frames: [0], clip: 0.7 })
    expect('cannotTell' in two && two.cannotTell).toContain('there are 4')
  })

  it('cannot tell where the colours deny the greys', () => {
    const codes = codesOf(cameras.bt709, lights)
    const turned = [...codes.slice(0, 18).reverse(), ...codes.slice(18)]
    const reading = responseOfChart(turned, 'bt709', { frames: [0] })
    expect('cannotTell' in reading && reading.cannotTell).toContain('ΔE off')
    const upsideDown = responseOfChart([...codes].reverse(), 'bt709', { frames: [0] })
    expect('cannotTell' in upsideDown).toBe(true)
  })

  it('is less sure where the colours agree badly', () => {
    const codes = codesOf(cameras.bt709, lights)
    const normal = noise(9)
    const rough = codes.map((code, i): Rgb => (i < 18 ? [code[0] + 0.15 * normal(), code[1], code[2]] : code))
    const [fine, doubtful] = [codes, rough].map((c) => responseOfChart(c, 'bt709', { frames: [0] }))
    if (!told(fine!) || !told(doubtful!)) throw new Error('told nothing')
    expect(doubtful.value.colourDifference).toBeGreaterThan(3)
    expect(confidenceOf(doubtful.evidence)).toBeLessThan(confidenceOf(fine.evidence))
  })

  it('refuses a list that is not a chart', () => {
    expect(() => responseOfChart([], 'bt709', { frames: [0] })).toThrowError(
      expect.objectContaining({ code: 'colour.response-chart' }),
    )
  })
})
