/**
 * `npm run bench` and `npm run bench:quick`: kernels against their twins, renders against the codecs around them.
 *
 *   --quick    1080p only, fewer frames and turns      --json    a row a line, as JSON, as soon as it is there
 *   --memory   peak memory of long renders as well     --write   BENCHMARKS.md
 *   --only X   rows of which X is the beginning of the name
 *   --turns N  how often each is timed, after a turn that does not count: 7, quick 3
 */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { kernelRows } from './kernels.js'
import type { AnyRow } from './limits.js'
import { memoryRow } from './memory.js'
import { previewRow } from './preview.js'
import { renderRows } from './renders.js'
import { writeReport } from './report.js'
import { makeScene } from './scene.js'
import { threadsRow } from './threads.js'
import { trackRow } from './track.js'
import { visionRows } from './visionRows.js'

const WORKERS = 2
const HD = { width: 1920, height: 1080 }
const UHD = { width: 3840, height: 2160 }
const flag = { type: 'boolean', default: false } as const
const { values: asked } = parseArgs({
  options: {
    ...{ quick: flag, json: flag, memory: flag, write: flag },
    ...{ only: { type: 'string', default: '' }, turns: { type: 'string' } },
  },
})
const rounds = Number(asked.turns ?? (asked.quick ? 3 : 7))
if (!(rounds >= 1)) throw new Error(`--turns expects a number from 1 on; received ${asked.turns}`)
const wanted = (name: string) => name.startsWith(asked.only) || asked.only.startsWith(name)

async function* allRows(folder: string): AsyncGenerator<AnyRow, void, undefined> {
  if (asked.only === '' || !/^(render|threads|preview|track|memory)/.test(asked.only)) {
    yield* kernelRows(rounds, asked.only)
    yield* await visionRows(rounds, asked.only)
  }
  if (wanted('threads')) {
    const scene = await makeScene(join(folder, 'threads'), HD, 1, 3)
    yield await threadsRow(scene, rounds)
  }
  if (wanted('preview')) {
    yield await previewRow(await makeScene(join(folder, 'preview'), HD, 0.5, 3), WORKERS, 4 * rounds)
  }
  if (wanted('track-1080p')) yield await trackRow(rounds)
  for (const [name, size, frames] of [
    ['1080p', HD, asked.quick ? 30 : 120],
    ['2160p', UHD, asked.quick ? 0 : 48],
  ] as const) {
    for (const [part, share] of [
      ['quarter', 0.5],
      ['full', 1],
    ] as const) {
      const row = `render-${name}-${part}`
      if (frames === 0 || !wanted(row)) continue
      const scene = await makeScene(join(folder, row), size, share, frames)
      yield* await renderRows(row, scene, WORKERS, rounds)
      await rm(scene.folder, { recursive: true })
    }
  }
  if (!asked.memory) return
  if (wanted('memory-1080p')) yield await memoryRow('memory-1080p', folder, HD, [100, 1000], WORKERS)
  if (wanted('memory-2160p')) yield await memoryRow('memory-2160p', folder, UHD, [24, 96], WORKERS)
}

const rows: AnyRow[] = []
const folder = await mkdtemp(join(tmpdir(), 'platefit-bench-'))
try {
  for await (const row of allRows(folder)) {
    if (!row.name.startsWith(asked.only)) continue
    rows.push(row)
    if (asked.json) console.log(JSON.stringify(row))
  }
} finally {
  await rm(folder, { recursive: true, force: true })
}
if (asked.write)
  await writeReport('BENCHMARKS.md', rows, `npm run bench -- ${process.argv.slice(2).join(' ')}`)
if (!asked.json) console.table(rows)
