import { readdir } from 'node:fs/promises'
import { setTimeout } from 'node:timers/promises'
import { expect, it } from 'vitest'
import { Pool } from './pool.js'

const openFiles = async () => (await readdir('/proc/self/fd')).length

it.skipIf(process.platform !== 'linux')(
  'a pool that is closed while its threads load leaves no file open (skipped where the system does not list them)',
  async () => {
    const before = await openFiles()
    for (let i = 0; i < 12; i++) {
      const pool = new Pool<object, unknown>('preview/worker.js', 2)
      const { done } = await pool.submit({ kind: 'none' })
      await pool.submit({ kind: 'none' })
      // At another moment of its loading each time.
      await setTimeout(8 * i)
      await pool.close()
      await expect(done).rejects.toThrow()
    }
    expect(await openFiles()).toBeLessThan(before + 30)
  },
)
