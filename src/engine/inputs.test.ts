import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { makeMovie, noise } from '../../test/media/fixture.js'
import { parseShot } from '../shot/index.js'
import { frameInputs } from './inputs.js'
import { closeShot, openShot } from './sources.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-inputs-'))
  const frames = Array.from({ length: 40 }, (_, i) => noise('yuv420p', 32, 32, 8, i))
  const movie = { encoder: 'libx264', format: 'yuv420p', width: 32, height: 32, frames }
  await makeMovie(join(folder, 'a.mp4'), { ...movie, options: { qp: 0, g: 7, preset: 'medium' } })
})
afterAll(() => rm(folder, { recursive: true }))

const element = {
  id: 'e',
  file: 'a.mp4',
  alpha: 'on-black',
  nature: 'emits',
  position: { x: 16, y: 16 },
  scale: 1,
}

it('gives the frames that are asked for, in every order, and none beyond the end', async () => {
  const shot = parseShot({ platefit: 1, plate: { file: 'a.mp4' }, elements: [element] }, 'x')
  const sources = await openShot(shot, folder)
  const whole: Uint8Array[] = []
  for await (const f of sources.plate.frames()) whole.push(f.planes[0].data as Uint8Array)
  for (const numbers of [
    [1, 2, 3, 9, 10, 30, 39],
    [5, 5, 6, 4, 38],
    [38, 39, 40, 2],
  ]) {
    const seen: number[] = []
    for await (const { number, plate, elements } of frameInputs(shot, sources, numbers)) {
      expect(plate.planes[0].data).toEqual(whole[number])
      expect(elements[0]?.frame.planes[0].data).toEqual(whole[number])
      seen.push(number)
    }
    expect(seen).toEqual(numbers.slice(0, numbers.includes(40) ? 2 : undefined))
  }
  await closeShot(sources)
})
