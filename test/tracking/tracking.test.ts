import { expect, it } from 'vitest'
import { type Case, cases } from './cases.js'
import { fine, scored } from './score.js'
import { plaster } from './texture.js'

const FRAMES = 14

it('a zoom with noise is followed within the limits by region, points and camera', async () => {
  const all = cases({ plaster: plaster(2200, 1300) })
  const one = all.find((c) => c.name === 'noise-3-plaster') as Case
  const rows = await scored({ ...one, shot: { ...one.shot, frames: FRAMES } })
  expect(rows.filter((r) => !fine(r))).toEqual([])
})
