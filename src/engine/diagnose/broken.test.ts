/** Files that other work refuses: what can be described of them is. Made with the codec library's encoders. */
import { mkdtemp, readFile, rm, unlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { cutFile, makeMovie, makePicture, noise } from '../../../test/media/fixture.js'
import { openSource } from '../../media/index.js'
import type { Progress } from '../types.js'
import { diagnoseFile } from './diagnose.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-broken-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const frames = Array.from({ length: 20 }, (_, i) => noise('yuv420p', 96, 64, 8, i))
const movie = { encoder: 'libx264', format: 'yuv420p', width: 96, height: 64, frames, options: { qp: 10 } }

async function codesFor(path: string) {
  const { info, findings, framesLookedAt } = await diagnoseFile(path)
  const of = (code: string) => findings.find((f) => f.code === code)
  return { info, of, framesLookedAt, notes: info.findings.map((f) => f.code) }
}

describe('what can be described is', () => {
  it('interlaced pictures, which nothing else opens', async () => {
    const path = join(folder, 'fields.mkv')
    await makeMovie(path, { ...movie, encoder: 'ffv1', options: {}, interlaced: true })
    await expect(openSource(path)).rejects.toMatchObject({ code: 'media.interlaced' })
    const { info, of, framesLookedAt, notes } = await codesFor(path)
    expect([info.fieldOrder, info.width, framesLookedAt]).toEqual(['top', 96, 20])
    expect(notes).toContain('media.interlaced')
    expect(of('diagnose.fields')).toMatchObject({ verdict: 'fault' })
  })

  it('tags that disagree, the lost frames of an uneven rate, and one picture of two fields', async () => {
    const tags = join(folder, 'tags.mp4')
    // Code points of H.273: matrix 1 (BT.709) in the picture, 6 (BT.601) in the container.
    await makeMovie(tags, { ...movie, tags: [1, 1, 1, 1], containerTags: [1, 1, 1, 6] })
    const conflict = (await codesFor(tags)).of('diagnose.tags')
    expect(conflict).toMatchObject({ verdict: 'fault', numbers: { code: 'media.tag-conflict' } })
    expect(conflict?.sentence).toContain('bt709 in the picture, bt601 in the container')
    const uneven = join(folder, 'uneven.mkv')
    const times = frames.map((_, i) => 40 * (i + (i > 5 ? 1 : 0) + (i > 12 ? 1 : 0)))
    await makeMovie(uneven, { ...movie, encoder: 'ffv1', options: {}, times, tick: [1, 1000], rate: [25, 1] })
    const { of, info } = await codesFor(uneven)
    // Two gaps of a frame: two of the frames about them are shown twice.
    const twice = info.conform.repeated
    expect(twice).toHaveLength(2)
    expect(of('diagnose.rate')).toMatchObject({ verdict: 'fault', frames: twice })
    const told = `shown twice to keep a constant rate (${twice.join(', ')})`
    expect(of('diagnose.repeats')?.sentence).toContain(told)
    const one = join(folder, 'one.mkv')
    const still = { ...movie, encoder: 'ffv1', options: {}, interlaced: true, frames: frames.slice(0, 1) }
    await makeMovie(one, still)
    expect((await codesFor(one)).of('diagnose.fields')).toMatchObject({ verdict: 'fault' })
  })

  it('while it tells how far it is, on every frame that it decodes', async () => {
    const path = join(folder, 'told.mp4')
    await makeMovie(path, movie)
    const told: string[] = []
    const onProgress = (p: Progress) => told.push(`${p.stage} ${p.done}/${p.total}`)
    await diagnoseFile(path, { onProgress })
    expect(told).toEqual(frames.map((_, i) => `diagnose ${i + 1}/20`))
  })

  it('a movie whose end is lost, as far as it goes', async () => {
    const whole = join(folder, 'whole.mp4')
    const cut = join(folder, 'cut.mp4')
    await makeMovie(whole, { ...movie, muxer: { movflags: '+faststart' } })
    await cutFile(whole, cut, 0.6)
    await expect(openSource(cut)).rejects.toMatchObject({ code: 'media.file-cut-short' })
    const { of, framesLookedAt, notes } = await codesFor(cut)
    expect(notes).toContain('media.file-cut-short')
    expect(of('diagnose.frames')).toMatchObject({
      verdict: 'fault',
      numbers: { codes: expect.stringMatching(/^media.file-cut-short/) },
    })
    expect(framesLookedAt).toBeGreaterThan(3)
    expect(framesLookedAt).toBeLessThan(20)
  })

  it('a movie without its index, by what it lacks', async () => {
    const whole = join(folder, 'recorded.mp4')
    const cut = join(folder, 'no-index.mp4')
    await makeMovie(whole, movie)
    await cutFile(whole, cut, 0.5)
    await expect(diagnoseFile(cut)).rejects.toMatchObject({ code: 'media.index-missing', exit: 2 })
    const text = join(folder, 'letter.mp4')
    await writeFile(text, 'this is no movie at all, whatever it is called')
    await expect(diagnoseFile(text)).rejects.toMatchObject({ code: 'media.file-unreadable' })
  })

  it('a movie with damage inside, by the frames that are lost', async () => {
    const path = join(folder, 'hurt.mp4')
    await makeMovie(path, { ...movie, options: { qp: 10, g: 5 } })
    const bytes = await readFile(path)
    const at = Math.floor(bytes.length * 0.5)
    for (let k = 0; k < 3000; k++) bytes[at + k] = 0
    await writeFile(path, bytes)
    const { of, framesLookedAt } = await codesFor(path)
    const lost = of('diagnose.frames')
    expect(lost).toMatchObject({ verdict: 'fault' })
    expect((lost?.frames.length ?? 0) + framesLookedAt).toBeLessThanOrEqual(20)
    expect(framesLookedAt).toBeGreaterThan(8)
  })

  it('a sequence with a hole and one that changes size', async () => {
    const picture = async (name: string, w: number, seed: number) =>
      makePicture(join(folder, name), 'png', 'rgb24', w, 48, noise('rgb24', w, 48, 8, seed))
    for (let i = 1; i <= 5; i++) await picture(`a.${i}.png`, 64, i)
    await unlink(join(folder, 'a.3.png'))
    const hole = await codesFor(join(folder, 'a.#.png'))
    expect(hole.notes).toContain('media.sequence-hole')
    expect(hole.framesLookedAt).toBe(4)
    expect(hole.of('diagnose.frames')).toMatchObject({
      verdict: 'fault',
      sentence: expect.stringMatching(/lacks 1 frame .*no file for 3/),
    })
    for (let i = 1; i <= 4; i++) await picture(`b.${i}.png`, i < 3 ? 64 : 80, i)
    const mixed = await codesFor(join(folder, 'b.#.png'))
    expect(mixed.notes).toContain('media.mixed-size')
    expect(mixed.of('diagnose.sizes')).toMatchObject({
      verdict: 'fault',
      sentence: 'The picture changes size (b.3.png: 80×48).',
    })
    expect(mixed.of('diagnose.frames')).toMatchObject({ verdict: 'fault', frames: [2, 3] })
  })
})
