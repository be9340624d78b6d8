/** Two processes at once on one small cache: no value lost that was kept, none torn, and the limit holds afterwards. */
import { spawn } from 'node:child_process'
import { mkdtemp, readdir, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { held } from '../../src/engine/cache/room.js'

let folder = ''
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-together-'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

const LIMIT = 400_000
/** Every value follows from its number, so that a torn or mixed one shows. */
const hammer = `
  import { createHash } from 'node:crypto'
  import { Cache } from ${JSON.stringify(new URL('../../dist/engine/cache/store.js', import.meta.url).href)}
  const [folder, limit, seed, rounds] = process.argv.slice(1)
  const cache = new Cache(folder, Number(limit))
  const count = { hits: 0, misses: 0, wrong: 0 }
  let x = Number(seed)
  for (let i = 0; i < Number(rounds); i++) {
    x = (x * 1103515245 + 12345) % 2147483648
    const n = x % 60
    const key = createHash('sha256').update('key ' + n).digest('hex')
    const value = Buffer.alloc(2000 + 331 * n, createHash('sha256').update('value ' + n).digest())
    const got = await cache.get(key)
    if (got === undefined) {
      count.misses++
      await cache.put(key, [value.subarray(0, 777), value.subarray(777)])
    } else if (value.equals(got)) count.hits++
    else count.wrong++
  }
  await cache.settle()
  console.log(JSON.stringify({ ...count, finding: cache.finding?.message }))
`

function run(seed: number, rounds = 600, onStart?: (kill: () => void) => void) {
  const child = spawn(
    process.execPath,
    ['--input-type=module', '-e', hammer, folder, String(LIMIT), String(seed), String(rounds)],
    { stdio: ['ignore', 'pipe', 'inherit'] },
  )
  let out = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    out += text
  })
  onStart?.(() => child.kill('SIGKILL'))
  return new Promise<{ code: number | null; out: string }>((done) =>
    child.on('close', (code) => done({ code, out })),
  )
}

it('loses and tears nothing, and keeps the limit', async () => {
  const ended = await Promise.all([run(1), run(2)])
  for (const { code, out } of ended) {
    expect(code).toBe(0)
    const { hits, misses, wrong, finding } = JSON.parse(out)
    expect(finding).toBeUndefined()
    expect(wrong).toBe(0)
    expect(hits).toBeGreaterThan(100)
    expect(misses).toBeGreaterThan(0)
  }
  expect((await held(folder)).bytes).toBeLessThanOrEqual(LIMIT)
  expect((await held(folder)).entries).toBeGreaterThan(5)
  expect(await readdir(join(folder, 'drafts'))).toEqual([])
})

it('a process that is killed harms nobody', async () => {
  const killed = run(3, 1e9, (kill) => setTimeout(kill, 300))
  const [ended] = await Promise.all([run(4), killed])
  expect(JSON.parse(ended.out)).toMatchObject({ wrong: 0 })
  expect((await killed).code).toBeNull()
  const after = await run(5)
  expect(JSON.parse(after.out)).toMatchObject({ wrong: 0 })
  expect((await held(folder)).bytes).toBeLessThanOrEqual(LIMIT)
})
