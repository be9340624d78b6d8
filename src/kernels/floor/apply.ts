/**
 * A black floor taken off, and what does not rise out of its noise made black, in place; alpha stays.
 *
 *   C = w · (c − floor)      w = smoothstep(1.5, 3, m)      m = max over channels of (3×3 mean of c − floor) / σ
 *
 *   σ  `noise`, at least 1e-6      at the picture's border the mean is over what is there
 *
 * A mean that is NaN opens no gate. Single precision.
 */
import type { FloatImage, Rgb } from '../../core/index.js'
import { at } from '../wasm/images.js'
import { duringScratch, memory, takeBytes, words } from '../wasm/memory.js'
import { simd } from '../wasm/module.js'
import { gateScale } from './gate.js'

export function takeFloor({ region, data }: FloatImage, floor: Rgb, noise: Rgb): void {
  const { width, height } = region
  at(data, true, (address) =>
    duringScratch(() => {
      const line = 16 * width
      const off = words(Float32Array.of(...floor, 0))
      const scale = takeBytes(16)
      const none = takeBytes(line)
      simd.zero(none, line)
      // Four rows, of which three are looked at, used again and again: the picture's own are written over.
      const ring = takeBytes(4 * line)
      const rowAt = (y: number) => (y < 0 || y >= height ? none : ring + (y & 3) * line)
      for (let y = -1; y < height; y++) {
        const next = y + 1
        if (next < height) simd.floorLoad(address + next * line, off, width, rowAt(next))
        if (y < 0) continue
        new Float32Array(memory.buffer, scale, 4).set(gateScale(noise, y, height))
        simd.floorRow(rowAt(y - 1), rowAt(y), rowAt(next), scale, width, address + y * line)
      }
    }),
  )
}
