/** Failures of writing, told as what a person can do about them. */
import { statfs } from 'node:fs/promises'
import { dirname } from 'node:path'
import { FFmpegError, PosixError } from 'node-av/lib'
import { Problem } from '../../core/index.js'
import { reason } from '../read/library.js'

/** A return code of the codec library below zero. */
export class CodecFailure extends Error {
  readonly code: number

  constructor(code: number, doing: string) {
    super(`${doing}: ${reason(code)}`)
    this.code = code
  }
}

/** @throws CodecFailure when `code` is below zero */
export function must(code: number, doing: string): number {
  if (code < 0) throw new CodecFailure(code, doing)
  return code
}

const full = new Set(['ENOSPC', 'EDQUOT'])
const barred = new Set([
  'EACCES',
  'EPERM',
  'EROFS',
  'ENOTDIR',
  'EEXIST',
  'EISDIR',
  'ENOENT',
  'ENAMETOOLONG',
  'ELOOP',
])
/** Less than this left on the disk makes a plain I/O error a full disk. */
const LITTLE = 1 << 20

/** Any failure while writing `path`, as a Problem. */
export async function writeProblem(error: unknown, path: string): Promise<Problem> {
  if (error instanceof Problem) return error
  const system = (error as NodeJS.ErrnoException).code
  const posix =
    error instanceof CodecFailure ? posixName(error.code) : typeof system === 'string' ? system : ''
  if (full.has(posix) || (posix !== '' && !barred.has(posix) && (await nearlyFull(path))))
    return diskFull(path)
  const why = error instanceof Error ? error.message : String(error)
  if (barred.has(posix)) return cannotWrite(path, why)
  return new Problem({
    code: 'media.write-failed',
    what: 'Writing failed; nothing was kept',
    where: path,
    received: why,
    remedy: 'Try again; if it repeats, choose another disk or format.',
    exit: 3,
  })
}

export function diskFull(path: string): Problem {
  return new Problem({
    code: 'media.disk-full',
    what: 'The disk is full; what was begun has been removed',
    where: path,
    received: 'no space left',
    remedy: 'Free some space or write to another disk.',
  })
}

export function cannotWrite(path: string, why: string): Problem {
  return new Problem({
    code: 'media.cannot-write',
    what: 'Nothing can be written there',
    where: path,
    received: why,
    remedy: 'Choose a folder that exists or can be made, and that you may write to.',
  })
}

function posixName(code: number): string {
  const known = [PosixError.ENOSPC, PosixError.EIO, PosixError.EACCES, PosixError.EPERM, PosixError.ENOENT]
  return known.find((name) => FFmpegError.AVERROR(name) === code) ?? ''
}

async function nearlyFull(path: string): Promise<boolean> {
  const disk = await statfs(dirname(path)).catch(() => undefined)
  return disk !== undefined && disk.bavail * disk.bsize < LITTLE
}
