/** Options of `track`: what is followed, and a track that the document has not yet. */
import { type Command, Option } from 'commander'
import type { NewTrack } from '../engine/track/add.js'
import { type Motion, motions } from '../shot/trackSchema.js'
import type { Run } from './run.js'
import { frameNumber, places } from './values.js'

/** As commander gives them. */
interface Given {
  readonly again?: true
  readonly point?: [number, number][]
  readonly region?: [number, number][]
  readonly camera?: true
  readonly file?: string
  readonly export?: string
  readonly exportPoints?: string
  readonly motion?: Motion
  readonly frame?: number
  readonly id?: string
}

export function trackCommand(c: Command, run: Run): void {
  c.option('--again', 'follow them anew, though nothing that they depend on has changed')
    .addOption(
      new Option('--point <x,y>', 'add a track of this place in plate pixels; may stand several times')
        .argParser(places('--point'))
        .conflicts(['region', 'camera']),
    )
    .addOption(
      new Option('--region <x,y...>', 'add a track of what lies within this outline')
        .argParser(places('--region'))
        .conflicts('camera'),
    )
    .option('--camera', 'add a track of the whole picture')
    .addOption(
      new Option(
        '--file <path>',
        'add a track that was made elsewhere: points, matrices or camera angles, .csv or .json',
      ).conflicts(['point', 'region', 'camera']),
    )
    .option('--export <path>', 'write the matrices of the one track that is named, .csv or .json')
    .option('--export-points <path>', 'write where its points were seen, .csv or .json')
    .addOption(
      new Option(
        '--motion <kind>',
        'how the new track may move; mesh: a region that bends, as cloth and skin do; default: what the evidence allows',
      ).choices(motions),
    )
    .option(
      '--frame <n>',
      'frame of the shot, 0-based, on which the new track is drawn; default: 0, or the first one of its file',
      frameNumber('--frame'),
    )
    .option('--id <name>', 'name of the new track')
    .addHelpText('after', HELP)
    .action((shot: string, ids: string[], o: Given) =>
      run(async (job) =>
        (await import('./commands/track.js')).track(
          shot,
          ids,
          { again: o.again === true, out: { matrices: o.export, points: o.exportPoints }, ...added(o) },
          job,
        ),
      ),
    )
}

const HELP = `
Without names all tracks of the document are made, or the one that is added. What came of each lies in NAME.tracks/
beside the document. A track of which nothing has changed (the plate, its lens, what is asked) is not followed again.

Every frame is compared with how it looked on the reference frame, so that errors do not add up; where that no longer shows, with
a later look, which is said. Ends with 1 when a track is lost
somewhere or known there to no more than 2 px (wide), or the picture jumps, with 2 when there is nothing to hold on to.

A file that was made elsewhere holds comma-separated rows under one of these headers:
  frame,x,y   frame,x,y,name                 points
  frame,m1,m2,m3,m4,m5,m6,m7,m8,m9           3 × 3 matrices, row by row
  frame,pan,tilt,roll,focal                  a camera that turns: degrees (right, up, clockwise), focal length in pixels
Remarks before the header say how it is meant; what they do not say is assumed (the first value), and told:
  # pixel centres: half | whole              the first pixel's centre is 0.5, 0.5 or 0, 0
  # first frame: 0                           its number of the shot's first frame
  # size: WIDTH HEIGHT                       of the picture that it was made on; assumed: the plate's
  # y: down | up
  # middle: X Y                              of the lens, for angles; assumed: the plate's
  # bridged: N N N                           frames whose matrices were carried over from both sides; assumed: none
As JSON: { "pixelCentres", "firstFrame", "size": [W, H], "y", "bridged": [N, N], "frames": [{ "frame": 0, "matrix": [9 numbers] }] },
or "corners": [4 places] instead of "matrix"; or "points": [{ "name", "seen": [[frame, x, y]] }] instead of "frames". When the file
changes, the track is made anew. --export writes matrices the same way, without the frames on which the track is lost and with those
that were bridged named; --export-points writes points; neither writes over another file.

Example:
  platefit track shore.shot.json
  platefit track shore.shot.json --point 812.5,430 --id post
  platefit track shore.shot.json --region 600,200 980,210 970,540 610,530 --frame 24 --id wall
  platefit track shore.shot.json --file wall.csv --id wall
  platefit track shore.shot.json wall --export wall.json --export-points wall-points.csv
  platefit track shore.shot.json --region 410,300 560,300 560,470 410,470 --motion mesh --id shirt`

function added({ point, region, camera, file, motion, frame, id }: Given): { add?: NewTrack } {
  const how = { reference: frame, id, ...(motion === undefined ? {} : { motion }) }
  if (point === undefined && region === undefined && camera === undefined && file === undefined) {
    return frame === undefined && id === undefined && motion === undefined ? {} : { add: how }
  }
  return { add: { points: point, region, camera: camera === true, file, ...how } }
}
