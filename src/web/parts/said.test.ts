import { expect, it } from 'vitest'
import { said } from './said.js'

it.each([
  ['Fit again, or set light.plateBlack.', 'Fit again, or set plate black under “light”.'],
  [
    'no place was named to compare with (compareWith), nor a card',
    'No place was named to compare with, nor a card',
  ],
  [
    'Blur it by a disc of about 2.0 px more (lens.blurRadius).',
    'Blur it by a disc of about 2.0\u00a0px more.',
  ],
  ['the blur needs sensorWidthMm, fNumber, distanceM', 'The blur needs sensor width, f-number, distance'],
  ['a chart (camera.chart, camera.bracket) tells it', 'A chart tells it'],
  ['soot/light.0001.png cannot be read (air.mov)', 'Soot/light.0001.png cannot be read (air.mov)'],
])('%s', (from, to) => {
  expect(said(from)).toBe(to)
})
