/** Where the trials find their footage and leave their files. */
import { mkdirSync, rmSync } from 'node:fs'
import { resolve } from 'node:path'

const at = process.argv.indexOf('--footage')
export const footage = at > 0 ? (process.argv[at + 1] as string) : resolve('..', 'shared', 'footage')

/** An empty folder of its own for one trial, below `trials/`. */
export function outFolder(name: string): string {
  const folder = resolve('trials', name)
  rmSync(folder, { recursive: true, force: true })
  mkdirSync(folder, { recursive: true })
  return folder
}

export function say(trial: string, facts: Readonly<Record<string, unknown>>): void {
  const text = Object.entries(facts).map(
    ([k, v]) => `${k} ${typeof v === 'number' ? Number(v.toPrecision(4)) : v}`,
  )
  console.log(`${trial}: ${text.join(', ')}`)
}
