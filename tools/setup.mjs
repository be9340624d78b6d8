/**
 * Gets a clone ready: installs the packages and compiles, each only when stale. Node built-ins only, since it runs
 * before anything is installed.
 */
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { dirname, join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'

export const root = fileURLToPath(new URL('..', import.meta.url))
/** The program as it runs, and its page. */
const run = join(root, 'dist', 'run')
/** Where worlds and trials are compiled to, together with the sources that they use. */
export const worldsBuild = join(root, 'dist', 'worlds-build')

/** No runtime, no objects; relaxed SIMD stays off, since its results differ between machines. */
const ASSEMBLY = [
  ...['--runtime', 'stub', '--importMemory', '--sharedMemory'],
  ...['--initialMemory', '1', '--maximumMemory', '65536'],
  ...['--enable', 'simd', '--enable', 'threads', '--optimizeLevel', '3', '--noAssert'],
]
const LEAST_NODE = [20, 19]

/** A failure that is told in one or two sentences, without a stack. */
export class SetupError extends Error {}

/** What the house rules need. */
export function install() {
  checkNode()
  installPackages()
}

/** The program alone. */
export function build() {
  install()
  assemble()
  compile('the program', ['-b'], ['src', 'tsconfig.json', 'tsconfig.base.json'], join(root, 'dist', '.stamp'))
  bundle(
    'the program',
    join('tools', 'program.config.mjs'),
    ['src', 'package-lock.json', 'tools'],
    'cli/main.js',
  )
  chmodSync(join(run, 'cli', 'main.js'), 0o755)
  bundle(
    'the page',
    join('src', 'web', 'vite.config.ts'),
    ['src/web', 'src/report', 'package-lock.json', 'tsconfig.base.json'],
    'web/index.html',
  )
}

/** With the licences of the libraries in it. @param first the file that it begins with */
function bundle(name, config, inputs, first) {
  const stamp = join(root, 'dist', `.stamp-${first.split('/')[0]}`)
  const state = fingerprint(inputs)
  if (existsSync(join(run, first)) && existsSync(stamp) && readFileSync(stamp, 'utf8') === state) return
  console.error(`setup: bundling ${name}…`)
  if (name === 'the program') rmSync(join(run, 'chunks'), { recursive: true, force: true })
  const vite = join(root, 'node_modules', 'vite', 'bin', 'vite.js')
  const made = spawnSync(process.execPath, [vite, 'build', '--config', config], {
    cwd: root,
    encoding: 'utf8',
  })
  if (made.status !== 0) throw new SetupError(`${name} cannot be bundled.\n${made.stdout}${made.stderr}`)
  writeFileSync(stamp, state)
}

/** The pixel kernels: AssemblyScript to WebAssembly, into the one source file that nobody writes. */
function assemble() {
  const kernels = join(root, 'src', 'kernels')
  const sources = files(kernels).filter((f) => /[\\/](simd|assembly)\.ts$/.test(f))
  const state = fingerprint([...sources.map((f) => relative(root, f)), 'package-lock.json'])
  const out = join(kernels, 'wasm', 'bytes.ts')
  const stamp = join(root, 'dist', '.stamp-kernels')
  if (existsSync(out) && existsSync(stamp) && readFileSync(stamp, 'utf8') === state) return
  console.error('setup: assembling the kernels…')
  const wasm = join(root, 'dist', 'kernels.wasm')
  mkdirSync(dirname(wasm), { recursive: true })
  assembleIn(root, wasm)
  writeFileSync(
    out,
    `/** Made by the build from \`assembly.ts\`. */\nexport const wasm = new Uint8Array([${readFileSync(wasm).join()}])\n`,
  )
  writeFileSync(stamp, state)
}

/** The kernels of the sources in `folder`, into the file `wasm`. */
export function assembleIn(folder, wasm) {
  const asc = join(root, 'node_modules', 'assemblyscript', 'bin', 'asc.js')
  const run = spawnSync(process.execPath, [asc, 'src/kernels/wasm/assembly.ts', '-o', wasm, ...ASSEMBLY], {
    cwd: folder,
    encoding: 'utf8',
  })
  if (run.status !== 0) throw new SetupError(`The kernels do not assemble.\n${run.stdout}${run.stderr}`)
}

/** Everything that demo, test, worlds, trials and benchmarks need; quick when nothing is stale. Types are checked elsewhere. */
export function setup() {
  build()
  const inputs = ['src', 'tsconfig.base.json', 'test', 'package.json']
  compile(
    'worlds, trials and benchmarks',
    ['-p', join('test', 'tsconfig.build.json')],
    inputs,
    join(worldsBuild, '.stamp'),
  )
  // The sources look two folders up for the version; and this says that the files are modules.
  copyFileSync(join(root, 'package.json'), join(worldsBuild, 'package.json'))
}

function checkNode() {
  const [major = 0, minor = 0] = process.versions.node.split('.').map(Number)
  const [needMajor, needMinor] = LEAST_NODE
  if (major > needMajor || (major === needMajor && minor >= needMinor)) return
  throw new SetupError(
    `Platefit needs Node ${LEAST_NODE.join('.')} or newer; this is ${process.versions.node}.`,
  )
}

function installPackages() {
  if (isInstalled()) return
  console.error('setup: installing packages (npm ci)…')
  const npm = process.env.npm_execpath
  const args = ['ci', '--ignore-scripts', '--no-audit', '--no-fund']
  const run = npm?.endsWith('.js')
    ? spawnSync(process.execPath, [npm, ...args], { cwd: root, encoding: 'utf8' })
    : spawnSync('npm', args, { cwd: root, encoding: 'utf8', shell: process.platform === 'win32' })
  if (run.status === 0) return
  const said = `${run.stderr ?? ''}${run.error?.message ?? ''}`
  if (/ENOTFOUND|EAI_AGAIN|ECONNREFUSED|ETIMEDOUT|ECONNRESET|ENETUNREACH/.test(said)) {
    throw new SetupError(
      `npm could not reach its registry. Packages are fetched once: connect, then run again.\n${said}`,
    )
  }
  throw new SetupError(`npm ci failed.\n${said}`)
}

/** Compares the lock file with what npm wrote down about the last install; optional packages may be missing. */
function isInstalled() {
  const wanted = packages(join(root, 'package-lock.json'))
  const present = packages(join(root, 'node_modules', '.package-lock.json'))
  if (wanted === undefined)
    throw new SetupError('package-lock.json is missing or damaged: check it out again.')
  if (present === undefined) return false
  return Object.entries(wanted).every(([path, p]) => {
    const here = present[path]
    return path === '' || p.link || (here === undefined ? p.optional === true : here.version === p.version)
  })
}

function packages(file) {
  try {
    return JSON.parse(readFileSync(file, 'utf8')).packages
  } catch {
    return undefined
  }
}

function compile(name, args, inputs, stamp) {
  const state = fingerprint(inputs)
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === state) return
  console.error(`setup: compiling ${name}…`)
  const tsc = join(root, 'node_modules', 'typescript', 'bin', 'tsc')
  const run = spawnSync(process.execPath, [tsc, ...args], { cwd: root, encoding: 'utf8' })
  if (run.status !== 0) {
    rmSync(stamp, { force: true })
    throw new SetupError(`${name} does not compile.\n${run.stdout}${run.stderr}`)
  }
  mkdirSync(dirname(stamp), { recursive: true })
  writeFileSync(stamp, state)
}

/** Changes when a file comes, goes, or is written. */
function fingerprint(inputs) {
  const hash = createHash('sha256')
  for (const file of inputs.flatMap((i) => files(join(root, i))).sort()) {
    const { mtimeMs, size } = statSync(file)
    hash.update(`${relative(root, file)} ${mtimeMs} ${size}\n`)
  }
  return hash.digest('hex')
}

function files(path) {
  if (!statSync(path).isDirectory()) return [path]
  return readdirSync(path, { recursive: true, withFileTypes: true })
    .filter((f) => f.isFile())
    .map((f) => join(f.parentPath ?? f.path, f.name))
}
