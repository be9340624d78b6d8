/**
 * From what was named to elements: a file or a numbered sequence is one; a folder is one when it holds exactly one sequence,
 * else everything in it and in the folders below is.
 */
import type { Dirent } from 'node:fs'
import { readdir, realpath, stat } from 'node:fs/promises'
import { dirname, extname, join, sep } from 'node:path'
import { seriesOf } from '../../media/index.js'

/** An element to open. */
export interface Found {
  readonly path: string
  /** Only this one picture, although its name has a number. */
  readonly single: boolean
  /** The folder that was searched, or the one that holds what was named. */
  readonly root: string
}

const MOVIES = new Set([
  '.mov',
  '.mp4',
  '.m4v',
  '.mkv',
  '.webm',
  '.avi',
  '.mxf',
  '.mts',
  '.m2ts',
  '.mpg',
  '.ogv',
])

export async function findElements(paths: readonly string[]): Promise<Found[]> {
  const found: Found[] = []
  for (const path of paths) {
    const isFolder = await stat(path).then(
      (s) => s.isDirectory(),
      () => false,
    )
    // What is no folder is opened as it is named, so that a wrong name is told in the words of opening.
    const inside = isFolder ? await inFolder(path) : [{ path, single: false }]
    found.push(...inside.map((one) => ({ ...one, root: one.path === path ? dirname(path) : path })))
  }
  return found
}

async function inFolder(path: string): Promise<Omit<Found, 'root'>[]> {
  const entries = (await readdir(path, { withFileTypes: true }))
    .filter((e) => !e.name.startsWith('.'))
    .sort((a, b) => (a.name < b.name ? -1 : 1))
  const isFolder = await Promise.all(entries.map((e) => leadsToFolder(e, path)))
  const folders = entries.filter((_, i) => isFolder[i]).map((e) => e.name)
  const files = entries.filter((_, i) => !isFolder[i]).map((e) => e.name)
  const movies = files.filter((n) => MOVIES.has(extname(n).toLowerCase()))
  const series = seriesOf(files)
  const only = series.length === 1 ? series[0] : undefined
  if (folders.length === 0 && movies.length === 0 && only !== undefined && only.pattern !== undefined)
    return [{ path, single: false }]
  const found: Omit<Found, 'root'>[] = []
  for (const name of movies) found.push({ path: join(path, name), single: false })
  for (const s of series) {
    if (s.pattern !== undefined) found.push({ path: join(path, s.pattern), single: false })
    else found.push(...s.names.map((name) => ({ path: join(path, name), single: true })))
  }
  for (const name of folders) found.push(...(await inFolder(join(path, name))))
  return found
}

/** A link counts as what it leads to, unless that is a folder above it: there the search would go in circles. */
async function leadsToFolder(entry: Dirent, folder: string): Promise<boolean> {
  if (!entry.isSymbolicLink()) return entry.isDirectory()
  const path = join(folder, entry.name)
  const goal = await realpath(path).catch(() => undefined)
  if (goal === undefined || !(await stat(goal)).isDirectory()) return false
  const own = await realpath(folder)
  return own !== goal && !own.startsWith(`${goal}${sep}`)
}
