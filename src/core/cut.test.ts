import { expect, it } from 'vitest'
import { cutFrame } from './cut.js'
import { allocateFrame } from './planes.js'

it('a part of a frame holds that part of each plane, chroma by its own steps', () => {
  const layout = { family: 'yuv', bits: 8, float: false, subX: 1, subY: 1, alpha: false } as const
  const frame = allocateFrame(layout, 7, 5)
  frame.planes.forEach((p) => {
    for (let i = 0; i < p.data.length; i++) p.data[i] = i
  })
  const part = cutFrame(frame, { x: 4, y: 2, width: 3, height: 3 })
  expect(part.planes.map((p) => [p.width, p.height, [...p.data]])).toEqual([
    [3, 3, [18, 19, 20, 25, 26, 27, 32, 33, 34]],
    [2, 2, [6, 7, 10, 11]],
    [2, 2, [6, 7, 10, 11]],
  ])
})

it('all of a frame is the frame itself', () => {
  const layout = { family: 'rgb', bits: 16, float: false, subX: 0, subY: 0, alpha: true } as const
  const frame = allocateFrame(layout, 4, 3)
  expect(cutFrame(frame, { x: 0, y: 0, width: 4, height: 3 })).toBe(frame)
})
