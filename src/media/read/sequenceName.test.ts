import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { encodeStill } from '../still.js'
import type { OpenOptions } from '../types.js'
import { openSource } from './open.js'
import { samePictures } from './sequenceName.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-names-'))
})
afterAll(() => rm(folder, { recursive: true }))

async function shelf(name: string, files: readonly string[], width = 4): Promise<string> {
  const at = join(folder, name)
  await mkdir(at, { recursive: true })
  for (const file of files) {
    const kind = file.endsWith('.jpg') ? 'jpeg' : 'png'
    await writeFile(join(at, file), await encodeStill(new Uint8Array(width * 4 * 3), width, 4, kind))
  }
  return at
}

const numbers = (count: number, name: (two: string) => string, from = 1) =>
  Array.from({ length: count }, (_, i) => name(String(from + i).padStart(2, '0')))

/** Kind, number of files, first number and codes of the findings. */
async function opened(path: string, o: OpenOptions = {}) {
  const { kind, frameCount, firstNumber, findings } = (await openSource(path, o)).info
  return [kind, frameCount, firstNumber, ...findings.map((f) => f.code.replace('media.', ''))]
}

// The rule stands at the head of sequenceName.ts and numbered.ts.
describe('one picture that is named', () => {
  it('is one drawing of a pack, the first of a sequence, or one alone', async () => {
    const at = await shelf(
      'pack',
      numbers(5, (n) => `muzzle_${n}.png`),
    )
    expect(await opened(join(at, 'muzzle_01.png'))).toEqual(['still', 1, 1, 'read-as-still'])
    expect((await openSource(join(at, 'muzzle_02.png'))).info.findings[0]?.message).toMatch(
      /none of the 4 whose.*`muzzle_##\.png`/,
    )
    expect(await opened(join(at, 'muzzle_##.png'))).toEqual(['sequence', 5, 1])
    expect(await opened(at)).toEqual(['sequence', 5, 1])
    expect(await opened(join(at, 'muzzle_01.png'), { still: true })).toEqual(['still', 1, 1])
  })

  it('begins a sequence when eight are numbered in a row, and says so', async () => {
    const at = await shelf('eight', [...numbers(8, (n) => `smoke_${n}.png`), 'smoke_00.txt'])
    expect(await opened(join(at, 'smoke_01.png'))).toEqual(['sequence', 8, 1, 'read-as-sequence'])
    expect(await opened(join(at, 'smoke_07.png'))).toEqual(['sequence', 2, 7, 'read-as-sequence'])
    expect(await opened(join(at, 'smoke_08.png'))).toEqual(['still', 1, 8, 'read-as-still'])
    expect(await opened(join(at, 'smoke_03.png'), { still: true })).toEqual(['still', 1, 3])
  })

  it('begins a sequence of two where the number counts frames: behind a dot, or of four digits', async () => {
    const at = await shelf('frames', ['flash.1.png', 'flash.2.png', 'glow0009.png', 'glow0010.png'])
    expect(await opened(join(at, 'flash.1.png'))).toEqual(['sequence', 2, 1])
    expect(await opened(join(at, 'glow0009.png'))).toEqual(['sequence', 2, 9])
    const photos = await shelf('photos', ['IMG_0001.jpg', 'IMG_0002.jpg'])
    expect(await opened(join(photos, 'IMG_0001.jpg'))).toEqual(['still', 1, 1, 'read-as-still'])
  })

  it('stands alone beside a hole; one further on is told', async () => {
    const at = await shelf('holes', [
      'dwa0.png',
      'dwa500.png',
      's.0001.png',
      's.0003.png',
      's.0004.png',
      's.0006.png',
    ])
    expect(await opened(join(at, 'dwa0.png'))).toEqual(['still', 1, 0, 'read-as-still'])
    expect(await opened(join(at, 's.0001.png'))).toEqual(['still', 1, 1, 'read-as-still'])
    await expect(openSource(join(at, 's.0003.png'))).rejects.toMatchObject({ code: 'media.sequence-hole' })
    await expect(openSource(join(at, 's.0003.png'))).rejects.toThrow(/no file for 5\..*--still/)
    expect(await opened(join(at, 's.0003.png'), { still: true })).toEqual(['still', 1, 3])
  })

  it('stands alone beside one of another size', async () => {
    const at = await shelf('sizes', ['p.0001.png', 'q.0001.jpg'])
    await shelf('sizes', ['p.0002.png', 'q.0002.jpg'], 9)
    expect(await opened(join(at, 'p.0001.png'))).toEqual(['still', 1, 1, 'read-as-still'])
    expect(await opened(join(at, 'q.0001.jpg'))).toEqual(['still', 1, 1, 'read-as-still'])
    await expect(openSource(join(at, 'p.####.png'))).rejects.toMatchObject({ code: 'media.mixed-size' })
  })

  it('is told from one other as from several', async () => {
    const at = await shelf('pair', ['k_01.png', 'k_02.png'])
    const said = async (path: string) => (await openSource(path)).info.findings.map((f) => f.detail.what)
    expect(await said(join(at, 'k_01.png'))).toEqual([
      'This one picture is read, not the other one whose name differs only in the number',
    ])
    await shelf('pair', ['k_03.png'])
    expect((await said(join(at, 'k_01.png')))[0]).toContain('none of the 2 whose names differ')
  })

  it('is asked for alone only by its own name', async () => {
    const at = await shelf('asked', ['a.1.png', 'a.2.png'])
    for (const path of [at, join(at, 'a.#.png')])
      await expect(openSource(path, { still: true })).rejects.toMatchObject({
        code: 'media.no-still',
        exit: 2,
      })
  })
})

describe('two names', () => {
  it('mean the same pictures, or not', async () => {
    const at = await shelf('same', ['soot.0001.png', 'soot.0002.png', 'soot.0004.png'])
    await symlink(at, join(folder, 'link'))
    const first = join(at, 'soot.####.png')
    for (const other of ['', 'soot.%04d.png', 'soot.0001.png', '../link/soot.#.png', '../link'])
      expect(await samePictures(first, join(at, other)), other).toBe(true)
    const stills = await shelf('stills', ['m_01.png', 'm_02.png'])
    for (const [a, b] of [
      [first, join(at, 'soot.0002.png')],
      [join(stills, 'm_##.png'), join(stills, 'm_01.png')],
      [first, join(at, 'none.mov')],
    ] as const)
      expect(await samePictures(a, b)).toBe(false)
    await writeFile(join(at, 'x.mov'), '')
    expect(await samePictures(join(at, 'x.mov'), join(folder, 'link/x.mov'))).toBe(true)
  })
})
