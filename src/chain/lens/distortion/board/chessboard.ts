/** The chessboard of a picture: its inner corners, wherever it lies, whatever part of it is seen. */
import { type LightPicture, shrunk } from '../picture.js'
import { type GridPoint, gridOf } from './grid.js'
import { refined } from './refine.js'
import { saddles } from './saddles.js'

/** Longer side at which corners are looked for: larger pictures are shrunk first. */
const LARGE = 1280
/** Half the square that a corner is refined in: of the step to its neighbours, and px at most. */
const SHARE = 0.4
const [LEAST, MOST] = [3, 10]
/** Fewer corners are chance. */
const FEWEST = 12

/** Empty where there is none. */
export function chessboard(picture: LightPicture): GridPoint[] {
  const by = Math.max(1, Math.round(Math.max(picture.width, picture.height) / LARGE))
  const found = gridOf(saddles(shrunk(picture, by)))
  if (found.length < FEWEST) return []
  const half = Math.min(Math.max(Math.floor(SHARE * by * leastStep(found)), LEAST), MOST)
  return found.flatMap(({ i, j, x, y }) => {
    const at = refined(picture, by * x, by * y, half)
    return at === undefined ? [] : [{ i, j, x: at[0], y: at[1] }]
  })
}

/** The least way between neighbours of the pattern. */
export function leastStep(points: readonly GridPoint[]): number {
  const by = new Map(points.map((p) => [`${p.i},${p.j}`, p]))
  const steps = points.flatMap((p) =>
    [by.get(`${p.i + 1},${p.j}`), by.get(`${p.i},${p.j + 1}`)].flatMap((q) =>
      q === undefined ? [] : [Math.sqrt((q.x - p.x) ** 2 + (q.y - p.y) ** 2)],
    ),
  )
  return Math.min(...steps)
}
