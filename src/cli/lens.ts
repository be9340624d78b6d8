/** Commands of the lens link: how the plate's lens bends straight lines. */
import { type Command, Option } from 'commander'
import { Problem } from '../core/index.js'
import { mapWayNames } from '../engine/lens/mapWords.js'
import type { Run } from './run.js'
import { frames, place, positive, share } from './values.js'

const WAY =
  'to-straight: where each pixel of the plate lies without distortion; to-plate: where the plate shows each pixel without'

/** As the vision room names them. */
const markSets = ['4x4', '5x5', '6x6', '7x7'].flatMap((bits) =>
  [50, 100, 250, 1000].map((n) => `${bits}-${n}`),
)

type Make = (name: string, summary: string) => Command

export function lensCommands(make: Make, run: Run): void {
  make('lens <shot>', "find how the plate's lens bends straight lines, and write it into the document")
    .addOption(
      new Option(
        '--profile <words...>',
        'from a published profile: words of the maker and the model of the lens',
      ),
    )
    .option(
      '--focal <mm>',
      "of the profile; default: the document's camera.focalLengthMm",
      positive('--focal'),
    )
    .option('--folder <folder>', 'where the profiles lie; default: those of the package liblensfun-data-v1')
    .addOption(
      new Option(
        '--board <kind>',
        'from footage of a calibration pattern, by the lens and the settings of the plate',
      )
        .choices(['chessboard', 'dots', 'charuco'])
        .conflicts('profile'),
    )
    .option('--footage <files...>', 'of the pattern: a movie, a sequence, or stills')
    .addOption(
      new Option('--squares <columns,rows>', 'of a charuco board: its squares across and down').argParser(
        squares,
      ),
    )
    .option(
      '--mark <share>',
      'of a charuco board: side of a mark over that of a square',
      share('--mark'),
      0.75,
    )
    .addOption(
      new Option('--marks <set>', 'of a charuco board: bits and number of its marks').choices(markSets),
    )
    .addOption(
      new Option(
        '--map <file>',
        'from a distortion map: an OpenEXR file or sequence, places in its channels R and G',
      ).conflicts(['profile', 'board']),
    )
    .addOption(new Option('--way <way>', WAY).choices(mapWayNames).default('to-straight'))
    .option(
      '--frames <range>',
      'of the shot, that lines are looked for on; default: three over the shot',
      frames,
    )
    .addOption(
      new Option(
        '--region <x,y,width,height>',
        'lines count within this alone; may stand several times',
      ).argParser(regions),
    )
    .addHelpText(
      'after',
      `
Without a profile or a board: from edges of the plate that are straight in the scene, about the picture's middle. Things that are
bent themselves disagree with each other and do not count; keep them out with --region where they are most of what is there.

A profile says its lateral aberration and, where camera.fNumber is known, the fall-off toward the corners too; fit keeps these
where it sees nothing of them on the plate itself.

Of a chessboard or a grid of dots any part may be seen, and its size need not be told; five views at least that lean different
ways and reach into the corners of the picture.

What was set by hand stays. Ends with 1 when it cannot be told; the document is then as it was.

Example:
  platefit lens shore.shot.json
  platefit lens shore.shot.json --profile canon 24-70mm f/2.8L II
  platefit lens shore.shot.json --board chessboard --footage board.mov
  platefit lens shore.shot.json --board charuco --squares 8,11 --marks 5x5-100 --footage board.mov`,
    )
    .action((shot, o) => run(async (job) => (await import('./commands/lens.js')).lens(shot, o, job)))
  make('lens-map <shot>', "write the plate's lens as a distortion map, for other hands")
    .requiredOption(
      '--out <file>',
      'name.exr: single floats, channels R and G; name.####.exr for a file a frame',
    )
    .addOption(new Option('--way <way>', WAY).choices(mapWayNames).default('to-straight'))
    .addHelpText(
      'after',
      `
R = x / width and G = y / height of a place in pixels from the picture's upper left edge, right and down; pixel centres lie at
(column + 1/2, row + 1/2), so that a map which bends nothing holds (0.5 / width, 0.5 / height) in its first pixel.

Example:
  platefit lens-map shore.shot.json --out shore-lens.exr`,
    )
    .action((shot, o) => run(async () => (await import('./commands/lensMap.js')).lensMap(shot, o)))
  make('lenses [words...]', 'list published lens profiles whose names hold these words')
    .option('--folder <folder>', 'where they lie; default: those of the package liblensfun-data-v1')
    .addHelpText('after', '\nExample:\n  platefit lenses canon 24-70mm')
    .action((words, o) => run(async () => (await import('./commands/lenses.js')).lenses(words, o.folder)))
}

function squares(text: string): { columns: number; rows: number } {
  const { x: columns, y: rows } = place(text, '--squares')
  if (Number.isInteger(columns) && Number.isInteger(rows) && Math.min(columns, rows) > 1)
    return { columns, rows }
  throw new Problem({
    code: 'cli.value',
    what: 'This does not fit --squares',
    expected: 'whole numbers above 1, such as 8,11',
    received: text,
  })
}

interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

function regions(text: string, before: readonly Box[] = []): Box[] {
  const numbers = text.split(',').map((t) => (t.trim() === '' ? Number.NaN : Number(t)))
  const [x = 0, y = 0, width = 0, height = 0] = numbers
  if (numbers.length === 4 && numbers.every(Number.isFinite) && width > 0 && height > 0)
    return [...before, { x, y, width, height }]
  throw new Problem({
    code: 'cli.value',
    what: 'This does not fit --region',
    expected: 'left, top, width and height in pixels, such as 0,0,640,360',
    received: text,
  })
}
