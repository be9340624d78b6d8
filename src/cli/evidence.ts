import { confidenceOf, type Evidence } from '../core/index.js'

/** `measured: how (80 % sure)`, `assumed: why`; `measured` is the word for what was read and not guessed. */
export function evidenceText(e: Evidence, measured = 'measured'): string {
  const sure = confidenceOf(e) < 1 ? ` (${Math.round(100 * confidenceOf(e))} % sure)` : ''
  switch (e.kind) {
    case 'measured':
      return `${measured}: ${e.method}${sure}`
    case 'derived':
      return `derived: ${e.formula}${sure}`
    case 'set':
      return 'set by hand'
    case 'assumed':
      return `assumed: ${e.why}${sure}`
  }
}
