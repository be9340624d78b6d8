/**
 * Shot documents on disk. An edit reads, changes and writes under a lock beside the document, and the new text takes
 * the old one's place in one step: two processes lose no edit, and a process that dies leaves the old document or the
 * new one, never half of one. A lock whose owner died is taken over after STALE_MS.
 */
import { createHash, randomBytes } from 'node:crypto'
import { type FileHandle, open, readdir, readFile, realpath, rename, stat, unlink } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { lock } from 'proper-lockfile'
import { Problem } from '../core/index.js'
import { parseShot, type Shot, shotText } from '../shot/index.js'

/** A lock that was not refreshed for so long belongs to nobody. Its owner refreshes it every third of that. */
const STALE_MS = 6000
/** So long an edit waits for others to finish theirs. */
const PATIENCE_MS = 30_000

export interface Document {
  readonly shot: Shot
  /** Absolute; the document's own paths are relative to it. */
  readonly folder: string
  /** Absolute, symbolic links followed. */
  readonly path: string
  /** SHA-256 of the text that was read. */
  readonly revision: string
}

/**
 * Reads and checks a document.
 * @throws Problem `engine.document-missing`, `engine.document-unreadable`, or as `parseShot`
 */
export async function loadShot(path: string): Promise<Document> {
  let real: string
  let text: string
  try {
    real = await realpath(path)
    text = await readFile(real, 'utf8')
  } catch (e) {
    throw unreadable(path, e)
  }
  const revision = createHash('sha256').update(text).digest('hex')
  return { shot: parseShot(text, path), folder: dirname(real), path: real, revision }
}

/**
 * Writes a new document.
 * @throws Problem `engine.document-exists`, `engine.document-unwritable`, or as `parseShot`
 */
export async function saveShot(path: string, shot: Shot): Promise<void> {
  const full = resolve(path)
  const text = shotText(parseShot(shot, path))
  await locked(full, async (stillOurs) => {
    if (await exists(full)) {
      throw new Problem({
        code: 'engine.document-exists',
        what: 'There is already a document of this name',
        where: path,
        remedy: 'Choose another name with --out, or remove the old one.',
      })
    }
    await replace(full, text, stillOurs)
  })
}

/**
 * Reads the document, applies `edit` and writes the result, alone among all processes. Keep the edit short: compute
 * before, and merge inside.
 *
 * @returns the document as it was written
 * @throws Problem as `loadShot`; `engine.document-busy` when others hold the lock too long; whatever `edit` throws
 */
export async function editShot(path: string, edit: (shot: Shot) => Shot | Promise<Shot>): Promise<Shot> {
  const { path: real } = await loadShot(path)
  return locked(real, async (stillOurs) => {
    const { shot, revision } = await loadShot(path)
    const text = shotText(parseShot(await edit(shot), path))
    // Two that take over one dead lock at the same moment can both believe that they hold it: look once more.
    await replace(real, text, async () => stillOurs() && (await loadShot(path)).revision === revision)
    return parseShot(text, path)
  })
}

async function locked<T>(path: string, work: (stillOurs: () => boolean) => Promise<T>): Promise<T> {
  let ours = true
  const release = await take(path, () => {
    ours = false
  })
  try {
    return await work(() => ours)
  } finally {
    if (ours) await release().catch(() => {})
  }
}

async function take(path: string, onCompromised: () => void): Promise<() => Promise<void>> {
  const deadline = Date.now() + PATIENCE_MS
  for (;;) {
    try {
      return await lock(path, { realpath: false, stale: STALE_MS, update: STALE_MS / 3, onCompromised })
    } catch (e) {
      if ((e as NodeJS.ErrnoException).code !== 'ELOCKED') throw unwritable(path, e)
      if (Date.now() > deadline) throw busy(path)
    }
    await new Promise((done) => setTimeout(done, 5 + Math.random() * 25))
  }
}

/** Puts `text` in the place of the document in one step, and makes sure that it is on the disk. */
async function replace(
  path: string,
  text: string,
  stillOurs: () => boolean | Promise<boolean>,
): Promise<void> {
  const folder = dirname(path)
  const name = basename(path)
  const draft = join(folder, `.${name}.${randomBytes(4).toString('hex')}.partial`)
  try {
    await sweep(folder, name)
    const file = await open(draft, 'wx', await modeOf(path))
    await filled(file, text)
    if (!(await stillOurs())) throw busy(path)
    await rename(draft, path)
    await syncFolder(folder)
  } catch (e) {
    await unlink(draft).catch(() => {})
    throw e instanceof Problem ? e : unwritable(path, e)
  }
}

async function filled(file: FileHandle, text: string): Promise<void> {
  try {
    await file.writeFile(text)
    await file.sync()
  } finally {
    await file.close()
  }
}

/** Removes drafts that a killed process left: who holds the lock is the only writer. */
async function sweep(folder: string, name: string): Promise<void> {
  for (const f of await readdir(folder)) {
    if (f.startsWith(`.${name}.`) && f.endsWith('.partial')) await unlink(join(folder, f)).catch(() => {})
  }
}

/** A rename is certain to survive a power cut only when its folder is synced; some systems cannot, and need not. */
async function syncFolder(folder: string): Promise<void> {
  const handle = await open(folder, 'r').catch(() => undefined)
  await handle?.sync().catch(() => {})
  await handle?.close()
}

async function modeOf(path: string): Promise<number> {
  return stat(path).then(
    (s) => s.mode & 0o777,
    () => 0o666,
  )
}

async function exists(path: string): Promise<boolean> {
  return stat(path).then(
    () => true,
    () => false,
  )
}

function busy(path: string): Problem {
  return new Problem({
    code: 'engine.document-busy',
    what: 'Another process holds the document',
    where: path,
    remedy: 'Try again when it has finished; nothing was changed.',
    exit: 3,
  })
}

function unreadable(path: string, e: unknown): Problem {
  const missing = (e as NodeJS.ErrnoException).code === 'ENOENT'
  return new Problem({
    code: missing ? 'engine.document-missing' : 'engine.document-unreadable',
    what: missing ? 'There is no such shot document' : 'The shot document cannot be read',
    where: path,
    expected: 'a file NAME.shot.json',
    ...(missing ? {} : { received: reason(e) }),
    ...(missing ? { remedy: 'Write a first one with `platefit new`.' } : {}),
  })
}

function unwritable(path: string, e: unknown): Problem {
  const code = (e as NodeJS.ErrnoException).code ?? ''
  const wrongPlace = ['ENOENT', 'ENOTDIR', 'EISDIR', 'EACCES', 'EPERM', 'EROFS', 'ENAMETOOLONG'].includes(
    code,
  )
  return new Problem({
    code: 'engine.document-unwritable',
    what: 'The shot document cannot be written',
    where: path,
    received: reason(e),
    exit: wrongPlace ? 2 : 3,
  })
}

function reason(e: unknown): string {
  return e instanceof Error ? e.message : String(e)
}
