import { spawn } from 'node:child_process'

export interface DemoOptions {
  readonly out: string
  readonly seed?: number
  readonly json?: true
  readonly debug?: true
}

/** Runs the clone's demo in a process of its own and ends as it ends. */
export async function demo(file: string, o: DemoOptions): Promise<void> {
  const args = [file, '--out', o.out]
  if (o.seed !== undefined) args.push('--seed', String(o.seed))
  if (o.json) args.push('--json')
  const child = spawn(process.execPath, args, { stdio: 'inherit' })
  const code = await new Promise<number>((done) =>
    child.on('exit', (c, signal) => done(c ?? (signal ? 130 : 3))),
  )
  process.exit(code)
}
