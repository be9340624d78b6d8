/** Commands of the lens link: how the plate's lens bends straight lines. */
import { type Command, Option } from 'commander'
import type { Run } from './run.js'
import { positive } from './values.js'

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
    .addHelpText(
      'after',
      `
What was set by hand stays. Ends with 1 when it cannot be told; the document is then as it was.

Example:
  platefit lens shore.shot.json --profile canon 24-70mm f/2.8L II`,
    )
    .action((shot, o) => run(async () => (await import('./commands/lens.js')).lens(shot, o)))
  make('lenses [words...]', 'list published lens profiles whose names hold these words')
    .option('--folder <folder>', 'where they lie; default: those of the package liblensfun-data-v1')
    .addHelpText('after', '\nExample:\n  platefit lenses canon 24-70mm')
    .action((words, o) => run(async () => (await import('./commands/lenses.js')).lenses(words, o.folder)))
}
