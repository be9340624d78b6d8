import { responseFault } from '../colour/index.js'
import type { ProblemDetail } from '../core/index.js'
import type { Shot } from './schema.js'

const LEAST_EXPOSURES = 5
const LEAST_STOPS = 3

/** Faults in what tells the camera's curve: a chart, a bracket, or the rows themselves. */
export function responseFaults(shot: Shot): ProblemDetail[] {
  const { chart, bracket } = shot.camera
  return [...either(shot), ...corners(chart), ...exposures(bracket), ...withoutFile(shot), ...rows(shot)]
}

function either({ camera }: Shot): ProblemDetail[] {
  if (camera.chart === undefined || camera.bracket === undefined) return []
  return [
    {
      code: 'shot.two-responses',
      what: "A chart and a bracket both tell the camera's curve",
      where: 'camera.bracket',
      expected: 'either "chart" or "bracket"',
      received: 'both',
      remedy: 'Keep the bracket where it reaches further than the chart.',
    },
  ]
}

/** Going round four corners of a chart every turn is to the same side. */
function corners(chart: Shot['camera']['chart']): ProblemDetail[] {
  if (chart === undefined) return []
  const at = (i: number) => chart.corners[i % 4] as [number, number]
  const turns = [0, 1, 2, 3].map((i) => {
    const [a, b, c] = [at(i), at(i + 1), at(i + 2)]
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
  })
  if (turns.every((t) => t > 0) || turns.every((t) => t < 0)) return []
  return [
    {
      code: 'shot.chart-corners',
      what: 'These points are not the corners of a chart',
      where: 'camera.chart.corners',
      expected: 'the centres of the four corner patches, going round',
      received: chart.corners.map((p) => p.join(', ')).join('; '),
      remedy: 'Name them one beside the next: neither across, nor in one line.',
    },
  ]
}

function exposures(bracket: Shot['camera']['bracket']): ProblemDetail[] {
  if (bracket === undefined) return []
  const stops = new Set(bracket.map((b) => b.stops))
  const span = stops.size === 0 ? 0 : Math.max(...stops) - Math.min(...stops)
  if (stops.size >= LEAST_EXPOSURES && span >= LEAST_STOPS) return []
  return [
    {
      code: 'shot.bracket-exposures',
      what: "These exposures are too few to tell the camera's curve",
      where: 'camera.bracket',
      expected: `${LEAST_EXPOSURES} or more over ${LEAST_STOPS} stops`,
      received: `${stops.size} over ${Number(span.toFixed(2))} stops`,
      remedy: 'Film the card from nearly black to nearly white, a stop or less between.',
    },
  ]
}

/** What overrides a file says nothing of what stands in the plate. */
function withoutFile({ camera }: Shot): ProblemDetail[] {
  const filmed = [
    ...(camera.chart === undefined ? [] : [{ where: 'camera.chart', of: camera.chart }]),
    ...(camera.bracket ?? []).map((of, i) => ({ where: `camera.bracket[${i}]`, of })),
  ]
  return filmed.flatMap(({ where, of }) =>
    (['matrix', 'range'] as const)
      .filter((key) => of.file === undefined && of[key] !== undefined)
      .map((key) => ({
        code: 'shot.filmed-needs-file',
        what: `The "${key}" here is that of a file, and none is named`,
        where: `${where}.${key}`,
        received: `${of[key]}`,
        remedy: 'Name the file, or leave this out: what stands in the plate is read as the plate is.',
      })),
  )
}

function rows(shot: Shot): ProblemDetail[] {
  const t = shot.plate.treatments['sensor.response']
  const fault = t !== undefined && 'value' in t ? responseFault(t.value) : undefined
  if (fault === undefined) return []
  return [
    {
      code: 'shot.response-rows',
      what: "These rows are no camera's curve",
      where: 'plate.treatments["sensor.response"].value',
      expected: 'two or more rows of light, R, G and B code, light above 0, all four rising from row to row',
      received: fault,
    },
  ]
}
