/** Disks that are full or may only be read: small ones, mounted where that is allowed. */
import { execFileSync } from 'node:child_process'
import { createHash, randomBytes } from 'node:crypto'
import { mkdir, mkdtemp, readdir, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { held } from './room.js'
import { Cache } from './store.js'

let folder = ''
let disk = ''
let mounted = false
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-disk-'))
  disk = join(folder, 'disk')
  await mkdir(disk)
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=600k', 'tmpfs', disk], { stdio: 'ignore' })
    mounted = true
  } catch {}
})
afterAll(async () => {
  if (mounted) execFileSync('umount', [disk])
  await rm(folder, { recursive: true, force: true })
})

const keyOf = (n: number) => createHash('sha256').update(`key ${n}`).digest('hex')

it('a full disk turns it off with one finding; what was kept before stays', async ({ skip }) => {
  skip(!mounted, 'no right to mount a small disk here')
  const cache = new Cache(disk, 10_000_000)
  for (let n = 0; n < 12; n++) await cache.put(keyOf(n), [randomBytes(100_000)])
  await cache.settle()
  expect(cache.finding?.code).toBe('cache.unwritable')
  expect(cache.finding?.detail.received).toMatch(/ENOSPC/)
  const { entries } = await held(disk)
  expect(entries).toBeGreaterThanOrEqual(4)
  expect(entries).toBeLessThanOrEqual(6)
  expect(await cache.get(keyOf(0))).toHaveLength(100_000)
  expect(await cache.get(keyOf(11))).toBeUndefined()
  expect(await readdir(join(disk, 'drafts'))).toEqual([])
})

it('takes no more than a tenth of a small disk by itself', async ({ skip }) => {
  skip(!mounted, 'no right to mount a small disk here')
  await rm(join(disk, 'entries'), { recursive: true })
  const cache = new Cache(disk)
  for (let n = 0; n < 40; n++) await cache.put(keyOf(n), [randomBytes(5000)])
  await cache.settle()
  expect(cache.finding).toBeUndefined()
  expect((await held(disk)).bytes).toBeLessThanOrEqual(61_440)
})

it('is read on a disk that may only be read', async ({ skip }) => {
  skip(!mounted, 'no right to mount a small disk here')
  const cache = new Cache(disk)
  await cache.put(keyOf(1), [randomBytes(10)])
  await cache.settle()
  execFileSync('mount', ['-o', 'remount,ro', disk], { stdio: 'ignore' })
  try {
    const again = new Cache(disk)
    expect(await again.get(keyOf(1))).toHaveLength(10)
    await again.put(keyOf(2), [randomBytes(10)])
    await again.settle()
    expect(again.finding?.code).toBe('cache.unwritable')
    expect(await again.get(keyOf(1))).toHaveLength(10)
  } finally {
    execFileSync('mount', ['-o', 'remount,rw', disk], { stdio: 'ignore' })
  }
})
