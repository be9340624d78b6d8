import { spawnSync } from 'node:child_process'
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { wasm } from '../src/kernels/wasm/bytes.js'
import { relaxedOpcodes, simdOpcodes } from './opcodes.js'

const root = fileURLToPath(new URL('..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'platefit-wasm-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

describe('the kernels as WebAssembly', () => {
  it('assembled from a copy of the sources in another folder are the same bytes', () => {
    cpSync(join(root, 'src', 'kernels'), join(folder, 'src', 'kernels'), { recursive: true })
    const out = join(folder, 'kernels.wasm')
    const work =
      "import { assembleIn } from './tools/setup.mjs'; assembleIn(process.argv[1], process.argv[2])"
    const run = spawnSync(process.execPath, ['--input-type=module', '-e', work, folder, out], {
      cwd: root,
      encoding: 'utf8',
    })
    expect(run.stderr).toBe('')
    expect(Buffer.compare(readFileSync(out), wasm)).toBe(0)
  })

  it('use SIMD of the standard alone, whose bits are the same on every machine: nothing relaxed, nothing fused', () => {
    expect(WebAssembly.validate(wasm)).toBe(true)
    // f32x4.add 0xE4, f32x4.mul 0xE6 (specification, 5.4.8).
    expect(simdOpcodes(wasm)).toContain(0xe4)
    expect(simdOpcodes(wasm)).toContain(0xe6)
    expect(relaxedOpcodes(wasm)).toEqual([])
  })

  it('would be seen to use relaxed SIMD: a function with a fused multiply-add', () => {
    // (func (param v128 v128 v128) (result v128) local.get 0 local.get 1 local.get 2 f32x4.relaxed_madd): 0x105.
    const body = [0x00, 0x20, 0, 0x20, 1, 0x20, 2, 0xfd, 0x85, 0x02, 0x0b]
    const code = [0x0a, body.length + 2, 1, body.length, ...body]
    expect(relaxedOpcodes(Uint8Array.from([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0, ...code]))).toEqual([0x105])
  })

  it('ship in the package', () => {
    const run = spawnSync('npm', ['pack', '--dry-run', '--json', '--ignore-scripts'], {
      cwd: root,
      encoding: 'utf8',
      shell: process.platform === 'win32',
    })
    const [{ files }] = JSON.parse(run.stdout) as [{ files: { path: string }[] }]
    const paths = files.map((f) => f.path)
    expect(paths).toContain('dist/kernels/wasm/bytes.js')
    expect(paths).toContain('dist/run/cli/main.js')
    expect(paths.filter((p) => /simd|\.wasm$|^src\//.test(p))).toEqual([])
  })
})
