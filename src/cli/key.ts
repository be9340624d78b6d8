/** Options of `key`: an element before a coloured screen, without it. */
import { type Command, Option } from 'commander'
import { curveNames, matrixNames, primariesNames } from '../core/index.js'
import type { KeyArguments } from './commands/key.js'
import { jobOf, type Machine, machine } from './machine.js'
import type { Run } from './run.js'
import { angle, frames, ground, place, polygonOrFile, share, signedWithin } from './values.js'

/** px */
const FARTHEST = 64

export function keyCommand(c: Command, run: Run): void {
  machine(c)
    .requiredOption('--out <path>', 'the sequence: name.####.exr or a folder')
    .option('--frames <range>', 'frames of the file, 0-based, both ends included; default: all', frames)
    .option('--at <x,y>', 'a place where the first of them shows the screen alone', (text: string) =>
      place(text),
    )
    .option(
      '--wall <x,y>',
      'a place where the first of them shows a plain light or dark wall alone: keyed by its light',
      (text: string) => place(text, '--wall'),
    )
    .option(
      '--clean <ground>',
      'the ground alone: a file, or linear light as red,green,blue',
      ground('--clean'),
    )
    .option(
      '--clean-frames <range>',
      'frames of it, or of the file itself, that show the ground alone',
      frames,
    )
    .option('--other <file>', 'the same pictures before a second ground: alpha then follows exactly')
    .option('--other-clean <ground>', 'that ground alone', ground('--other-clean'))
    .option(
      '--outside <polygon>',
      'nothing is kept within: "x,y x,y x,y" in pixels, or a matte\'s file; may be given again',
      polygonOrFile('--outside'),
    )
    .option(
      '--covered <polygon>',
      'all is the element within, the same; may be given again',
      polygonOrFile('--covered'),
    )
    .option('--matte <file>', 'what the element covers, as a file: no screen is looked for')
    .option(
      '--edge-out <px>',
      'edges go so far outward, inward where it is below 0',
      signedWithin('--edge-out', FARTHEST),
    )
    .option(
      '--edge-wider <px>',
      'edges become so much wider, narrower where it is below 0',
      signedWithin('--edge-wider', FARTHEST),
    )
    .addOption(
      new Option('--spill <share>', "how much of the screen's light on the element is taken off, 0 to 1")
        .argParser(share('--spill'))
        .default(1),
    )
    .option(
      '--shutter <degrees>',
      'angle of the shutter that filmed it, for streaks of fast limbs; default: as its streaks tell',
      angle('--shutter'),
    )
    .option(
      '--alone',
      'each frame by itself: edges are not looked at beside those of the frames before and after',
    )
    .addOption(new Option('--curve <curve>', 'its curve, where its tags do not say it').choices(curveNames))
    .addOption(new Option('--primaries <primaries>', 'its primaries').choices(primariesNames))
    .addOption(new Option('--matrix <matrix>', 'its matrix').choices(matrixNames))
    .addOption(new Option('--range <range>', 'its range').choices(['limited', 'full']))
    .option('--fresh', 'start over; else what was broken off goes on from its whole frames')
    .addHelpText('after', HELP)
    .action((file: string, o: KeyArguments & Machine) =>
      run(async (job) => (await import('./commands/key.js')).key(file, o, jobOf(job, o))),
    )
}

const HELP = `
Any screen of one saturated colour will do: its colour is told off the file, its light frame by frame and place by place, so
uneven light, shadows on it and a camera's drift are taken along. Where it surely is, alpha is 0, and 1 where the element surely is;
between them each pixel is taken apart by the screen behind it and the element's colours around it. With the ground filmed alone by a
camera that stood still (--clean) it may be any wall: folds and marks go, and what looks like the wall stays a hole unless it is drawn
in (--covered). Edges are followed from frame to frame: their flicker is taken out along their motion, and the streak of a fast limb has
its whole length again (--shutter where its angle is known). Pictures made twice before two known grounds (--other) need no guess: smoke and glass come back as they are.

What comes out is premultiplied linear light in the file's own primaries, sound left out: name it as an element, alpha
"premultiplied". Ends with 1 where frames show no screen.

Example:
  platefit key runner.mov --out runner.keyed.####.exr
  platefit key runner.mov --frames 40-160 --at 120,80 --out runner.keyed.####.exr
  platefit key runner.mov --clean-frames 200-240 --out runner.keyed.####.exr
  platefit key wall.mov --clean wall.empty.mov --outside "0,0 300,0 300,1080 0,1080" --out guest.####.exr
  platefit key dancer.mov --wall 40,40 --outside lamps.png --edge-out -0.5 --out dancer.####.exr
  platefit key runner.mov --matte runner.drawn.####.png --clean runner.empty.mov --out runner.####.exr
  platefit key puff.black.####.exr --clean 0,0,0 --other puff.white.####.exr --other-clean 1,1,1 --out puff.####.exr`
