/**
 * Numbered files: `name.####.exr`, `name.%04d.exr`, a first file, or a folder that holds exactly one sequence.
 * `####` takes numbers of that many digits (longer ones when they outgrow it); one `#` or `%d` takes any.
 */
import { readdir, stat } from 'node:fs/promises'
import { basename, dirname, extname, join, resolve } from 'node:path'
import { Problem } from '../../core/index.js'

const pictures = new Set(['.png', '.tif', '.tiff', '.exr', '.dpx', '.jpg', '.jpeg'])

export interface NumberedFiles {
  readonly kind: 'sequence' | 'still'
  readonly files: readonly string[]
  readonly firstNumber: number
  /** Numbers are missing (only when holes are allowed). */
  readonly hole?: Problem
}

/**
 * `undefined` when the path is one file that is no picture by its name. With `holes` missing numbers are told, not refused.
 * @throws Problem for everything unreadable
 */
export async function findPictures(path: string, holes = false): Promise<NumberedFiles | undefined> {
  const found = await findFiles(path)
  if (found?.hole !== undefined && !holes) throw found.hole
  return found
}

async function findFiles(path: string): Promise<NumberedFiles | undefined> {
  const info = await stat(path).catch(() => undefined)
  if (info?.isDirectory()) return fromFolder(path)
  if (info !== undefined) return pictures.has(extname(path).toLowerCase()) ? fromFile(path) : undefined
  const pattern = readPattern(basename(path))
  if (pattern === undefined) throw missing(path)
  const names = await readdir(dirname(resolve(path))).catch(() => [])
  const found = collect(names, pattern.test, path)
  if (found.length === 0) throw missing(path)
  return sequence(path, found)
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
    remedy: 'Render or copy the missing frames, or move the part you do not need to another folder.',
  })
}

/** A number at the end of the name, after a separator or letters. */
const numbered = /^(.*?)(\d+)(\.[^.]+)$/

function familyOf(name: string) {
  const [, before, digits, ext] = numbered.exec(name) ?? []
  if (before === undefined || digits === undefined || ext === undefined) return undefined
  const padded = digits.startsWith('0') && digits.length > 1 ? digits.length : undefined
  return { before, digits, ext, padded }
}

async function fromFile(path: string): Promise<NumberedFiles> {
  const own = familyOf(basename(path))
  if (own === undefined) return { kind: 'still', files: [path], firstNumber: 0 }
  const names = await readdir(dirname(resolve(path)))
  const found = collect(names, siblings(own, names), path).filter((f) => f.number >= Number(own.digits))
  if (found.length < 2) return { kind: 'still', files: [path], firstNumber: Number(own.digits) }
  return sequence(path, found)
}

/** Numbers padded alike, or not padded at all when no name of the family is. */
function siblings(own: { before: string; digits: string; ext: string }, names: readonly string[]): RegExp {
  const frame = (number: string) => new RegExp(`^${literal(own.before)}${number}${literal(own.ext)}$`)
  const length = own.digits.length
  const padded = own.digits.startsWith('0') || names.some((n) => frame(`(0\\d{${length - 1}})`).test(n))
  return padded ? frame(`(\\d{${length}}|[1-9]\\d{${length},})`) : frame('(0|[1-9]\\d*)')
}

async function fromFolder(path: string): Promise<NumberedFiles> {
  const names = (await readdir(path)).filter(
    (n) => !n.startsWith('.') && pictures.has(extname(n).toLowerCase()),
  )
  const families = new Map<string, string>()
  for (const name of names.sort()) {
    const f = familyOf(name)
    const key = f === undefined ? name : `${f.before}#${f.ext}`
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
  const own = familyOf(first)
  if (own === undefined) return { kind: 'still', files: [join(path, first)], firstNumber: 0 }
  const found = collect(names, new RegExp(`^${literal(own.before)}(\\d+)${literal(own.ext)}$`), path)
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
