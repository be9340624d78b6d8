/**
 * Which files a name means: `name.####.exr`, `name.%04d.exr` or a folder that holds exactly one sequence ask for all numbers
 * there are, and a missing one is told. `####` takes numbers of that many digits (longer ones when they outgrow it); one `#` or
 * `%d` takes any.
 *
 * One file by its name means the sequence from its number on where it stands in a run of numbers long enough for names like it
 * (`numbered.ts`), the next number is there, and that picture is of the same size; else it means that one picture, and others
 * that differ only in their number are told of. `still` asks for the one picture whatever stands beside it.
 */
import type { Dirent } from 'node:fs'
import { readdir, realpath, stat } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { Problem } from '../../core/index.js'
import { isPictureName, leastRun, type NumberedName, numberedName, patternOf } from './numbered.js'
import { alike } from './sizes.js'

export interface NumberedFiles {
  readonly kind: 'sequence' | 'still'
  readonly files: readonly string[]
  readonly firstNumber: number
  /** Numbers are missing (only when holes are allowed). */
  readonly hole?: Problem
  /** How the name was understood, where something else may have been meant. */
  readonly note?: Problem
}

export interface FindOptions {
  /** Missing numbers are told, not refused. */
  readonly holes?: boolean
  readonly still?: boolean
}

/**
 * `undefined` when the path is one file that is no picture by its name.
 * @throws Problem for everything unreadable
 */
export async function findPictures(path: string, o: FindOptions = {}): Promise<NumberedFiles | undefined> {
  const found = await findFiles(path, o.still === true)
  if (found?.hole !== undefined && o.holes !== true) throw found.hole
  return found
}

/**
 * Whether two names mean the same pictures: the same first file, links followed, and as many (`smoke/`, `smoke/a.####.png` and
 * `smoke/a.0001.png`). Names that mean nothing are the same only when their paths are.
 */
export async function samePictures(a: string, b: string): Promise<boolean> {
  const [one, other] = await Promise.all([a, b].map(meant))
  return one === other
}

async function meant(path: string): Promise<string> {
  const found = await findPictures(path, { holes: true }).catch(() => undefined)
  const first = found?.files[0] ?? path
  return `${found?.files.length ?? 1} ${await realpath(first).catch(() => resolve(first))}`
}

async function findFiles(path: string, still: boolean): Promise<NumberedFiles | undefined> {
  const info = await stat(path).catch(() => undefined)
  if (info?.isDirectory()) return fromFolder(path)
  if (info !== undefined) return isPictureName(path) ? fromFile(path, still) : undefined
  const pattern = readPattern(basename(path))
  if (pattern === undefined) throw missing(path)
  const found = collect(await filesIn(dirname(resolve(path))).catch(() => []), pattern.test, path)
  if (found.length === 0) throw missing(path)
  return sequence(path, found)
}

/** Names of what can be a file: no folders, pipes or devices. */
async function filesIn(folder: string): Promise<string[]> {
  const mayBe = (e: Dirent) => e.isFile() || e.isSymbolicLink()
  return (await readdir(folder, { withFileTypes: true })).filter(mayBe).map((e) => e.name)
}

interface Numbered {
  readonly name: string
  readonly number: number
}

function readPattern(name: string): { test: RegExp } | undefined {
  const at = /#+|%0?(\d*)d/.exec(name)
  if (at === null) return undefined
  const digits = at[0].startsWith('#') ? at[0].length : Number(at[1] || 1)
  const number = digits === 1 ? '(\\d+)' : `(\\d{${digits}}|[1-9]\\d{${digits},})`
  const before = literal(name.slice(0, at.index))
  const after = literal(name.slice(at.index + at[0].length))
  return { test: new RegExp(`^${before}${number}${after}$`) }
}

/** How to ask for one picture of several. */
const ALONE = 'For one picture alone say `still`: true in a shot document, `--still` in `diagnose`.'

const literal = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')

function collect(names: readonly string[], test: RegExp, where: string): Numbered[] {
  const byNumber = new Map<number, string>()
  for (const name of names) {
    const digits = test.exec(name)?.[1]
    if (digits === undefined) continue
    const twin = byNumber.get(Number(digits))
    if (twin !== undefined) {
      throw new Problem({
        code: 'media.sequence-ambiguous',
        what: 'Two files of the sequence have the same number',
        where,
        received: [twin, name].sort().join(', '),
        remedy: 'Write as many # as the numbers have digits.',
      })
    }
    byNumber.set(Number(digits), name)
  }
  return [...byNumber].map(([number, name]) => ({ name, number })).sort((a, b) => a.number - b.number)
}

function sequence(path: string, found: readonly Numbered[], folder = dirname(path)): NumberedFiles {
  const first = found[0] as Numbered
  const last = found[found.length - 1] as Numbered
  const whole = last.number - first.number + 1 === found.length
  return {
    kind: 'sequence',
    files: found.map((f) => join(folder, f.name)),
    firstNumber: first.number,
    ...(whole ? {} : { hole: hole(path, found) }),
  }
}

function hole(where: string, found: readonly Numbered[]): Problem {
  const gaps: string[] = []
  let count = 0
  for (let i = 1; i < found.length; i++) {
    const from = (found[i - 1] as Numbered).number + 1
    const to = (found[i] as Numbered).number - 1
    if (to < from) continue
    count += to - from + 1
    gaps.push(from === to ? String(from) : `${from}–${to}`)
  }
  const shown = gaps.length > 20 ? [...gaps.slice(0, 20), `and ${gaps.length - 20} more gaps`] : gaps
  return new Problem({
    code: 'media.sequence-hole',
    what: `The sequence lacks ${count} ${count === 1 ? 'frame' : 'frames'}`,
    where,
    expected: `every number from ${found[0]?.number} to ${found[found.length - 1]?.number}`,
    received: `no file for ${shown.join(', ')}`,
    remedy: `Render or copy the missing frames, or move the part you do not need to another folder. ${ALONE}`,
  })
}

async function fromFile(path: string, still: boolean): Promise<NumberedFiles> {
  const own = numberedName(basename(path))
  if (own === undefined) return { kind: 'still', files: [path], firstNumber: 0 }
  const number = Number(own.digits)
  const one: NumberedFiles = { kind: 'still', files: [path], firstNumber: number }
  if (still) return one
  const names = await filesIn(dirname(resolve(path)))
  const { test, padded } = siblings(own, names)
  const all = collect(names, test, path)
  if (all.length < 2) return one
  const pattern = patternOf(own, padded)
  const rest = all.filter((f) => f.number >= number)
  const run = runAround(all, number)
  const next = run.find((f) => f.number === number + 1)
  if (
    next === undefined ||
    run.length < leastRun(own) ||
    !(await alike(path, join(dirname(path), next.name)))
  )
    return { ...one, note: asStill(path, all.length - 1, pattern) }
  const found = sequence(path, rest)
  return leastRun(own) > 2 ? { ...found, note: asSequence(path, rest.length) } : found
}

/** The numbers without a gap that `number` stands among. */
function runAround(all: readonly Numbered[], number: number): Numbered[] {
  const at = all.findIndex((f) => f.number === number)
  let [from, to] = [at, at]
  while (all[from - 1]?.number === number - (at - from) - 1) from--
  while (all[to + 1]?.number === number + (to - at) + 1) to++
  return all.slice(from, to + 1)
}

function asStill(where: string, others: number, pattern: string): Problem {
  return new Problem({
    code: 'media.read-as-still',
    what:
      others === 1
        ? 'This one picture is read, not the other one whose name differs only in the number'
        : `This one picture is read, none of the ${others} whose names differ only in the number`,
    where,
    remedy: `If they are frames of a sequence, name it \`${pattern}\`.`,
  })
}

function asSequence(where: string, count: number): Problem {
  return new Problem({
    code: 'media.read-as-sequence',
    what: `A sequence of ${count} is read, of which this is the first`,
    where,
    remedy: ALONE,
  })
}

/** Numbers padded alike, or not padded at all when no name of the family is. */
function siblings(own: NumberedName, names: readonly string[]): { test: RegExp; padded: boolean } {
  const frame = (number: string) => new RegExp(`^${literal(own.before)}${number}${literal(own.ending)}$`)
  const length = own.digits.length
  const padded = own.digits.startsWith('0') || names.some((n) => frame(`(0\\d{${length - 1}})`).test(n))
  return { padded, test: padded ? frame(`(\\d{${length}}|[1-9]\\d{${length},})`) : frame('(0|[1-9]\\d*)') }
}

async function fromFolder(path: string): Promise<NumberedFiles> {
  const names = (await filesIn(path)).filter((n) => !n.startsWith('.') && isPictureName(n))
  const families = new Map<string, string>()
  for (const name of names.sort()) {
    const f = numberedName(name)
    const key = f === undefined ? name : `${f.before}#${f.ending}`
    if (!families.has(key)) families.set(key, name)
  }
  if (families.size !== 1) {
    throw new Problem({
      code: families.size === 0 ? 'media.folder-empty' : 'media.folder-several',
      what: families.size === 0 ? 'The folder holds no picture' : 'The folder holds more than one sequence',
      where: path,
      expected: 'one numbered sequence of PNG, TIFF, EXR, DPX or JPEG files',
      ...(families.size === 0 ? {} : { received: [...families.keys()].slice(0, 8).join(', ') }),
      remedy: families.size === 0 ? 'Check the path.' : 'Name the one you mean, with # for the number.',
    })
  }
  const first = families.values().next().value as string
  const own = numberedName(first)
  if (own === undefined) return { kind: 'still', files: [join(path, first)], firstNumber: 0 }
  const found = collect(names, new RegExp(`^${literal(own.before)}(\\d+)${literal(own.ending)}$`), path)
  return sequence(path, found, path)
}

function missing(path: string): Problem {
  return new Problem({
    code: 'media.file-missing',
    what: 'There is no such file',
    where: path,
    expected: 'a movie, a picture, or numbered pictures: `name.####.exr`, their first file or their folder',
    received: 'no file of that name',
    remedy: 'Check the path; in a shot document it counts from the folder of the document.',
  })
}
