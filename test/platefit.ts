/** Runs the built program as a child process, as a person or a script does. */
import { type ChildProcess, spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'

const program = fileURLToPath(new URL('../dist/run/cli/main.js', import.meta.url))

export interface Ended {
  readonly code: number | null
  readonly out: string
  readonly err: string
}

/** Runs it in `folder`; `onStart` gets the process. */
export function platefit(folder: string, args: readonly string[], onStart?: (child: ChildProcess) => void) {
  const child = spawn(process.execPath, [program, ...args], {
    cwd: folder,
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  let out = ''
  let err = ''
  child.stdout.setEncoding('utf8').on('data', (text: string) => {
    out += text
  })
  child.stderr.setEncoding('utf8').on('data', (text: string) => {
    err += text
  })
  onStart?.(child)
  return new Promise<Ended>((done) => child.on('close', (code) => done({ code, out, err })))
}
