/** A blurred forearm of real footage, against outlines drawn by hand: where the picture does not carry it, that is said. */
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { ARM } from '../../../test/trials/forearm/outline.js'
import { pointsAt } from '../../chain/place/shape/moments.js'
import { parseShot } from '../../shot/index.js'
import { carryShape } from './carry.js'

const footage = process.env.PLATEFIT_FOOTAGE ?? resolve('..', 'shared', 'footage')
const plate = join(footage, 'plates', 'bedroom-handheld-720p.mp4')
const folder = mkdtempSync(join(tmpdir(), 'platefit-arm-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

type Spots = readonly (readonly [number, number])[]

async function carried(...drawn: readonly number[]) {
  const path = join(folder, `${drawn.join('-')}.shot.json`)
  const keys = drawn.map((frame) => ({ frame, points: ARM.get(frame) }))
  const shapes = [{ id: 'arm', kind: 'polygon', keys }]
  const file = { file: plate, rate: '30000/1001' }
  writeFileSync(path, JSON.stringify({ platefit: 1, plate: file, elements: [], shapes, tracks: [] }))
  const done = await carryShape(path, 'arm', { from: drawn[0], to: drawn.at(-1) })
  const [shape] = parseShot(readFileSync(path, 'utf8'), path).shapes
  const line = (n: number): Spots => {
    const at = pointsAt({ keys: shape!.keys }, n)
    return Array.from({ length: at.length / 2 }, (_, i) => [at[2 * i]!, at[2 * i + 1]!])
  }
  return { done, shape: shape!, alike: (n: number) => overlap(line(n), ARM.get(n)!) }
}

/** Area of both over area of either, counted on every second pixel. */
function overlap(a: Spots, b: Spots): number {
  let [both, either] = [0, 0]
  for (let y = 100.5; y < 400; y += 2) {
    for (let x = 660.5; x < 1100; x += 2) {
      const [p, q] = [within(a, x, y), within(b, x, y)]
      if (p && q) both++
      if (p || q) either++
    }
  }
  return both / either
}

function within(line: Spots, x: number, y: number): boolean {
  return line.reduce((inside, [x0, y0], i) => {
    const [x1, y1] = line[(i + 1) % line.length]!
    return y0 > y !== y1 > y && x < x0 + ((y - y0) * (x1 - x0)) / (y1 - y0) ? !inside : inside
  }, false)
}

describe.skipIf(!existsSync(plate))('a forearm that is blurred and turns', () => {
  it('is said not to be carried where it is not, and a key drawn there improves its neighbours alone', async () => {
    const rough = await carried(44, 54)
    const [{ frames, draw } = expect.fail()] = rough.done.unsure
    expect(frames[0]).toBeLessThan(49)
    expect(frames[1]).toBeGreaterThan(49)
    expect(Math.abs(draw - 49)).toBeLessThanOrEqual(1)
    const known = rough.done.reached.map((r) => r.frame)
    for (let n = frames[0]; n <= frames[1]; n++) expect(known).not.toContain(n)
    const better = await carried(44, 50, 54)
    for (const n of [48, 52]) expect(better.alike(n)).toBeGreaterThan(rough.alike(n) + 0.03)
    expect(better.shape.keys.filter((k) => k.frame === 44 || k.frame === 54)).toEqual(
      rough.shape.keys.filter((k) => k.frame === 44 || k.frame === 54),
    )
  }, 60_000)
})
