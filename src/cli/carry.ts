/** Options of `carry`: a shape that was drawn on some frames goes to the others. */
import type { Command } from 'commander'
import { type Kept, withCache } from './machine.js'
import type { Run } from './run.js'
import { frameNumber, positive } from './values.js'

/** As commander gives them. */
interface Given extends Kept {
  readonly from?: number
  readonly to?: number
  readonly limit?: number
  readonly again?: true
}

export function carryCommand(c: Command, run: Run): void {
  c.option('--from <n>', 'first frame of the shot that is wanted, 0-based; default: 0', frameNumber('--from'))
    .option('--to <n>', 'last frame that is wanted; default: the last of the shot', frameNumber('--to'))
    .option('--limit <px>', 'stop where a point is known no better; default: 3', positive('--limit'))
    .option('--again', 'carry it anew, though nothing that it depends on has changed')
    .addHelpText('after', HELP)
    .action((shot: string, shape: string, o: Given) =>
      run((job) =>
        withCache(job, o, async (j) =>
          (await import('./commands/carry.js')).carry(
            shot,
            shape,
            { from: o.from, to: o.to, limitPx: o.limit, again: o.again === true },
            j,
          ),
        ),
      ),
    )
}

const HELP = `
From every key that was drawn by hand the outline goes forward and backward with what moves inside it, and is drawn to the
edge on which it lay. Between two keys both ways are blended, so a key that is drawn where it fails improves its neighbours.
Keys drawn by hand are never touched; those that were carried before are replaced. A shape that follows a track is carried
as it is seen, and what is left beside the track's motion is written. Ends with 1 when it stopped before the end.

Example:
  platefit carry shore.shot.json walker
  platefit carry shore.shot.json walker --from 20 --to 90 --limit 2`
