import { execFileSync } from 'node:child_process'
import { chmod, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { picture } from '../../../test/media/pictures.js'
import { Problem } from '../../core/index.js'
import { createWriter, type DeliveryFormat, type DeliverySpec, deliveryEncoding } from '../index.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-atomic-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const plate = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
} as const
const names: readonly (readonly [DeliveryFormat, string])[] = [
  ['prores-422-hq', 'a.mov'],
  ['prores-4444', 'a.mov'],
  ['dnxhr-hqx', 'a.mov'],
  ['h264-preview', 'a.mp4'],
  ['exr-half', 'a.####.exr'],
  ['png-16', 'a.####.png'],
]

function specOf(format: DeliveryFormat, more: Partial<DeliverySpec> = {}): DeliverySpec {
  const encoding = deliveryEncoding(format, plate)
  return { format, width: 320, height: 180, rate: { num: 25, den: 1 }, encoding, ...more }
}

async function problemOf(work: Promise<unknown>): Promise<Problem> {
  const error = await work.then(
    () => undefined,
    (e: unknown) => e,
  )
  expect(error).toBeInstanceOf(Problem)
  return error as Problem
}

describe.each(names)('%s', (format, name) => {
  it('leaves nothing after abort, the folders it made included', async () => {
    const writer = await createWriter(join(folder, format, 'deep', name), specOf(format))
    for (let i = 0; i < 5; i++) await writer.write(picture(writer.layout, 320, 180, 'noise', i))
    await writer.abort()
    await writer.abort()
    expect(await readdir(folder)).not.toContain(format)
    expect((await problemOf(writer.finish())).code).toBe('media.writer-closed')
  })

  it('shows nothing under the final name before the end, and only that after it', async () => {
    const at = join(folder, `end-${format}`)
    const writer = await createWriter(join(at, name), specOf(format))
    await writer.write(picture(writer.layout, 320, 180, 'ramp'))
    expect((await readdir(at)).filter((n) => !n.startsWith('.'))).toEqual([])
    await writer.finish()
    await writer.abort()
    expect(await readdir(at)).toEqual([name.replace('####', '0001')])
  })

  it('removes everything when a frame does not fit', async () => {
    const at = join(folder, `bad-${format}`)
    const writer = await createWriter(join(at, name), specOf(format))
    await writer.write(picture(writer.layout, 320, 180, 'ramp'))
    expect((await problemOf(writer.write(picture(writer.layout, 322, 180, 'ramp')))).code).toBe(
      'media.wrong-frame',
    )
    expect(await readdir(folder)).not.toContain(`bad-${format}`)
  })

  it('refuses a folder that cannot be made and a name that a folder has, before any work', async () => {
    const file = join(folder, `file-${format}`)
    await writeFile(file, 'a file')
    const problem = await problemOf(createWriter(join(file, 'under', name), specOf(format)))
    expect([problem.code, problem.exit]).toEqual(['media.cannot-write', 2])
    expect(await readFile(file, 'utf8')).toBe('a file')
  })
})

it('refuses a movie under the name of a folder', async () => {
  await mkdir(join(folder, 'dir.mov'))
  const problem = await problemOf(createWriter(join(folder, 'dir.mov'), specOf('prores-422-hq')))
  expect(problem.code).toBe('media.cannot-write')
  expect(await readdir(join(folder, 'dir.mov'))).toEqual([])
})

it('keeps the old movie until the new one is whole, then replaces it', async () => {
  const at = join(folder, 'old.mov')
  await writeFile(at, 'old')
  const writer = await createWriter(at, specOf('prores-422-hq'))
  await writer.write(picture(writer.layout, 320, 180, 'ramp'))
  expect(await readFile(at, 'utf8')).toBe('old')
  await writer.finish()
  expect((await readFile(at)).length).toBeGreaterThan(1000)
})

it('removes all when the last step fails', async () => {
  for (const [format, name] of names) {
    const at = join(folder, `late-${format}`)
    const writer = await createWriter(join(at, name), specOf(format))
    await writer.write(picture(writer.layout, 320, 180, 'ramp'))
    await mkdir(join(at, name.replace('####', '0001')))
    expect((await problemOf(writer.finish())).code).toBe('media.cannot-write')
    expect(await readdir(at)).toEqual([name.replace('####', '0001')])
    expect((await problemOf(writer.write(picture(writer.layout, 320, 180, 'ramp')))).code).toBe(
      'media.writer-closed',
    )
  }
})

it('refuses to write over the file that it takes the sound from', async () => {
  const at = join(folder, 'plate.mov')
  await writeFile(at, 'plate')
  const audioFrom = { path: at, startSeconds: 0, seconds: 1 }
  const problem = await problemOf(createWriter(at, specOf('prores-422-hq', { audioFrom })))
  expect(problem.code).toBe('media.output-is-input')
})

it('refuses what no file can hold', async () => {
  const code = async (more: Partial<DeliverySpec>, format: DeliveryFormat = 'prores-422-hq') =>
    (await problemOf(createWriter(join(folder, 'never.mov'), specOf(format, more)))).code
  expect(await code({ width: 64 }, 'dnxhr-hqx')).toBe('media.size-not-supported')
  expect(await code({ rate: { num: 0, den: 1 } })).toBe('media.bad-rate')
  expect(await code({ timecode: '01:00:00:25' })).toBe('media.bad-timecode')
  expect(await code({ timecode: '01:00:00;00' })).toBe('media.bad-timecode')
  expect(await code({ encoding: { ...plate, range: 'full' } })).toBe('media.wrong-encoding')
  expect(await code({}, 'exr-half')).toBe('media.wrong-extension')
  expect(await readdir(folder)).not.toContain('never.mov')
})

it.skipIf(process.getuid?.() === 0)(
  'refuses a folder without permission (skipped for root, who may all)',
  async () => {
    await mkdir(join(folder, 'locked'))
    await chmod(join(folder, 'locked'), 0o555)
    const problem = await problemOf(createWriter(join(folder, 'locked/a.mov'), specOf('prores-422-hq')))
    expect([problem.code, problem.exit]).toEqual(['media.cannot-write', 2])
  },
)

describe('full disk', () => {
  let disk = ''
  let mounted = false
  beforeAll(async () => {
    disk = join(folder, 'disk')
    await mkdir(disk)
    try {
      execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=600k', 'tmpfs', disk], { stdio: 'ignore' })
      mounted = true
    } catch {}
  })
  afterAll(() => {
    if (mounted) execFileSync('umount', [disk])
  })

  it.for(names)('%s: says so and leaves nothing behind', async ([format, name], { skip }) => {
    skip(!mounted, 'no right to mount a small disk here')
    const run = async () => {
      const writer = await createWriter(join(disk, 'out', name), specOf(format))
      for (let i = 0; i < 200; i++) await writer.write(picture(writer.layout, 320, 180, 'noise', i % 7))
      await writer.finish()
    }
    const problem = await problemOf(run())
    expect([problem.code, problem.exit]).toEqual(['media.disk-full', 2])
    expect(await readdir(disk)).toEqual([])
  })
})
