import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** The program under test keeps what it keeps in a folder of its own, never in the cache of whoever runs the tests. */
export default function setup(): () => void {
  const folder = mkdtempSync(join(tmpdir(), 'platefit-cache-'))
  process.env.PLATEFIT_CACHE = folder
  delete process.env.PLATEFIT_CACHE_SIZE
  return () => rmSync(folder, { recursive: true, force: true })
}
