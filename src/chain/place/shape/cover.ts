/** How much of each pixel a shape covers on a frame. */
import { intersect, isEmpty, type Region } from '../../../core/index.js'
import type { Hidden } from '../holdout/apply.js'
import type { ShapeAt } from './moments.js'
import { piecesByRows } from './pieces.js'
import { sharpCoverage } from './sharp.js'
import { borderOf, softCoverage } from './soft.js'

/** Rows that are worked on at once: what they need stays in a core's cache. */
const ROWS = 32

/** In a part of the picture: the same bytes as that part of the whole. Undefined where it covers nothing. */
export function shapeCoverage({ box, featherPx, moments }: ShapeAt, part: Region): Hidden | undefined {
  const region = intersect(box, part)
  if (isEmpty(region)) return undefined
  const share = new Float32Array(region.width * region.height)
  const border = featherPx > 0 ? borderOf(featherPx) : undefined
  const pieces = piecesByRows(moments, region, ROWS, featherPx / 2 + 1)
  for (let y = 0; y < region.height; y += ROWS) {
    const rows = intersect({ ...region, y: region.y + y, height: ROWS }, region)
    const at = y * region.width
    const near = pieces(y / ROWS)
    if (border === undefined) sharpCoverage(near, rows, share, at)
    else softCoverage(near, border, rows, share, at)
  }
  return { region, share }
}
