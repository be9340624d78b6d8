/** `node tools/run.mjs setup|check|test|demo|worlds|trials|diagnosis|tracking|roundtrips|matting|bench [arguments]`: gets the clone ready, then does the work. */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { houseRules } from './checks.mjs'
import { install, root, SetupError, setup, worldsBuild } from './setup.mjs'

const works = {
  setup: () => 0,
  check: async () => ((await houseRules()).failed === 0 ? 0 : 1),
  test,
  demo: (args) => node(join(worldsBuild, 'test', 'worlds', 'demo.js'), args),
  worlds: (args) => node(join(worldsBuild, 'test', 'worlds', 'main.js'), args),
  trials,
  bench: (args) => node(join(worldsBuild, 'test', 'bench', 'main.js'), args),
  tracking: (args) => node(join(worldsBuild, 'test', 'tracking', 'main.js'), args),
  roundtrips: (args) => node(join(worldsBuild, 'test', 'roundtrips', 'main.js'), args),
  matting: (args) => node(join(worldsBuild, 'test', 'matting', 'main.js'), args),
  diagnosis: (args) => node(join(worldsBuild, 'test', 'diagnosis', 'main.js'), args),
}

const [name = '', ...args] = process.argv.slice(2)
const work = works[name]
if (work === undefined) {
  console.error(`usage: node tools/run.mjs ${Object.keys(works).join('|')} [arguments]`)
  process.exit(2)
}
try {
  if (name === 'check') install()
  else setup()
  process.exitCode = await work(args)
} catch (e) {
  if (!(e instanceof SetupError)) throw e
  console.error(`setup: ${e.message}`)
  // Whoever counts tests reads the last line of standard output.
  if (name === 'test') console.log('0 passed, 1 failed')
  process.exitCode = 3
}

/** House rules, then the tests; the last line reads `N passed, N failed` with `, N skipped` where some were. */
async function test(args) {
  // With arguments only a part is asked for: the tests that they name.
  const rules = args.length === 0 ? await houseRules() : { passed: 0, failed: 0 }
  const folder = mkdtempSync(join(tmpdir(), 'platefit-test-'))
  const out = join(folder, 'result.json')
  const code = node(join(root, 'node_modules', 'vitest', 'vitest.mjs'), [
    'run',
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${out}`,
    ...args,
  ])
  const counts = counted(out, code)
  rmSync(folder, { recursive: true, force: true })
  const passed = rules.passed + counts.passed
  const failed = rules.failed + counts.failed
  console.log(`${passed} passed, ${failed} failed${counts.skipped > 0 ? `, ${counts.skipped} skipped` : ''}`)
  return failed === 0 ? 0 : 1
}

function counted(file, code) {
  if (!existsSync(file)) return { passed: 0, failed: 1, skipped: 0 }
  const r = JSON.parse(readFileSync(file, 'utf8'))
  // A file that cannot even be loaded holds no tests that could fail.
  const broken = r.testResults.filter((f) => f.status === 'failed' && f.assertionResults.length === 0).length
  const failed = r.numFailedTests + broken
  return {
    passed: r.numPassedTests,
    failed: failed === 0 && code !== 0 ? 1 : failed,
    skipped: r.numPendingTests + r.numTodoTests,
  }
}

/** Every trial over the real footage, where it stands beside the checkout. */
function trials(args) {
  const footage = process.env.PLATEFIT_FOOTAGE ?? resolve(root, '..', 'shared', 'footage')
  if (!existsSync(footage)) {
    console.log(`trials: skipped, there is no footage at ${footage} (PLATEFIT_FOOTAGE names another place)`)
    return 0
  }
  const folder = join(worldsBuild, 'test', 'trials')
  const all = existsSync(folder) ? readdirSync(folder).filter((f) => f.endsWith('.js')) : []
  const failed = all.sort().filter((f) => node(join(folder, f), ['--footage', footage, ...args]) !== 0)
  console.log(
    `trials: ${all.length - failed.length} of ${all.length} fine${failed.map((f) => `, ${f} failed`).join('')}`,
  )
  return failed.length === 0 ? 0 : 1
}

function node(file, args) {
  if (!existsSync(file)) throw new SetupError(`${file} is missing: this clone is not whole.`)
  const run = spawnSync(process.execPath, [file, ...args], { cwd: root, stdio: 'inherit' })
  return run.status ?? 130
}
