import { execFileSync } from 'node:child_process'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { makeMovie } from '../../../test/media/fixture.js'
import { encodeStill } from '../still.js'
import { openSource } from './open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-open-'))
})
afterAll(() => rm(folder, { recursive: true }))

describe('what is opened', () => {
  it.each(['none.mov', 'none.png', 'none.exr', 'none.wav'])('is not empty: %s', async (name) => {
    await writeFile(join(folder, name), '')
    const opened = openSource(join(folder, name))
    await expect(opened).rejects.toMatchObject({ code: 'media.file-unreadable', exit: 2 })
    await expect(opened).rejects.toThrow(/The file is empty/)
  })

  it.each([
    ['ffconcat version 1.0\nfile whole.mp4\n'],
    ['#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nwhole.mp4\n#EXT-X-ENDLIST\n'],
    [
      '<?xml version="1.0"?><MPD xmlns="urn:mpeg:dash:schema:mpd:2011" type="static" mediaPresentationDuration="PT1S"><Period>' +
        '<AdaptationSet mimeType="video/mp4"><Representation id="1" bandwidth="1"><BaseURL>whole.mp4</BaseURL>' +
        '</Representation></AdaptationSet></Period></MPD>',
    ],
  ])('is no list of other files: %j', async (text) => {
    const frames = Array<Buffer>(3).fill(Buffer.alloc(32 * 48, 128))
    const movie = { encoder: 'libx264', format: 'yuv420p', width: 32, height: 32, frames }
    await makeMovie(join(folder, 'whole.mp4'), movie)
    await (await openSource(join(folder, 'whole.mp4'))).close()
    await writeFile(join(folder, 'list.mp4'), text)
    await expect(openSource(join(folder, 'list.mp4'))).rejects.toMatchObject({
      code: 'media.file-unreadable',
      detail: { received: expect.stringMatching(/a list of other files|Invalid data/) },
    })
  })

  // Windows has neither.
  it.skipIf(process.platform === 'win32')('is no pipe or device, which would be waited for', async () => {
    const command = 'mkfifo'
    for (const name of ['pipe.mov', 'pipe.png', 's.0002.png']) execFileSync(command, [join(folder, name)])
    for (const path of [join(folder, 'pipe.mov'), join(folder, 'pipe.png'), '/dev/null'])
      await expect(openSource(path), path).rejects.toMatchObject({ code: 'media.not-a-file', exit: 2 })
    const png = await encodeStill(new Uint8Array(12), 2, 2, 'png')
    for (const n of [1, 3]) await writeFile(join(folder, `s.000${n}.png`), png)
    await expect(openSource(join(folder, 's.####.png'))).rejects.toThrow(/no file for 2/)
  })
})
