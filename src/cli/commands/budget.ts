import { Problem } from '../../core/index.js'
import { type BudgetResult, budgetOf } from '../../engine/budget.js'
import { loadShot } from '../../engine/document.js'
import type { Outcome } from '../outcome.js'
import { table } from '../table.js'

export interface BudgetArguments {
  readonly path?: string
  readonly move?: 'hand-held' | 'slide' | 'walk'
  readonly metres?: number
}

const ROWS = 12

/** View change, internal parallax and slide over the shot; exit 1 when a limit is passed. */
export async function budget(path: string, element: string, o: BudgetArguments): Promise<Outcome> {
  if ((o.move === undefined) !== (o.metres === undefined))
    throw new Problem({ code: 'cli.usage', what: '--move and --metres make a planned move only together' })
  const { shot, folder } = await loadShot(path)
  const found = await budgetOf(shot, folder, element, { file: o.path, move: o.move, metres: o.metres })
  return { text: textOf(found), json: found, exit: found.overrun ? 1 : 0 }
}

function textOf(r: BudgetResult): string {
  const { frames, peak, first, limits, path } = r
  const row = (name: string, unit: string, key: keyof typeof limits) => [
    `  ${name}`,
    `${peak[key].toFixed(2)} ${unit}`,
    `${limits[key]} ${unit}`,
    first[key] === undefined ? 'holds' : `from frame ${first[key]}`,
  ]
  const internal =
    r.depthM === undefined
      ? ['  internal parallax', 'cannot tell', `${limits.internalPx} px`, '']
      : row('internal parallax', 'px', 'internalPx')
  const slide = row('slide of a still placement', 'px', 'slidePx')
  const step = Math.max(Math.ceil(frames.length / ROWS), 1)
  const some = frames.filter((_, i) => i % step === 0 || i === frames.length - 1)
  const sd =
    path.sd && ` (± ${path.sd.right.toFixed(3)}, ${path.sd.down.toFixed(3)}, ${path.sd.forward.toFixed(3)} m)`
  return [
    `${r.element}: ${r.distanceM} m away, ${r.depthM === undefined ? 'depth not known' : `${r.depthM} m deep`}, ${r.carried ? 'goes with a track' : 'goes with no track'}; camera from ${path.from}${sd ?? ''}`,
    table([
      ['', 'most', 'limit', ''],
      row('change of view', '°', 'viewDeg'),
      internal,
      r.carried ? [...slide.slice(0, 3), 'it is carried'] : slide,
    ]),
    table([
      ['frame', 'view °', 'internal px', 'slide px'],
      ...some.map((f) => [
        String(f.frame),
        f.viewDeg.toFixed(2),
        r.depthM === undefined ? '–' : f.internalPx.toFixed(2),
        f.slidePx.toFixed(2),
      ]),
    ]),
    [...path.untold.map((u) => `Cannot tell the camera's way ${u}; it counts as none.`), ...r.advice].join(
      '\n',
    ),
  ]
    .filter((p) => p !== '')
    .join('\n\n')
}
