// Every compression against OpenImageIO's own command (Debian: openimageio-tools), where it is installed.
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { NativeFrame } from '../../../core/index.js'
import { openSource } from '../open.js'
import { readExrHeader } from './header.js'
import { chooseLayer } from './layers.js'
import { readSampled } from './sampled.js'

const command = 'oiiotool'
const there = spawnSync(command, ['--version']).status === 0
if (!there) console.log('compression tests skipped: no oiiotool on the path (OpenImageIO)')
const folder = mkdtempSync(join(tmpdir(), 'platefit-exr-'))
afterAll(() => rmSync(folder, { recursive: true }))

const tool = (...args: string[]) => execFileSync(command, args, { cwd: folder, stdio: 'pipe' })

async function read(name: string, layer?: string): Promise<NativeFrame> {
  const s = await openSource(join(folder, name), layer === undefined ? {} : { layer })
  for await (const f of s.frames()) return f
  throw new Error('no frame')
}

/** Writes a noisy picture compressed, and what the library reads in it, without compression. */
function write(name: string, compression: string, ...how: string[]): void {
  tool('base.exr', ...how, '--compression', compression, '-o', `${name}.exr`)
  tool(`${name}.exr`, '-d', 'float', '--compression', 'none', '--scanline', '-o', `${name}.plain.exr`)
}

/** What we read of halves and of floats in tiles, main layer and another, beside what the library read. */
async function pairs(compression: string): Promise<(readonly [NativeFrame, NativeFrame])[]> {
  write(`half-${compression}`, compression)
  write(`float-${compression}`, compression, '-d', 'float', '--tile', '32', '32')
  const found: (readonly [NativeFrame, NativeFrame])[] = []
  for (const kind of ['half', 'float']) {
    for (const layer of [undefined, 'beauty']) {
      const name = `${kind}-${compression}`
      found.push([await read(`${name}.exr`, layer), await read(`${name}.plain.exr`, layer)])
    }
  }
  return found
}

/** Negative, larger than 1, noisy; sizes that no block divides; a second layer. */
function writeBase(): void {
  const ramp = 'fill:left=2,0.1,0.02,1,4,0.2,0.1,0.5:right=0.01,7,0.4,0.3,0.3,9,0.1,1'
  const names = 'R,G,B,A,beauty.R,beauty.G,beauty.B,beauty.A'
  tool(
    '--pattern',
    ramp,
    '83x71',
    '8',
    '--noise:stddev=.02',
    '--chnames',
    names,
    '-d',
    'half',
    '-o',
    'base.exr',
  )
}

describe.skipIf(!there)('OpenEXR compressions', () => {
  beforeAll(writeBase)

  it.each(['none', 'rle', 'zips', 'zip', 'piz', 'pxr24', 'b44', 'b44a'])('%s: exact', async (c) => {
    for (const [got, want] of await pairs(c)) {
      expect(got.planes.length).toBe(4)
      for (const [i, p] of got.planes.entries()) expect(p.data).toEqual(want.planes[i].data)
    }
  })

  // What stands for pictures with channels of several sizes, here on channels of one.
  it.each(['none', 'rle', 'zips', 'zip', 'piz', 'pxr24', 'b44', 'b44a'])(
    '%s, taken apart here: exact',
    async (c) => {
      write(`own-half-${c}`, c)
      write(`own-float-${c}`, c, '-d', 'float')
      for (const kind of ['half', 'float']) {
        const name = `own-${kind}-${c}`
        const bytes = readFileSync(join(folder, `${name}.exr`))
        const header = readExrHeader(bytes, name)
        for (const layer of ['main', 'beauty']) {
          const got = readSampled(bytes, header, chooseLayer(header, layer, name), name)
          const want = await read(`${name}.plain.exr`, layer)
          for (const [i, p] of got.entries()) expect(p.data).toEqual(want.planes[i].data)
        }
      }
    },
  )

  it.each(['dwaa', 'dwab'])('%s: within three steps of a half', async (c) => {
    for (const [got, want] of await pairs(c)) {
      for (const [i, p] of got.planes.entries()) {
        const off = p.data.map((v, k) => {
          const w = Math.abs(want.planes[i].data[k])
          return Math.abs(v - want.planes[i].data[k]) / Math.max(w, 2 ** -6)
        })
        expect(Math.max(...off)).toBeLessThanOrEqual(i === 3 ? 0 : 3 * 2 ** -10)
      }
    }
  })
})
