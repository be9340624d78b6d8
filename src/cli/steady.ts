/** Options of `steady`: a moving plate held still to work on, and what was made on it put back. */
import { type Command, Option } from 'commander'
import type { DeliveryFormat } from '../media/index.js'
import type { Run } from './run.js'
import { frames } from './values.js'

/** As commander gives them. */
interface Given {
  readonly track?: string
  readonly out?: string
  readonly format?: DeliveryFormat
  readonly overscan?: true
  readonly frames?: { readonly first: number; readonly count: number }
  readonly put?: string
  readonly note?: string
}

export function steadyCommand(c: Command, formats: readonly string[], run: Run): void {
  c.option('--track <id>', 'track whose motion is taken out')
    .addOption(
      new Option('--out <path>', 'a movie file; for a sequence name.####.exr or a folder').conflicts('put'),
    )
    .addOption(new Option('--format <format>', 'how to write it').choices(formats))
    .option('--overscan', 'grow the picture so that no frame is cut')
    .option('--frames <range>', 'frames of the shot, 0-based, both ends included', frames)
    .addOption(
      new Option('--put <file>', 'put back what was painted: a picture or sequence with alpha').conflicts([
        'track',
        'format',
        'overscan',
        'frames',
      ]),
    )
    .option('--note <file>', 'with --put: the NAME.steady.json that lies beside the steadied picture')
    .addHelpText('after', HELP)
    .action((shot: string, o: Given) =>
      run(async (job) => (await import('./commands/steady.js')).steady(shot, o, job)),
    )
}

const HELP = `
The plate is written as the track's reference frame would see it, on every frame the track knows; what lies where is in
NAME.steady.json beside it. Paint on one frame or on all of them, keep what was painted alone, with alpha and in the
steadied picture's size, and put it back: it becomes an element that goes with the track. Only what it covers is drawn
anew; the plate keeps its own samples. Ends with 1 where the track is lost on some of the frames.

Example:
  platefit steady shore.shot.json --track wall --out fx/wall.####.exr --format exr-half --overscan
  platefit steady shore.shot.json --put fx/wall-painted.exr --note fx/wall.steady.json`
