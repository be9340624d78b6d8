/** An element that is a pulse of light, as the rows of one frame see it: after the lens, where the sensor reads. */
import type { Sheet } from './element.js'
import { byRows, type RowShares } from './shutter/readout/apply.js'

export function flashing(sheet: Sheet, shares: RowShares): Sheet {
  return {
    ...sheet,
    draw: (part) => {
      const { image, coverage } = sheet.draw(part)
      return { image: byRows(image, shares), coverage: coverage && byRows(coverage, shares) }
    },
  }
}
