/** Options of `suit`: what a person knows of the plate and of the elements. */
import { type Command, Option } from 'commander'
import type { KnownFacts, LightSide, Nature } from '../engine/suit/types.js'
import { jobOf, type Kept, type Machine, withCache } from './machine.js'
import type { Run } from './run.js'
import { count, frameRate, place, positive, signed } from './values.js'

const SIDES = ['left', 'right', 'front', 'back']

/** As commander gives them; what was not told is absent. */
interface Given extends Machine, Kept {
  readonly plate: string
  readonly sheet?: string
  readonly at?: { x: number; y: number }
  readonly scale?: number
  readonly heightPx?: number
  readonly height?: number
  readonly distance?: number
  readonly focalLength?: number
  readonly sensorWidth?: number
  readonly frames?: number
  readonly rate?: { num: number; den: number }
  readonly plateRate?: { num: number; den: number }
  readonly nature?: Nature
  readonly stops?: number
  readonly cameraHeight?: number
  readonly elementCameraHeight?: number
  readonly elementDistance?: number
  readonly lightSide?: LightSide
  readonly elementLightSide?: LightSide
}

export function suitCommand(c: Command, run: Run): void {
  const metres = (flag: string, what: string) => c.option(`${flag} <m>`, what, positive(flag))
  c.requiredOption('--plate <file>', 'the plate that they are to stand in')
    .option('--at <x,y>', "where the element's middle lies, in plate pixels", (text: string) => place(text))
    .addOption(
      new Option('--scale <s>', 'plate pixels per element pixel')
        .argParser(positive('--scale'))
        .conflicts(['heightPx', 'height']),
    )
    .addOption(
      new Option('--height-px <px>', "or: height of the element's picture in plate pixels")
        .argParser(positive('--height-px'))
        .conflicts('height'),
    )
  metres(
    '--height',
    "or: real height of the element's picture; with --distance, --focal-length, --sensor-width",
  )
  metres('--distance', 'from the camera')
  c.option('--focal-length <mm>', 'of the plate', positive('--focal-length'))
    .option(
      '--sensor-width <mm>',
      "of the plate: its side along the picture's width as shown",
      positive('--sensor-width'),
    )
    .option('--frames <n>', 'plate frames that it has to last', count('--frames'))
    .option('--rate <r>', 'frames a second of elements that are picture files', frameRate('--rate'))
    .option('--plate-rate <r>', 'frames a second of a plate that is picture files', frameRate('--plate-rate'))
    .addOption(
      new Option('--nature <nature>', 'what they do with light').choices(['emits', 'absorbs', 'reflects']),
    )
    .option('--stops <n>', 'exposure that they will be given', signed('--stops'))
  metres('--camera-height', 'camera over the foot of the element, plate')
  metres('--element-camera-height', 'the same when the element was shot')
  metres('--element-distance', 'from the camera when the element was shot')
  c.addOption(new Option('--light-side <side>', 'where the light of the plate comes from').choices(SIDES))
    .addOption(new Option('--element-light-side <side>', 'and that of the element').choices(SIDES))
    .option('--sheet <file>', 'also write a page with a picture of each, .html')
    .addHelpText('after', HELP)
    .action((elements: string[], o: Given) =>
      run((job) =>
        withCache(jobOf(job, o), o, async (j) =>
          (await import('./commands/suit.js')).suit(elements, optionsOf(o), j),
        ),
      ),
    )
}

const HELP = `
An element is a movie, a picture, numbered pictures, or a folder of such. What is not told is not guessed: its line says
"cannot tell" and what to tell. Ends with 0 when nothing is poor or unfit, with 1 otherwise, with 2 when a file could
not be read (the others are judged all the same).

The sensor's width is the side that the picture's width was shot with, as the picture is shown: of a camera or phone held
upright the sensor's short side; of a crop, the part that was used.

What differs from element to element stands in platefit.facts.json beside them, by name; * stands for any letters:
  { "fire*.mov": { "height": 4, "cameraHeight": 1.6, "distance": 12, "lightSide": "left" },
    "seq/smoke": { "nature": "absorbs", "rate": "25" } }
height is that of the element's picture, cameraHeight and distance are those it was shot from, in metres.

Example:
  platefit suit fire.mov --plate shore.mov --at 1180,620 --height-px 320 --frames 48
  platefit suit elements/ --plate shore.mov --height 4 --distance 30 --focal-length 35 --sensor-width 23.5 --sheet fires.html`

function optionsOf(o: Given): { plate: string; sheet?: string; known: KnownFacts } {
  const { plate, sheet, height, distance, focalLength, sensorWidth, cameraHeight, ...same } = o
  const {
    elementCameraHeight,
    elementDistance,
    workers: _w,
    memory: _m,
    cache: _c,
    cacheSize: _s,
    ...rest
  } = same
  const known: KnownFacts = {
    ...rest,
    heightM: height,
    distanceM: distance,
    focalLengthMm: focalLength,
    sensorWidthMm: sensorWidth,
    cameraHeightM: cameraHeight,
    elementCameraHeightM: elementCameraHeight,
    elementDistanceM: elementDistance,
  }
  return sheet === undefined ? { plate, known } : { plate, sheet, known }
}
