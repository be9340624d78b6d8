import { describe, expect, it } from 'vitest'
import { Problem, type ProblemDetail } from '../core/index.js'
import { setTreatment } from './edit.js'
import { parseShot } from './parse.js'

const corners = [
  [10, 10],
  [110, 12],
  [108, 70],
  [11, 72],
]
const exposure = (stops: number) => ({ frame: 3, x: 5, y: 5, width: 20, height: 20, stops })
const bracket = [-4, -2, -1, 0, 1].map(exposure)
const document = (camera: object, treatments: object = {}) => ({
  platefit: 1,
  plate: { file: 'p.mov', treatments },
  camera,
})

function fault(input: unknown): ProblemDetail {
  try {
    parseShot(input, 'a')
  } catch (e) {
    if (e instanceof Problem) return e.detail
    throw e
  }
  throw new Error('nothing was wrong')
}

describe("what tells the camera's curve", () => {
  it('is a chart or a bracket, in files of their own or in the plate', () => {
    expect(parseShot(document({ chart: { corners } }), 'a').camera.chart).toEqual({ frame: 0, corners })
    const files = bracket.map((b) => ({ ...b, file: 'b.mov', range: 'full', frame: 0 }))
    expect(parseShot(document({ bracket: files }), 'a').camera.bracket).toHaveLength(5)
    const patches = Array.from({ length: 24 }, (_, i) => [4 * i, 0, 0])
    expect(
      parseShot(document({ chart: { file: 'c.png', corners, patches } }), 'a').camera.chart?.patches,
    ).toEqual(patches)
  })

  it.each<[string, string, object]>([
    ['shot.two-responses', 'camera.bracket', { chart: { corners }, bracket }],
    [
      'shot.chart-corners',
      'camera.chart.corners',
      { chart: { corners: [0, 2, 1, 3].map((k) => corners[k]) } },
    ],
    ['shot.chart-corners', 'camera.chart.corners', { chart: { corners: corners.map(([x]) => [x, x]) } }],
    [
      'shot.wrong-value',
      'camera.chart.corners[0][0]',
      { chart: { corners: [[-3, 4], ...corners.slice(1)] } },
    ],
    ['shot.wrong-value', 'camera.chart.corners', { chart: { corners: corners.slice(0, 3) } }],
    ['shot.wrong-value', 'camera.chart.patches', { chart: { corners, patches: [[50, 0, 0]] } }],
    ['shot.filmed-needs-file', 'camera.chart.range', { chart: { corners, range: 'full' } }],
    ['shot.bracket-exposures', 'camera.bracket', { bracket: bracket.slice(1) }],
    ['shot.bracket-exposures', 'camera.bracket', { bracket: [0, 0.2, 0.4, 0.6, 0.8].map(exposure) }],
    ['shot.bracket-exposures', 'camera.bracket', { bracket: [-4, -4, 0, 0, 1].map(exposure) }],
    ['shot.missing', 'camera.bracket[0].stops', { bracket: [{ ...exposure(0), stops: undefined }] }],
  ])('is refused: %s at %s', (code, where, camera) => {
    expect(fault(document(camera))).toMatchObject({ code, where: `a: ${where}` })
  })

  it('set by hand must rise from row to row', () => {
    const rows = [0.02, 0.1, 0.1, 0.1, 0.2, 0.4, 0.4, 0.4]
    const shot = parseShot(document({}), 'a')
    const set = (value: number[]) => parseShot(setTreatment(shot, 'plate', 'sensor.response', value), 'a')
    expect(set(rows).plate.treatments['sensor.response']).toMatchObject({ value: rows })
    for (const wrong of [
      rows.slice(0, 7),
      rows.slice(0, 4),
      [...rows, 0.3, 0.5, 0.5, 0.4],
      [0, ...rows.slice(1)],
    ])
      expect(() => set(wrong)).toThrowError(expect.objectContaining({ code: 'shot.response-rows' }))
  })
})
