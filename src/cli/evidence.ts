import { confidenceOf, type Evidence } from '../core/index.js'

/** `known: stream tag`, `assumed: untagged, HD size`. */
export function evidenceText(e: Evidence): string {
  const sure = confidenceOf(e) < 1 ? ` (${Math.round(100 * confidenceOf(e))} % sure)` : ''
  switch (e.kind) {
    case 'measured':
      return `known: ${e.method}${sure}`
    case 'derived':
      return `derived: ${e.formula}${sure}`
    case 'set':
      return 'set by hand'
    case 'assumed':
      return `assumed: ${e.why}${sure}`
  }
}
