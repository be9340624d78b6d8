import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** The program under test keeps what it keeps in folders of its own, never in those of whoever runs the tests. */
export default function setup(): () => void {
  const folder = mkdtempSync(join(tmpdir(), 'platefit-cache-'))
  process.env.PLATEFIT_CACHE = join(folder, 'cache')
  process.env.PLATEFIT_STATE = join(folder, 'state')
  delete process.env.PLATEFIT_CACHE_SIZE
  return () => rmSync(folder, { recursive: true, force: true })
}
