/** How files of tests code their light. */
import type { ColourEncoding } from '../src/core/index.js'

export const sdr: ColourEncoding = {
  range: 'limited',
  matrix: 'bt709',
  curve: 'bt709',
  primaries: 'bt709',
  siting: 'left',
}
