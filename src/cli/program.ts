/** Names, arguments and help of the commands. Each command's work is loaded when it runs, so that help is quick. */
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { Argument, Command, Option } from 'commander'
import { engineVersion } from '../engine/version.js'
import { carryCommand } from './carry.js'
import { treatmentHelp } from './help.js'
import { keyCommand } from './key.js'
import { lensCommands } from './lens.js'
import { cacheOptions, cachePlace, jobOf, kept, machine, withCache } from './machine.js'
import { placeCommands } from './place.js'
import type { Run } from './run.js'
import { shutterCommands } from './shutter.js'
import { steadyCommand } from './steady.js'
import { suitCommand } from './suit.js'
import { trackCommand } from './track.js'
import { collect, count, frameNumber, frames, share } from './values.js'

const FORMATS = ['prores-422-hq', 'prores-4444', 'dnxhr-hqx', 'h264-preview', 'exr-half', 'png-16']
const LINKS = ['source', 'light', 'air', 'lens', 'shutter', 'sensor']
const VARIANTS = ['result', 'plain', 'null']

/** The world with known truth is test code: it stands in a clone and not in an installed package. */
const demoFile = fileURLToPath(new URL('../worlds-build/test/worlds/demo.js', import.meta.url))

export function program(run: Run): Command {
  const p = new Command('platefit')
    .description(
      "Fits effect elements into live-action plates by measuring the plate's light, air, lens and grain.",
    )
    .version(engineVersion())
    .addHelpText(
      'after',
      `
Exit codes:
  0    fine
  1    the work is done and found something to mend (diagnose, suit, track, steady, carry, key, distance, budget, check)
  2    wrong use or wrong input
  3    the work failed
  130  interrupted by Ctrl-C; nothing unfinished is left under a final name, whole parts of a render are kept

Example:
  platefit new --plate shore.mov --element smoke.mov
  platefit fit shore.shot.json
  platefit render shore.shot.json --out shore-fx.mov --format prores-422-hq
  platefit check shore.shot.json shore-fx.mov`,
    )
  first(p, run)
  weaken(p, run)
  work(p, run)
  look(p, run)
  judge(p, run)
  placeCommands((name, summary) => command(p, name, summary), run)
  lensCommands((name, summary) => command(p, name, summary), run)
  shutterCommands((name, summary) => command(p, name, summary), run)
  page(p, run)
  upkeep(p, run)
  if (existsSync(demoFile)) {
    command(p, 'demo', 'make a world with known truth, fit, render, check and report it, print the scores')
      .option('--out <folder>', 'where the files go', 'demo')
      .option('--seed <n>', 'another world of the same kind', count('--seed'))
      .addHelpText('after', '\nExample:\n  platefit demo --out demo')
      .action(async (o) => (await import('./commands/demo.js')).demo(demoFile, o))
  }
  return p
}

function first(p: Command, run: Run): void {
  command(p, 'new', 'write a first shot document from a plate and its elements')
    .requiredOption(
      '--plate <file>',
      'the plate: a movie, a first file of a sequence, name.####.exr or a folder',
    )
    .option('--element <file>', 'an element; may stand several times', collect)
    .option('--out <file>', "the document; default: the plate's name with .shot.json, in this folder")
    .addHelpText(
      'after',
      '\nExample:\n  platefit new --plate shore.mov --element smoke.mov --element fire.mp4',
    )
    .action((o) => run(async () => (await import('./commands/new.js')).create(o)))
  command(p, 'diagnose <files...>', 'say what files are and what is wrong with them')
    .addHelpText(
      'after',
      '\nExample:\n  platefit diagnose shore.mov elements/smoke.####.exr\n  platefit diagnose elements/smoke.mov --fix shore.shot.json',
    )
    .option('--all', 'read every frame instead of a sample')
    .option('--fix <shot>', 'write what is suggested into this shot document')
    .option('--layer <name>', 'OpenEXR: look at this layer, channel or part')
    .option('--still', 'look at the one picture that is named, not at the sequence it may begin')
    .action((files, o) =>
      run(async (job) => (await import('./commands/diagnose.js')).diagnose(files, o, job)),
    )
  suitCommand(
    kept(
      machine(command(p, 'suit <elements...>', 'say whether elements are fit for a plate, and rank them')),
    ),
    run,
  )
  command(p, 'set <shot> <element> <treatment> [values...]', 'set a treatment by hand; a new fit keeps it')
    .option('--note <text>', 'why')
    .option(
      '--form <name>',
      'the model that the numbers belong to, of treatments that know several; default: the one in the document, or the first',
    )
    .option('--clear', 'take the treatment out, so that the next fit derives it')
    .addHelpText('after', `\nThe element is an id of the document, or plate.\n\n${treatmentHelp()}`)
    .addHelpText(
      'after',
      '\nExample:\n  platefit set shore.shot.json smoke lens.blurRadius 2.5 --note "by eye"',
    )
    .action((shot, element, treatment, values, o) =>
      run(async () => (await import('./commands/set.js')).set(shot, element, treatment, values, o)),
    )
}

function weaken(p: Command, run: Run): void {
  command(p, 'link <shot> <element>', 'do less of what a link does to an element, or leave it out')
    .addArgument(new Argument('<link>', 'step of the path').choices(LINKS))
    .option(
      '--strength <share>',
      '1: the treatment as it stands, 0: as if the link did nothing',
      share('--strength'),
    )
    .option('--off', 'leave it out, and keep its strength for later')
    .option('--on', 'take it in again')
    .addHelpText(
      'after',
      `
The treatment itself stays in the document; a new fit does not change the strength. What a weakened link gives away,
check tells.

Example:
  platefit link shore.shot.json smoke air --strength 0.6`,
    )
    .action((shot, element, name, o) =>
      run(async () => (await import('./commands/link.js')).link(shot, element, name, o)),
    )
}

function work(p: Command, run: Run): void {
  kept(
    machine(
      command(p, 'measure <shot>', 'measure the plate and the elements, link by link; changes nothing'),
    ),
  )
    .addHelpText('after', '\nExample:\n  platefit measure shore.shot.json')
    .action((shot, o) =>
      run((job) =>
        withCache(jobOf(job, o), o, async (j) => (await import('./commands/measure.js')).measure(shot, j)),
      ),
    )
  kept(machine(command(p, 'fit <shot>', "derive every element's treatment and write it into the document")))
    .addHelpText('after', '\nWhat was set by hand stays.\n\nExample:\n  platefit fit shore.shot.json')
    .action((shot, o) =>
      run((job) =>
        withCache(jobOf(job, o), o, async (j) => (await import('./commands/fit.js')).fit(shot, j)),
      ),
    )
  trackCommand(
    command(
      p,
      'track <shot> [tracks...]',
      'follow points, regions or the camera over the plate, or take what was made elsewhere',
    ),
    run,
  )
  steadyCommand(
    command(p, 'steady <shot>', 'hold a moving plate still to paint on it, and put back what was painted'),
    FORMATS,
    run,
  )
  carryCommand(
    kept(
      command(p, 'carry <shot> <shape>', 'carry a shape from the frames on which it was drawn to the others'),
    ),
    run,
  )
  keyCommand(command(p, 'key <file>', 'take the coloured screen from behind an element'), run)
  machine(command(p, 'render <shot>', 'render the shot'))
    .requiredOption('--out <path>', 'a movie file; for a sequence name.####.exr or a folder')
    .addOption(new Option('--format <format>', 'how to write it').choices(FORMATS).makeOptionMandatory())
    .addOption(
      new Option('--variant <variant>', 'plain: elements laid over untreated; null: the plate alone')
        .choices(VARIANTS)
        .default('result'),
    )
    .option('--frames <range>', 'frames of the shot, 0-based, both ends included', frames)
    .option('--fresh', 'start over; else a render that was broken off goes on from its whole parts')
    .option('--digests', "tell the SHA-256 of each frame's samples as the encoder gets them (with --json)")
    .addHelpText(
      'after',
      '\nExample:\n  platefit render shore.shot.json --out fx/shore.####.exr --format exr-half --frames 0-23',
    )
    .action((shot, o) =>
      run(async (job) => (await import('./commands/render.js')).render(shot, o, jobOf(job, o))),
    )
}

function look(p: Command, run: Run): void {
  machine(command(p, 'frame <shot>', 'one frame of the shot as a picture, at the size of a preview'))
    .requiredOption('--out <file>', 'the picture, .png: 8 bits, as the report shows it')
    .option('--frame <n>', 'frame of the shot, 0-based', frameNumber('--frame'), 0)
    .option('--width <px>', "of the picture; the plate's own where that is less", count('--width'), 960)
    .addHelpText(
      'after',
      `
Made from the files' light meant over the picture's larger pixels: quick, and near to what a render of that size
would be. Only a render is checked and delivered.

Example:
  platefit frame shore.shot.json --frame 24 --out shore-24.png`,
    )
    .action((shot, o) =>
      run(async (job) => (await import('./commands/frame.js')).frame(shot, o, jobOf(job, o))),
    )
}

function page(p: Command, run: Run): void {
  command(
    p,
    'serve [path]',
    'open a page on which a shot is placed, fitted, seen, rendered and checked by hand',
  )
    .option(
      '--port <n>',
      'port to listen on, of this machine alone; 0 takes a free one',
      frameNumber('--port'),
      0,
    )
    .option('--no-open', 'only print the address, do not open a browser')
    .addHelpText(
      'after',
      `
The path is a folder, or a shot document, whose folder is opened; without one, this folder. The page reaches what lies
there and nothing else. Every edit is in the shot document at once, where the other commands see it. With --json, one
line {"url", "port", "folder"} comes as soon as the page can be opened.

Example:
  platefit serve shots/shore`,
    )
    .action((path, o) => run(async (job) => (await import('./commands/serve.js')).serve(path ?? '.', o, job)))
}

function judge(p: Command, run: Run): void {
  kept(
    machine(
      command(p, 'check <shot> <rendered>', 'read a rendered file back and list what gives the effect away'),
    ),
  )
    .option('--all', 'show every tell, not only the first five')
    .option(
      '--meant <tell[:element]>',
      'mark a tell as wanted, in the document; may stand several times',
      collect,
    )
    .addHelpText('after', '\nExample:\n  platefit check shore.shot.json shore-fx.mov --meant blacks:smoke')
    .action((shot, rendered, o) =>
      run((job) =>
        withCache(jobOf(job, o), o, async (j) =>
          (await import('./commands/check.js')).check(shot, rendered, o, j),
        ),
      ),
    )
  kept(machine(command(p, 'report <shot> <rendered>', 'check, and write one page with pictures and numbers')))
    .requiredOption('--out <file>', 'the page, .html')
    .option('--plain <file>', 'the shot rendered with --variant plain, to compare with')
    .option(
      '--view <table>',
      "a .cube table to look through, given the plate's code values; nothing is measured through it",
    )
    .option(
      '--grade <decision>',
      'an ASC CDL file (.cc, .ccc, .cdl) to look under: on those code values, before the table',
    )
    .option('--grade-id <id>', 'which correction of the file, where it holds several')
    .addHelpText('after', '\nExample:\n  platefit report shore.shot.json shore-fx.mov --out shore.html')
    .action((shot, rendered, o) =>
      run((job) =>
        withCache(jobOf(job, o), o, async (j) =>
          (await import('./commands/report.js')).report(shot, rendered, o, j),
        ),
      ),
    )
}

function upkeep(p: Command, run: Run): void {
  cachePlace(command(p, 'cache', 'say what is kept between runs, and clear it'))
    .option('--clear', 'remove it all; it is made again when it is needed')
    .addHelpText('after', '\nExample:\n  platefit cache --clear')
    .action((o) =>
      run(async () => (await import('./commands/cache.js')).cache(cacheOptions(o), o.clear === true)),
    )
}

function command(p: Command, name: string, summary: string): Command {
  return p
    .command(name)
    .description(summary)
    .option('--json', 'one JSON document on standard output, errors too')
    .option('--debug', 'show where an unexpected error came from')
}
