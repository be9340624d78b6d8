/** Commands of the place link: how far away a thing is, and how far a flat stands a camera's move. */
import { type Command, Option } from 'commander'
import type { Run } from './run.js'
import { place, positive, share } from './values.js'

type Make = (name: string, summary: string) => Command

const MOVES = ['hand-held', 'slide', 'walk']

export function placeCommands(make: Make, run: Run): void {
  make('distance <shot> [element]', 'say how far away an element or a place is, each way with its error')
    .option('--at <x,y>', 'a place: where something touches the ground, plate pixels', (text: string) =>
      place(text),
    )
    .addOption(
      new Option('--height <m>', 'something there is so tall, facing the camera').argParser(
        positive('--height'),
      ),
    )
    .option('--height-px <px>', 'and takes so many pixels', positive('--height-px'))
    .option(
      '--contrast <share>',
      'share of its contrast that a dark thing keeps there, 0 to 1',
      share('--contrast'),
    )
    .addHelpText(
      'after',
      `
From camera.focalLengthMm and sensorWidthMm, and what else the document has: camera.heightM with site.horizon and the
element's foot, site.known, site.visibilityM. Ends with 1 when the element's size is wrong for its distance.

Example:
  platefit distance shore.shot.json smoke
  platefit distance shore.shot.json --at 812,640`,
    )
    .action((shot, element, o) =>
      run(async () => (await import('./commands/distance.js')).distance(shot, element, o)),
    )
  make('budget <shot> <element>', "say how far an element stands the camera's move as a flat picture")
    .addOption(
      new Option(
        '--path <file>',
        "the camera's path: CSV with frame, right, down, forward in metres",
      ).conflicts('move'),
    )
    .addOption(new Option('--move <kind>', 'a move that is planned').choices(MOVES))
    .option('--metres <m>', 'size of that move', positive('--metres'))
    .addHelpText(
      'after',
      `
Without a path or a move the camera's way is found from two tracks of the shot whose distances are known
(tracks[].distanceM, or the distance of an element that follows it). Ends with 1 when a limit is passed.

Example:
  platefit budget shore.shot.json smoke --move slide --metres 1.5`,
    )
    .action((shot, element, o) =>
      run(async () => (await import('./commands/budget.js')).budget(shot, element, o)),
    )
}
