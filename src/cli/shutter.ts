/** Commands of the shutter link: which rows a flash lights. */
import type { Command } from 'commander'
import type { Run } from './run.js'
import { positive, signed } from './values.js'

type Make = (name: string, summary: string) => Command

export function shutterCommands(make: Make, run: Run): void {
  make(
    'flash <shot>',
    'say which rows of which frames a flash lights where rows are read one after the other',
  )
    .requiredOption(
      '--at <ms>',
      'when it begins, counted from the opening of the first row of frame 0',
      signed('--at'),
    )
    .requiredOption('--ms <ms>', 'how long it lasts', positive('--ms'))
    .addHelpText(
      'after',
      `
From camera.readoutMs, the shutter's angle, and the plate's rate and height. What one frame cuts off is in the next, or falls while
the shutter is closed.

Example:
  platefit flash shore.shot.json --at 510 --ms 2`,
    )
    .action((shot, o) => run(async () => (await import('./commands/flash.js')).flash(shot, o)))
}
