import { execFileSync } from 'node:child_process'
import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
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
