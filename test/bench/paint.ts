/** Pictures about as hard for a codec as real ones. */
import type { NativeFrame } from '../../src/core/index.js'

export type Painter = (frame: NativeFrame, number: number) => void

/** A plate: a slow gradient with stripes and noise. */
export function paintPlate(frame: NativeFrame, number: number): void {
  const random = chance(number + 1)
  frame.planes.forEach(({ data, width, height }, p) => {
    const unit = 2 ** (frame.layout.bits - 10)
    for (let y = 0, i = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        const wave = Math.sin(x / 37 + number / 5) * Math.sin(y / 29) + 0.4 * Math.sin((x * y) / 5000)
        const level = p === 0 ? 400 + 0.2 * x * (1920 / width) + 60 * wave : 512 + 25 * wave
        data[i] = Math.max(0, Math.round(unit * (level + (p === 0 ? 14 : 5) * (random() + random() - 1))))
      }
    }
  })
}

/** An element: soft clouds that fill their frame and fade to its borders. */
export function paintSmoke(frame: NativeFrame, number: number): void {
  const random = chance(number + 99)
  const top = 2 ** frame.layout.bits - 1
  frame.planes.forEach(({ data, width, height }, p) => {
    const unit = 2 ** (frame.layout.bits - 10)
    for (let y = 0, i = 0; y < height; y++) {
      for (let x = 0; x < width; x++, i++) {
        const u = (2 * x) / width - 1
        const v = (2 * y) / height - 1
        const puff = 0.6 + 0.4 * Math.sin(x / 61 + number / 3) * Math.cos(y / 47 - number / 4)
        const edge = Math.min(1, 8 * (1 - Math.max(Math.abs(u), Math.abs(v))))
        if (p === 3) data[i] = Math.round(top * edge * puff)
        else data[i] = Math.round(unit * (p === 0 ? 300 + 250 * puff + 6 * random() : 512 + 8 * puff))
      }
    }
  })
}

function chance(seed: number): () => number {
  let state = seed * 2654435761
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
}
