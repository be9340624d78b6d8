/**
 * Where the cache lies and how large it may grow. What is asked for goes first, then PLATEFIT_CACHE and PLATEFIT_CACHE_SIZE, then
 * the place that the system keeps for such files:
 *
 *   Windows   %LOCALAPPDATA%\platefit\cache
 *   macOS     ~/Library/Caches/platefit
 *   others    $XDG_CACHE_HOME/platefit where that is an absolute path, else ~/.cache/platefit
 *
 * Source: [xdgbasedir2021] (a path that is not absolute is to be ignored); the others: common practice.
 */
import { statfs } from 'node:fs/promises'
import { homedir } from 'node:os'
import { dirname, isAbsolute, join, resolve } from 'node:path'

/** A share of the disk that nobody misses, and no more than this (a choice: a few hundred frames of 1080p). */
const MOST = 4 * 2 ** 30
const SHARE = 0.1

type Environment = Readonly<Record<string, string | undefined>>

/** Absolute path of the cache's folder. */
export function cacheFolder(
  asked?: string,
  env: Environment = process.env,
  platform = process.platform,
): string {
  const named = asked ?? env.PLATEFIT_CACHE
  if (named !== undefined && named !== '') return resolve(named)
  if (platform === 'win32')
    return join(env.LOCALAPPDATA ?? join(homedir(), 'AppData', 'Local'), 'platefit', 'cache')
  if (platform === 'darwin') return join(homedir(), 'Library', 'Caches', 'platefit')
  const xdg = env.XDG_CACHE_HOME ?? ''
  return join(isAbsolute(xdg) ? xdg : join(homedir(), '.cache'), 'platefit')
}

/** Bytes that it may hold where nobody said: 4 GiB or a tenth of what is free (what it holds now counts as free), the lesser. */
export async function usualLimit(folder: string, held: number): Promise<number> {
  const { bavail, bsize } = await diskOf(folder)
  return Math.min(MOST, Math.floor(SHARE * (bavail * bsize + held)))
}

/** The disk that a folder lies on, or would lie on. */
async function diskOf(folder: string): Promise<{ bavail: number; bsize: number }> {
  try {
    return await statfs(folder)
  } catch (e) {
    const above = dirname(folder)
    if (above === folder) throw e
    return diskOf(above)
  }
}
