import { homedir } from 'node:os'
import { join, resolve } from 'node:path'
import { expect, it } from 'vitest'
import { cacheFolder, usualLimit } from './place.js'

it('lies where it is asked to, where PLATEFIT_CACHE says, or where the system keeps such files', () => {
  const home = homedir()
  // XDG Base Directory Specification: $HOME/.cache when unset or empty; a path that is not absolute is invalid and ignored.
  const cases = [
    [{ PLATEFIT_CACHE: '/x', XDG_CACHE_HOME: '/y' }, 'linux', '/x'],
    [{ PLATEFIT_CACHE: '', XDG_CACHE_HOME: '/y' }, 'linux', '/y/platefit'],
    [{ XDG_CACHE_HOME: 'y' }, 'linux', join(home, '.cache/platefit')],
    [{ XDG_CACHE_HOME: '' }, 'freebsd', join(home, '.cache/platefit')],
    [{ XDG_CACHE_HOME: '/y' }, 'darwin', join(home, 'Library/Caches/platefit')],
    [{ LOCALAPPDATA: '/local' }, 'win32', '/local/platefit/cache'],
  ] as const
  for (const [env, platform, folder] of cases) expect(cacheFolder(undefined, env, platform)).toBe(folder)
  expect(cacheFolder('here', { PLATEFIT_CACHE: '/x' }, 'linux')).toBe(resolve('here'))
})

it('the tests do not use the cache of whoever runs them', () => {
  expect(cacheFolder()).not.toContain(homedir())
})

it('may hold a tenth of the free disk, what it holds now counted as free, and never more than 4 GiB', async () => {
  expect(await usualLimit('/nowhere/at/all', 2 ** 50)).toBe(4 * 2 ** 30)
  expect(await usualLimit('.', 0)).toBeLessThanOrEqual(4 * 2 ** 30)
  expect(await usualLimit('.', 0)).toBeGreaterThan(0)
})
