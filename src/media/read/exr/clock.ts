/**
 * Rate and timecode that OpenEXR files carry (`framesPerSecond`, `timeCode`), and whether those of a sequence agree.
 * Source: [openexr-attributes].
 */
import { open } from 'node:fs/promises'
import { Problem } from '../../../core/index.js'
import { addFrames } from '../../../timing/timecode.js'
import { isTimecode, unpackTimecode } from '../../timecode.js'
import type { Rate } from '../../types.js'
import { ratio } from '../look.js'
import { type ExrHeader, readExrHeader } from './header.js'

/** As one file says it. */
interface Clock {
  readonly rate?: Rate
  /** The time in `timeCode`, packed. */
  readonly word?: number
  /** An attribute that means nothing. */
  readonly wrong?: string
}

export interface SequenceClock {
  readonly rate?: Rate
  readonly timecode?: string
  readonly findings: readonly Problem[]
}

/** More than any header holds that was not filled with notes. */
const HEAD = 1 << 16
const ASSUMED: Rate = { num: 24, den: 1 }

/**
 * Rate and timecode of the first file, checked against the others.
 * @param set rate that stands above the files' own; only the rates' disagreement is then of no matter
 */
export async function clockOf(
  files: readonly string[],
  bytes: Buffer,
  header: ExrHeader,
  part: number,
  set: Rate | undefined,
): Promise<SequenceClock> {
  const first = clockIn(bytes, header, part)
  const rate = set ?? first.rate ?? ASSUMED
  const where = files[0] as string
  const findings = first.wrong === undefined ? [] : [useless(where, first.wrong)]
  const text = first.word === undefined ? undefined : unpackTimecode(first.word, first.rate ?? rate)
  const fits = text !== undefined && isTimecode(text, rate)
  if (text !== undefined && !fits)
    findings.push(useless(where, `timeCode ${text} at ${rate.num}/${rate.den}`))
  const [rates, times]: [string[], string[]] = [[], []]
  for (const [i, file] of files.entries()) {
    if (i === 0) continue
    const own = await clockFrom(file, part)
    if (own === undefined) continue
    if (set === undefined && !same(own.rate, first.rate)) rates.push(`${said(own.rate)} in ${file}`)
    const wanted = fits ? addFrames(text, i, rate) : text
    const got = own.word === undefined ? undefined : unpackTimecode(own.word, first.rate ?? rate)
    if (wanted !== got) times.push(`${got ?? 'none'} in ${file}`)
  }
  if (rates.length > 0) findings.push(conflict('media.rate-conflict', where, said(first.rate), rates))
  if (times.length > 0 && (fits || text === undefined))
    findings.push(conflict('media.timecode-jump', where, text ?? 'none', times))
  return {
    ...(first.rate === undefined ? {} : { rate: first.rate }),
    ...(fits ? { timecode: text } : {}),
    findings,
  }
}

function clockIn(bytes: Buffer, h: ExrHeader, part: number): Clock {
  // Files of several parts may say it in the first one alone.
  const find = (name: string, type: string, size: number) =>
    [h.parts[part], h.parts[0]]
      .map((p) => p?.attributes.get(name))
      .find((a) => a?.type === type && a.size === size)
  const fps = find('framesPerSecond', 'rational', 8)
  const time = find('timeCode', 'timecode', 8)
  const [num, den] = fps === undefined ? [0, 0] : [bytes.readInt32LE(fps.at), bytes.readUInt32LE(fps.at + 4)]
  const rate = ratio(num, den)
  return {
    ...(rate === undefined ? {} : { rate }),
    ...(time === undefined ? {} : { word: bytes.readUInt32LE(time.at) }),
    ...(fps !== undefined && rate === undefined ? { wrong: `framesPerSecond ${num}/${den}` } : {}),
  }
}

/** `undefined` of a file whose header cannot be read: that is told when its picture is. */
async function clockFrom(file: string, part: number): Promise<Clock | undefined> {
  const handle = await open(file)
  try {
    for (let size = HEAD; ; size *= 16) {
      const { bytesRead, buffer } = await handle.read(Buffer.alloc(size), 0, size, 0)
      const bytes = buffer.subarray(0, bytesRead)
      try {
        return clockIn(bytes, readExrHeader(bytes, file), part)
      } catch (error) {
        if (!(error instanceof Problem)) throw error
        if (bytesRead < size || size > HEAD) return undefined
      }
    }
  } finally {
    await handle.close()
  }
}

const same = (a: Rate | undefined, b: Rate | undefined) => a?.num === b?.num && a?.den === b?.den
const said = (r: Rate | undefined) => (r === undefined ? 'no rate' : `${r.num}/${r.den}`)

function useless(where: string, received: string): Problem {
  return new Problem({
    code: 'media.useless-clock',
    what: 'The file has a rate or timecode that is none; it is treated as absent',
    where,
    received,
    remedy: 'Give the `rate` in a shot document when you know it.',
  })
}

function conflict(code: string, where: string, first: string, others: readonly string[]): Problem {
  const shown = others.slice(0, 3).join(', ')
  const rate = code === 'media.rate-conflict'
  return new Problem({
    code,
    what: rate
      ? 'The files of the sequence carry different rates; the first one is used'
      : 'The timecodes of the files do not run on frame by frame; the first one is used',
    where,
    expected: `${first} as in the first file${rate || first === 'none' ? '' : ', and on'}`,
    received: others.length > 3 ? `${shown} and ${others.length - 3} more` : shown,
    remedy: rate
      ? 'Give the true `rate` in a shot document.'
      : 'Check that the files are of one take and none is missing.',
  })
}
