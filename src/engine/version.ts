import { existsSync, readFileSync } from 'node:fs'
import { PROGRAM } from './built.js'

/** The package's version: from the nearest package.json above this file, wherever the build put it. */
export function engineVersion(): string {
  let at = PROGRAM
  while (!existsSync(new URL('package.json', at)) && at.pathname !== '/') at = new URL('..', at)
  return (JSON.parse(readFileSync(new URL('package.json', at), 'utf8')) as { version: string }).version
}
