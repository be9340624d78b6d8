import { execFileSync, spawnSync } from 'node:child_process'
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { exrFile } from '../../../../test/media/exrFile.js'
import { allocateFrame } from '../../../core/index.js'
import { createWriter, type Rate } from '../../index.js'
import { openSource } from '../open.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-clock-'))
})
afterAll(() => rm(folder, { recursive: true }))

type More = readonly (readonly [string, string, readonly number[]])[]
const fps = (num: number, den: number) => {
  const bytes = Buffer.alloc(8)
  bytes.writeInt32LE(num, 0)
  bytes.writeUInt32LE(den, 4)
  return ['framesPerSecond', 'rational', [...bytes]] as const
}
const time = (...bytes: number[]) => ['timeCode', 'timecode', [...bytes, 0, 0, 0, 0]] as const

async function shelf(name: string, files: readonly More[]): Promise<string> {
  await mkdir(join(folder, name))
  const v = Float32Array.from([1])
  for (const [i, more] of files.entries()) {
    const draft = { channels: { B: v, G: v, R: v }, data: [0, 0, 1, 1], display: [0, 0, 1, 1], more } as const
    await writeFile(join(folder, name, `s.${String(i + 1).padStart(4, '0')}.exr`), exrFile(draft))
  }
  return join(folder, name)
}

describe('rate and timecode of OpenEXR files', () => {
  // As OpenImageIO 2.4.7 (OpenEXR 3.1.5) writes `timeCode` 01:02:03:14 and `framesPerSecond` 24000/1001.
  const film = [
    ['framesPerSecond', 'rational', [0xc0, 0x5d, 0, 0, 0xe9, 0x03, 0, 0]],
    time(0x14, 3, 2, 1),
  ] as const

  it('are read; what was given when opening stands above the rate', async () => {
    const at = await shelf('film', [film, [film[0], time(0x15, 3, 2, 1)]])
    const { info } = await openSource(at)
    expect(info).toMatchObject({ rate: { num: 24000, den: 1001 }, timecode: '01:02:03:14', frameCount: 2 })
    expect(info.rateEvidence).toMatchObject({ kind: 'measured', method: 'framesPerSecond attribute' })
    expect(info.durationSeconds).toBeCloseTo((2 * 1001) / 24000, 12)
    expect(info.findings).toEqual([])
    const set = await openSource(at, { rate: { num: 25, den: 1 } })
    expect(set.info).toMatchObject({ rate: { num: 25, den: 1 }, timecode: '01:02:03:14' })
    expect(set.info.rateEvidence.kind).toBe('set')
    expect((await openSource(join(at, 's.0002.exr'))).info.timecode).toBe('01:02:03:15')
  })

  // Digits by hand after SMPTE ST 12-1: the lowest bits are the frame's, bit 6 means drop-frame, and above 30 frames a second
  // frames count pairs, bit 15 marking the second of a pair.
  it.each([
    ['29.97, drop-frame', fps(30000, 1001), time(0x29 | 0x40, 0x59, 0x59, 0x23), '23:59:59;29'],
    ['29.97, user flags set', fps(30000, 1001), time(0x02 | 0x80, 0x00, 0x81, 0xc0), '00:01:00:02'],
    ['25', fps(25, 1), time(0x24, 0x10, 0x20, 0x10), '10:20:10:24'],
    ['59.94, second of a pair', fps(60000, 1001), time(0x29, 0x80 | 0x01, 0, 0), '00:00:01:59'],
    ['50', fps(50, 1), time(0x24, 0x01, 0, 0), '00:00:01:48'],
  ] as const)('%s', async (name, rate, word, timecode) => {
    const { info } = await openSource(await shelf(name, [[rate, word]]))
    expect(info.timecode).toBe(timecode)
    expect(info.findings).toEqual([])
  })

  it('that mean nothing are told and left out', async () => {
    const { info } = await openSource(await shelf('none', [[fps(0, 0), time(0x14, 0x75, 0, 0)]]))
    expect(info.rate).toEqual({ num: 24, den: 1 })
    expect(info.rateEvidence.kind).toBe('assumed')
    expect(info.timecode).toBeUndefined()
    expect(info.findings.map((f) => f.code)).toEqual(['media.useless-clock', 'media.useless-clock'])
  })

  it('that disagree within a sequence are told', async () => {
    const at = await shelf('torn', [
      [fps(24, 1), time(0x23, 0, 0, 1)],
      [fps(24, 1), time(0x00, 1, 0, 1)],
      [fps(48, 2), time(0x07, 1, 0, 1)],
      [fps(25, 1)],
    ])
    const { info } = await openSource(at)
    expect(info).toMatchObject({ rate: { num: 24, den: 1 }, timecode: '01:00:00:23' })
    expect(info.findings.map((f) => f.code)).toEqual(['media.rate-conflict', 'media.timecode-jump'])
    expect(info.findings[0]?.message).toMatch(/25\/1 in .*s\.0004\.exr/)
    expect(info.findings[1]?.message).toMatch(/01:00:01:07 in .*s\.0003\.exr, none in .*s\.0004\.exr/)
    const set = await openSource(at, { rate: { num: 25, den: 1 } })
    expect(set.info.findings.map((f) => f.code)).toEqual(['media.timecode-jump'])
  })
})

describe('what is written', () => {
  const command = 'oiiotool'
  const there = spawnSync(command, ['--version']).status === 0
  const layout = { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: false } as const
  async function write(name: string, rate: Rate, timecode: string, count: number): Promise<string> {
    const at = join(folder, name)
    const encoding = {
      range: 'full',
      matrix: 'rgb',
      siting: 'centre',
      curve: 'linear',
      primaries: 'bt709',
    } as const
    const size = { width: 2, height: 2 }
    const writer = await createWriter(join(at, 'w.####.exr'), {
      format: 'exr-half',
      ...size,
      rate,
      encoding,
      timecode,
      firstNumber: 1,
    })
    for (let i = 0; i < count; i++) await writer.write(allocateFrame(layout, 2, 2))
    await writer.finish()
    return at
  }

  it.each([
    [{ num: 24000, den: 1001 }, '09:59:59:23'],
    [{ num: 30000, den: 1001 }, '00:00:59;29'],
    [{ num: 60, den: 1 }, '12:34:56:58'],
  ] as const)('is read again: %j, %s', async (rate, timecode) => {
    const at = await write(`again-${rate.num}`, rate, timecode, 3)
    const { info } = await openSource(at)
    expect(info).toMatchObject({ rate, timecode })
    expect(info.findings).toEqual([])
  })

  it.skipIf(!there)(
    'reads alike in OpenImageIO (its oiiotool; skipped where that is not installed)',
    async () => {
      const at = await write('theirs', { num: 24000, den: 1001 }, '09:59:59:23', 2)
      const told = execFileSync(command, ['--info', '-v', join(at, 'w.0002.exr')]).toString()
      expect(told).toContain('smpte:TimeCode: 10:00:00:00')
      expect(told).toMatch(/FramesPerSecond: 24000\/1001/i)
    },
  )
})
