/** What the cases of the table share: scenes at given times, and how they are coded. */
import type { Coding } from './camera.js'
import { type Look, type Picture, Scene } from './paint.js'

export const LENGTH = 18
export const eight: Coding = { bits: 8, range: 'limited', matrix: 'bt709', subY: true }
export const ten: Coding = { ...eight, bits: 10, subY: false }
export const plain = { range: 'limited', matrix: 'bt709', curve: 'bt709' } as const

export function shots(look: Look, times: readonly number[], exposure = 1): Picture[] {
  const scene = new Scene(look)
  return times.map((t) => scene.at(t, exposure))
}

export const steady = (n = LENGTH) => Array.from({ length: n }, (_, i) => i)
