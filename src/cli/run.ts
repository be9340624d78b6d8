/**
 * One run of the program: arguments in, one outcome out. Exit codes: 0 fine, 1 something to mend was found, 2 wrong use
 * or input, 3 the work failed, 130 stopped by Ctrl-C (129 and 143 for the other stop signals).
 */
import { type Command, CommanderError } from 'commander'
import { Problem, type ProblemDetail } from '../core/index.js'
import type { Job } from '../engine/types.js'
import { findingsText, jsonText, type Outcome, problemText } from './outcome.js'
import { program } from './program.js'
import { ProgressLine } from './progress.js'

const STOPS = { SIGINT: 130, SIGTERM: 143, SIGHUP: 129 } as const

/** Runs a command's work with the job that carries its stop signal and, where a person reads, progress. */
export type Run = (work: (job: Job) => Promise<Outcome>) => Promise<void>

/** The program. */
export async function main(args: readonly string[]): Promise<void> {
  const json = args.includes('--json')
  return execute(args, async (run) => {
    await quiet(program(run), json).parseAsync([...args], { from: 'user' })
  })
}

/** Runs `work` with stop signals, progress, words and exit codes, and ends the process. */
export async function execute(args: readonly string[], work: (run: Run) => Promise<void>): Promise<void> {
  const json = args.includes('--json')
  const line = new ProgressLine(process.stderr)
  const stop = new AbortController()
  let stoppedBy: keyof typeof STOPS | undefined
  for (const name of Object.keys(STOPS) as (keyof typeof STOPS)[]) {
    process.on(name, () => {
      if (stoppedBy !== undefined) process.exit(STOPS[name])
      stoppedBy = name
      stop.abort()
    })
  }
  // A reader that went away (`| head`) is no failure of ours.
  process.stdout.on('error', (e: NodeJS.ErrnoException) => process.exit(e.code === 'EPIPE' ? 0 : 3))

  // Nothing is left that could go on, and no answer has come: a thread died in silence.
  process.on('beforeExit', () => {
    process.stderr.write('platefit: the work ended without an answer\n  This is a defect of Platefit.\n')
    process.exit(3)
  })

  let exit = 0
  const run: Run = async (work) => {
    const outcome = await work({ signal: stop.signal, ...(json ? {} : { onProgress: line.show }) })
    line.clear()
    if (outcome.notes !== undefined) process.stderr.write(`${findingsText(outcome.notes)}\n`)
    const machine = outcome.json === undefined ? '' : jsonText(outcome.json)
    await put(json ? machine : outcome.text === '' ? '' : `${outcome.text}\n`)
    exit = outcome.exit ?? 0
  }
  try {
    await work(run)
  } catch (e) {
    line.clear()
    if (stoppedBy !== undefined) {
      exit = STOPS[stoppedBy]
      const what = 'Stopped; nothing unfinished was left under a final name'
      const said = e instanceof Problem && e.code === 'engine.stopped'
      await told(said ? e.detail : { code: 'cli.stopped', what }, json)
    } else {
      const failure = failureOf(e)
      exit = failure.exit
      if (failure.detail !== undefined) await told(failure.detail, json)
      if (failure.exit === 3 && !(e instanceof Problem) && args.includes('--debug')) console.error(e)
    }
  }
  process.exit(exit)
}

/** Commander throws instead of ending the process, and leaves the words about errors to us. */
function quiet(command: Command, json: boolean): Command {
  const all = [command, ...command.commands]
  for (const c of all) {
    c.exitOverride().configureOutput({
      outputError: () => {},
      writeErr: (text) => {
        if (!json) process.stderr.write(text)
      },
    })
  }
  return command
}

function failureOf(e: unknown): { exit: number; detail?: ProblemDetail } {
  if (e instanceof Problem) return { exit: e.exit, detail: e.detail }
  if (e instanceof CommanderError) {
    if (e.exitCode === 0) return { exit: 0 }
    const what = e.message.replace(/^error: /, '')
    const noCommand = e.code === 'commander.help'
    const remedy = 'See `platefit --help`.'
    return { exit: 2, detail: { code: 'cli.usage', what: noCommand ? 'No command was given' : what, remedy } }
  }
  const what = e instanceof Error ? `${e.name}: ${e.message}` : String(e)
  const remedy = 'This is a defect of Platefit. Run again with --debug for the place, and report it.'
  return { exit: 3, detail: { code: 'cli.defect', what, remedy, exit: 3 } }
}

async function told(detail: ProblemDetail, json: boolean): Promise<void> {
  if (json) await put(jsonText({ problem: detail }))
  else process.stderr.write(`platefit: ${problemText(detail)}\n`)
}

function put(text: string): Promise<void> {
  return new Promise((done) => process.stdout.write(text, () => done()))
}
