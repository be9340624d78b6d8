import type { Rgb } from '../../src/core/index.js'

/** Known cameras: light to code value, written here from their makers' documents, nothing shared with the program. */
export const cameras = {
  /** S-Log3, technical summary of 2014, in 10-bit codes over 1023; clips at 0.95. */
  log: (x: number) => {
    const code =
      x >= 0.01125 ? 420 + Math.log10((x + 0.01) / 0.19) * 261.5 : (x * (171.2102946929 - 95)) / 0.01125 + 95
    return Math.min(code / 1023, 0.95)
  },
  /** BT.709-6 item 1.2 as printed. */
  bt709: (x: number) => Math.min(x < 0.018 ? 4.5 * x : 1.099 * x ** 0.45 - 0.099, 1),
  /** A phone's like: white at 1.6, a power, half an S of it, lifted black; common practice. */
  phone: (x: number) => {
    const power = Math.min(x / 1.6, 1) ** (1 / 2.2)
    return 0.02 + 0.48 * (power + power * power * (3 - 2 * power))
  },
} as const

/** Normal noise that is the same in every run: Park and Miller's generator, Box and Muller's pairs. */
export function noise(start: number): () => number {
  let seed = start
  const chance = () => {
    seed = (seed * 48271) % 2147483647
    return seed / 2147483647
  }
  return () => Math.sqrt(-2 * Math.log(chance())) * Math.cos(2 * Math.PI * chance())
}

/** A camera's codes of a light, with noise of `sigma`. */
export function filmed(
  camera: (light: number) => number,
  light: Rgb,
  sigma: number,
  normal: () => number,
): Rgb {
  const seen = (v: number) => camera(Math.max(v, 0)) + sigma * normal()
  return [seen(light[0]), seen(light[1]), seen(light[2])]
}
