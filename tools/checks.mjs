/** The house rules: format and lint, types of the tests, import rules between rooms, dead code. */
import { spawn } from 'node:child_process'
import { join } from 'node:path'
import { root } from './setup.mjs'

const CHECKS = [
  ['format and lint', ['@biomejs/biome/bin/biome', 'check', '.']],
  ['types', ['typescript/bin/tsc', '-p', 'test']],
  ['types of the page', ['typescript/bin/tsc', '-p', 'src/web']],
  [
    'rooms',
    ['dependency-cruiser/bin/dependency-cruise.mjs', 'src', 'test', '--config', '.dependency-cruiser.cjs'],
  ],
  ['dead code', ['knip/bin/knip.js']],
]

/** Runs them side by side. @returns {Promise<{passed: number, failed: number}>} */
export async function houseRules() {
  const results = await Promise.all(CHECKS.map(([name, command]) => check(name, command)))
  const failed = results.filter((ok) => !ok).length
  return { passed: results.length - failed, failed }
}

async function check(name, [file, ...args]) {
  const child = spawn(process.execPath, [join(root, 'node_modules', file), ...args], {
    cwd: root,
    env: { ...process.env, FORCE_COLOR: process.stdout.isTTY ? '1' : '0' },
  })
  let said = ''
  for (const stream of [child.stdout, child.stderr]) {
    stream.setEncoding('utf8').on('data', (text) => {
      said += text
    })
  }
  const code = await new Promise((done) => child.on('close', done))
  console.log(code === 0 ? `ok      house rules: ${name}` : `FAILED  house rules: ${name}\n${said}`)
  return code === 0
}
