/** `npm run bench` and `npm run bench:quick`: kernels against their twins, renders against the codecs around them. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { kernelRows } from './kernels.js'
import { renderRow } from './renders.js'
import { makeScene } from './scene.js'
import type { Row } from './timing.js'

const WORKERS = 2
const quick = process.argv.includes('--quick')
const json = process.argv.includes('--json')
const sizes = [
  { name: '1080p', width: 1920, height: 1080, frames: quick ? 48 : 120 },
  ...(quick ? [] : [{ name: '2160p', width: 3840, height: 2160, frames: 48 }]),
]

const rows: Row[] = kernelRows(quick ? 3 : 7)
const folder = await mkdtemp(join(tmpdir(), 'platefit-bench-'))
try {
  for (const { name, frames, ...size } of sizes) {
    for (const [part, share] of [
      ['quarter', 0.5],
      ['full', 1],
    ] as const) {
      const scene = await makeScene(join(folder, `${name}-${part}`), size, share, frames)
      rows.push(await renderRow(`render-${name}-${part}`, scene, WORKERS, quick ? 3 : 7))
      await rm(scene.folder, { recursive: true })
    }
  }
} finally {
  await rm(folder, { recursive: true, force: true })
}
if (json) for (const row of rows) console.log(JSON.stringify(row))
else console.table(rows)
