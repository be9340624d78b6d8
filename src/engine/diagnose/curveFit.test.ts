/** Noise of a camera carried through curves written out here from the standards: BT.709 item 1.2, BT.2100 table 5, the S-Log3 paper. */
import { describe, expect, it } from 'vitest'
import { fitOf } from './curveFit.js'

const curves = {
  bt709: (l: number) => (l < 0.018 ? 4.5 * l : 1.099 * l ** 0.45 - 0.099),
  hlg: (l: number) => {
    const e = 0.26496 * l
    return e <= 1 / 12 ? Math.sqrt(3 * e) : 0.17883277 * Math.log(12 * e - 0.28466892) + 0.55991073
  },
  's-log3': (l: number) => (420 + 261.5 * Math.log10((l + 0.01) / 0.19)) / 1023,
}

/** σ at levels of a curve, by the spread of light that noise of σ² = a·L + b has. */
function noise(encode: (l: number) => number) {
  const lights = Array.from({ length: 11 }, (_, i) => 0.03 * 1.5 ** i)
  const levels = lights.map(encode)
  const sigma = lights.map((l) => {
    const s = Math.sqrt(2e-4 * l + 1e-6)
    return (encode(l + s) - encode(l - s)) / 2
  })
  const seen = levels.flatMap((y, i) => (y < 0.97 ? [[y, sigma[i] as number] as const] : []))
  return { levels: seen.map((v) => v[0]), sigma: seen.map((v) => v[1]) }
}

describe('a curve by its noise', () => {
  it.each(['bt709', 'hlg', 's-log3'] as const)(
    '%s explains its own far better than the others do',
    (name) => {
      const look = noise(curves[name])
      const misfit = (c: 'bt709' | 'hlg' | 's-log3') => fitOf(c, look, 1e-5)?.misfit ?? 0
      expect(misfit(name)).toBeLessThan(0.05)
      for (const other of ['bt709', 'hlg', 's-log3'] as const)
        if (other !== name) expect(misfit(other)).toBeGreaterThan(0.1)
    },
  )

  it('is not judged by a few levels', () => {
    const { levels, sigma } = noise(curves.bt709)
    expect(fitOf('bt709', { levels: levels.slice(0, 5), sigma }, 1e-5)).toBeUndefined()
  })
})
