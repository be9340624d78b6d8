/** `npm run worlds -- [--json] [--seeds 1,2,3] [--only three-depths]`: the scores of every world, one line each. */
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { execute } from '../../src/cli/run.js'
import { Problem } from '../../src/core/index.js'
import type { Job } from '../../src/engine/types.js'
import { type DepthsScore, depthsText, scoreDepths } from './depths/run.js'
import { scoreText, scoreWorld, shortOf, type WorldScore } from './run.js'
import { scoreShake } from './shake/run.js'

const args = process.argv.slice(2)
const { values } = parseArgs({
  args,
  options: {
    seeds: { type: 'string', default: '1' },
    only: { type: 'string' },
    json: { type: 'boolean' },
    debug: { type: 'boolean' },
  },
})

type AnyScore = WorldScore | DepthsScore
type Scorer = (folder: string, seed: number, job: Job, say: (what: string) => void) => Promise<AnyScore>

const worlds: Readonly<Record<string, Scorer>> = {
  breakwater: scoreWorld,
  'three-depths': scoreDepths,
  'rolling-shake': scoreShake,
}

await execute(args, (run) =>
  run(async (job) => {
    const names = values.only === undefined ? Object.keys(worlds) : [values.only]
    const scores: AnyScore[] = []
    for (const seed of values.seeds.split(',').map(Number)) {
      for (const name of names) {
        const scorer = worlds[name]
        if (scorer === undefined) throw unknownWorld(name)
        const folder = await mkdtemp(join(tmpdir(), 'platefit-world-'))
        try {
          scores.push(
            await scorer(folder, seed, job, (what) => process.stderr.write(`seed ${seed}: ${what}…\n`)),
          )
        } finally {
          await rm(folder, { recursive: true, force: true })
        }
      }
    }
    const [only] = scores
    const short = shortOf(scores.map((s) => s.ratio))
    return {
      text: [...scores.map(textOf), ...short].join('\n'),
      json: scores.length === 1 ? only : scores,
      exit: short.length > 0 ? 1 : 0,
    }
  }),
)

function textOf(s: AnyScore): string {
  return 'firstFrame' in s ? depthsText(s) : scoreText(s)
}

function unknownWorld(received: string): Problem {
  return new Problem({
    code: 'worlds.unknown',
    what: 'There is no such world',
    where: '--only',
    expected: Object.keys(worlds).join(', '),
    received,
  })
}
