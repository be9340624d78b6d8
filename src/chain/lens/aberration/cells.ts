/** The cells of a picture whose edges tell most of how far colours lie apart along the radius. */
import type { Planes } from './planes.js'
import { CELL, type Cell } from './shift.js'

/** Of all pictures together. */
const MOST = 2400
/** Pixels at the border that no cell holds. */
const BORDER = 6
/** Of half the diagonal: nearer the middle an edge tells nothing. */
const NEAR = 0.25

/** Those with the most slope along the radius, weighed by the radius, of one picture after the other. */
export function tellingCells(pictures: readonly Planes[]): Cell[] {
  const all = pictures.flatMap(weighed)
  all.sort((a, b) => b.told - a.told || a.picture - b.picture || a.y - b.y || a.x - b.x)
  return all.slice(0, MOST)
}

function weighed({ width, height, green }: Planes, picture: number): (Cell & { told: number })[] {
  const out: (Cell & { told: number })[] = []
  const near = (NEAR * Math.hypot(width, height)) / 2
  for (let y = BORDER; y + CELL + BORDER <= height; y += CELL / 2) {
    for (let x = BORDER; x + CELL + BORDER <= width; x += CELL / 2) {
      const [rx, ry] = [x + CELL / 2 - width / 2, y + CELL / 2 - height / 2]
      if (Math.hypot(rx, ry) < near) continue
      let told = 0
      for (let j = y; j < y + CELL; j += 2) {
        for (let i = x; i < x + CELL; i += 2) {
          const p = j * width + i
          const gx = green[p + 1]! - green[p - 1]!
          const gy = green[p + width]! - green[p - width]!
          told += (gx * rx + gy * ry) ** 2
        }
      }
      out.push({ picture, x, y, told })
    }
  }
  return out
}
