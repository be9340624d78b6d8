/**
 * `npm run matting [-- --json] [-- --only moving] [-- --seed N] [-- --width W]`: the key of `green-wall` against its truth, beside a plain
 * colour-difference key and the codec library's own filters, each at its best settings; and of a moving disc, frame by frame and beside each
 * other. --json: a row a line.
 */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { filmed, type MattingRow, rowsOf } from './case.js'
import { type DiscRow, discRow, SPEEDS } from './discCase.js'

const { values: asked } = parseArgs({
  options: {
    json: { type: 'boolean', default: false },
    only: { type: 'string', default: '' },
    seed: { type: 'string', default: '1' },
    width: { type: 'string', default: '960' },
  },
})

const CASES = {
  still: { moving: false, dark: false },
  moving: { moving: true, dark: false },
  'dark-still': { moving: false, dark: true },
  'dark-moving': { moving: true, dark: true },
}

const rows: MattingRow[] = []
const discs: DiscRow[] = []
for (const speed of SPEEDS) {
  if (!`disc-${speed}`.startsWith(asked.only)) continue
  const folder = await mkdtemp(join(tmpdir(), 'platefit-matting-'))
  try {
    const row = await discRow(folder, speed)
    discs.push(row)
    if (asked.json) console.log(JSON.stringify(row))
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}
for (const [name, how] of Object.entries(CASES)) {
  if (!name.startsWith(asked.only)) continue
  const folder = await mkdtemp(join(tmpdir(), 'platefit-matting-'))
  try {
    const film = await filmed(folder, { ...how, seed: Number(asked.seed), width: Number(asked.width) })
    for (const row of await rowsOf(name, folder, film)) {
      rows.push(row)
      if (asked.json) console.log(JSON.stringify(row))
    }
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}
if (!asked.json) for (const table of [discs, rows]) if (table.length > 0) console.table(table)
