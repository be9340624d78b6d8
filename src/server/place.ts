/** Where undo and redo of documents lie: what a person would miss, other than a cache. */
import { homedir } from 'node:os'
import { isAbsolute, join, resolve } from 'node:path'

type Environment = Readonly<Record<string, string | undefined>>

/** Absolute path; `PLATEFIT_STATE` names another place. Source: XDG Base Directory Specification 0.8; common practice elsewhere. */
export function stateFolder(env: Environment = process.env, platform = process.platform): string {
  const named = env.PLATEFIT_STATE ?? ''
  if (named !== '') return resolve(named)
  if (platform === 'win32') {
    return join(env.LOCALAPPDATA ?? join(homedir(), 'AppData', 'Local'), 'platefit', 'state')
  }
  if (platform === 'darwin') return join(homedir(), 'Library', 'Application Support', 'platefit')
  const xdg = env.XDG_STATE_HOME ?? ''
  return join(isAbsolute(xdg) ? xdg : join(homedir(), '.local', 'state'), 'platefit')
}
