/** What a file was taken for, and by what: its tag, a convention where it has none, or what was given when it was opened. */
import type { Evidence } from '../../core/index.js'

/** `Tagged full range`, `Taken for full range (no tag says so)`: the beginning of a sentence. */
export function tagged(what: string, by: Evidence): string {
  switch (by.kind) {
    case 'assumed':
      return `Taken for ${what} (no tag says so)`
    case 'set':
      return `Opened as ${what}`
    default:
      return `Tagged ${what}`
  }
}

/** `the tag (limited) is believed`: the end of one. */
export function believed(what: string, by: Evidence): string {
  switch (by.kind) {
    case 'assumed':
      return `no tag says which, and the convention (${what}) is believed`
    case 'set':
      return `what was given (${what}) is believed`
    default:
      return `the tag (${what}) is believed`
  }
}
