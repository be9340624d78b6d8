/** `npm run worlds -- [--json] [--seeds 1,2,3]`: the scores of every world, one line each. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { execute } from '../../src/cli/run.js'
import { scoreText, scoreWorld, type WorldScore } from './run.js'

const args = process.argv.slice(2)
const { values } = parseArgs({
  args,
  options: { seeds: { type: 'string', default: '1' }, json: { type: 'boolean' }, debug: { type: 'boolean' } },
})

await execute(args, (run) =>
  run(async (job) => {
    const scores: WorldScore[] = []
    for (const seed of values.seeds.split(',').map(Number)) {
      const folder = await mkdtemp(join(tmpdir(), 'platefit-world-'))
      try {
        scores.push(
          await scoreWorld(folder, seed, job, (what) => process.stderr.write(`seed ${seed}: ${what}…\n`)),
        )
      } finally {
        await rm(folder, { recursive: true, force: true })
      }
    }
    const [only] = scores
    return { text: scores.map(scoreText).join('\n'), json: scores.length === 1 ? only : scores }
  }),
)
