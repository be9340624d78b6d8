import { mkdir, mkdtemp, rm, symlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { findElements } from './find.js'

let folder: string
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-find-'))
  await mkdir(join(folder, 'library', 'fires'), { recursive: true })
  await writeFile(join(folder, 'library', 'fires', 'one.mov'), '')
  await writeFile(join(folder, 'library', 'notes.txt'), '')
  await mkdir(join(folder, 'shot'))
  await symlink(join(folder, 'library'), join(folder, 'shot', 'library'))
  // A link to a folder above it, and one that leads nowhere.
  await symlink(join(folder, 'library'), join(folder, 'library', 'fires', 'again'))
  await symlink(join(folder, 'gone'), join(folder, 'shot', 'gone.mov'))
})
afterAll(() => rm(folder, { recursive: true, force: true }))

it('follows links into other folders, and not in circles', async () => {
  const found = await findElements([join(folder, 'shot')])
  expect(found.map((f) => f.path.slice(folder.length + 1))).toEqual([
    'shot/gone.mov',
    'shot/library/fires/one.mov',
  ])
  expect(found.every((f) => f.root === join(folder, 'shot'))).toBe(true)
})
