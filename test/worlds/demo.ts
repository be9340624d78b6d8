/** `npm run demo`: one world, the whole job on it, everything left in a folder to look at. */
import { resolve } from 'node:path'
import { parseArgs } from 'node:util'
import { execute } from '../../src/cli/run.js'
import { tellsText } from '../../src/cli/tells.js'
import { count } from '../../src/cli/values.js'
import { Problem } from '../../src/core/index.js'
import { scoreText, scoreWorld, shortOf, showWorld } from './run.js'

const args = process.argv.slice(2)

await execute(args, (run) =>
  run(async (job) => {
    const { out, seed } = options()
    const say = (what: string) => process.stderr.write(`demo: ${what}…\n`)
    const scores = await scoreWorld(out, seed, job, say)
    const check = await showWorld(out, job, say)
    const short = shortOf([scores.ratio])
    const text = [
      tellsText(check, false),
      '',
      scoreText(scores),
      ...short,
      `${out}: plate.mov, smoke/, fire.mov, plain.mov, result.mov, truth.mov, report.html`,
    ].join('\n')
    return { text, json: { out, scores, check }, exit: short.length > 0 ? 1 : 0 }
  }),
)

function options(): { out: string; seed: number } {
  try {
    const spec = {
      out: { type: 'string' },
      seed: { type: 'string' },
      json: { type: 'boolean' },
      debug: { type: 'boolean' },
    } as const
    const { values } = parseArgs({ args, options: spec })
    return { out: resolve(values.out ?? 'demo'), seed: count('--seed')(values.seed ?? '1') }
  } catch (e) {
    throw new Problem({ code: 'demo.usage', what: e instanceof Error ? e.message : String(e) })
  }
}
