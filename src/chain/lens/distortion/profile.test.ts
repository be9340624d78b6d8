import { describe, expect, it } from 'vitest'
import { distortionWays } from './model.js'
import { atFocalLength, calibratedHalf, inUnit, type LensProfile } from './profile.js'

// A 24-70 mm zoom as published [lensfun-db].
const zoom: LensProfile = {
  maker: 'a',
  model: 'b',
  cropFactor: 1,
  aspect: 1.5,
  measured: (
    [
      [24, 0.02964, -0.07853, 0.02943],
      [28, 0.02151, -0.05678, 0.02905],
      [35, 0.01668, -0.04154, 0.0279],
      [50, -0.00223, 0.01856, -0.0182],
      [70, 0.00907, -0.02015, 0.02311],
    ] as const
  ).map(([focalLengthMm, ...terms]) => ({ focalLengthMm, distortion: { form: 'ptlens', terms } })),
}

describe('a lens profile', () => {
  // Lensfun 0.3.3 (Debian's liblensfun1), asked for these focal lengths of that lens and written down outside this project.
  it.each([
    [20, 0.02964, -0.07853, 0.02943],
    [24, 0.02964, -0.07853, 0.02943],
    [25, 0.0272786599, -0.0722909942, 0.029271083],
    [30, 0.0203376301, -0.0534965135, 0.0305224024],
    [37, 0.0138885994, -0.0327679329, 0.0214484613],
    [44, 0.00216602185, 0.0047114254, -0.0085191289],
    [60, 0.00285989558, 0.000896249316, 0.00129937485],
    [66, 0.0070083756, -0.0131405117, 0.0157807991],
    [80, 0.00907, -0.02015, 0.02311],
  ])('between its focal lengths is as the library makes it: %s mm', (f, ...wanted) => {
    atFocalLength(zoom, f).terms.forEach((k, i) => {
      expect(k).toBeCloseTo(wanted[i] as number, 7)
    })
  })

  // The same library: the right edge and the corner of 1921×1281 and 1921×1081 at 30 mm on cameras of other crop factors. It keeps
  // the calibration's own scale, this keeps r = 1: held against each other where both draw a point.
  it.each([
    [1.534, 1920, 1280, 1920.33215, 1917.72644, 1278.48425],
    [1.6, 1920, 1280, 1920.95093, 1918.2749, 1278.84998],
    [1, 1920, 1080, 1917.51721, 1922.83813, 1081.59644],
    [1.6, 1920, 1080, 1920.2688, 1918.2749, 1079.02966],
  ])('is seen by a sensor of crop %s, %s×%s, as the library has it', (crop, w, h, edge, x, y) => {
    const half = 43.2666 / 2 / crop / Math.hypot(1, w / h)
    const s = half / calibratedHalf(zoom)
    const lens = inUnit(atFocalLength(zoom, 30), s)
    const { distort } = distortionWays(lens)
    const q =
      Math.abs(distort(1e-9, 0)[0] / 1e-9) /
      (1 - [0.0203376301, -0.0534965135, 0.0305224024].reduce((a, b) => a + b))
    const unit = h / 2
    expect(distort(w / 2 / unit / q, 0)[0] * unit).toBeCloseTo(edge - w / 2, 2)
    const [u, v] = distort(w / 2 / unit / q, 1 / q)
    expect(u * unit).toBeCloseTo(x - w / 2, 2)
    expect(v * unit).toBeCloseTo(y - h / 2, 2)
  })

  it('keeps what each form does when its unit changes, up to a size of the plate without distortion', () => {
    for (const d of [
      { form: 'brown-conrady', terms: [-0.05, 0.01, 0.002, -0.001, 0.001] },
      { form: 'division', terms: [0.06, 0.01] },
      { form: 'poly5', terms: [-0.04, 0.006] },
      { form: 'poly3', terms: [-0.03] },
      { form: 'ptlens', terms: [0.02, -0.06, 0.03] },
    ] as const) {
      const s = 0.6
      const [old, made] = [distortionWays(d), distortionWays(inUnit(d, s))]
      const size = made.undistort(1e-6, 0)[0] / old.undistort(1e-6, 0)[0]
      const [x, y] = old.undistort(0.8 * s, 0.5 * s)
      const [u, v] = made.undistort(0.8, 0.5)
      expect(Math.hypot((u * s) / size - x, (v * s) / size - y)).toBeLessThan(1e-7)
    }
  })
})
