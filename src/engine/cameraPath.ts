/** Where a shot's camera went, in metres: from a file, from a planned move, or from two tracks whose distances are known. */
import { readFile } from 'node:fs/promises'
import type { CameraPath, Standing } from '../chain/place/parallax/path.js'
import { cameraWent, type Seen } from '../chain/place/parallax/translation.js'
import { Problem } from '../core/index.js'
import type { Shot } from '../shot/schema.js'
import type { Track } from '../shot/trackSchema.js'
import { DOUBT } from './plateSight.js'
import { type KnownTrack, type TracksFound, trackOf } from './tracks.js'

const COLUMNS = ['frame', 'right', 'down', 'forward'] as const

/**
 * A table with the columns frame, right, down and forward (metres), in any order.
 * @throws Problem `engine.path-unreadable`, `engine.path-frames`
 */
export async function readPath(file: string): Promise<CameraPath> {
  const text = await readFile(file, 'utf8').catch(() => undefined)
  const [head = '', ...rows] = (text ?? '').split(/\r?\n/).filter((l) => l.trim() !== '')
  const names = head.split(',').map((n) => n.trim().toLowerCase())
  const columns = COLUMNS.map((c) => names.indexOf(c))
  const cells = rows.map((row) => row.split(',').map((v) => (v.trim() === '' ? Number.NaN : Number(v))))
  const bad = cells.findIndex((c) => !columns.every((k) => Number.isFinite(c[k])))
  if (text === undefined || columns.includes(-1) || rows.length === 0 || bad >= 0) {
    throw new Problem({
      code: 'engine.path-unreadable',
      what: text === undefined ? 'The camera path cannot be read' : 'This is no camera path',
      where: bad >= 0 && !columns.includes(-1) ? `${file}: line ${bad + 2}` : file,
      expected: 'a line "frame,right,down,forward" and under it one line a frame, in metres',
      remedy: 'Write the numbers as 0.25, with a full stop, and leave no cell empty.',
    })
  }
  const path = cells.map((c): Standing => {
    const [frame = 0, right = 0, down = 0, forward = 0] = columns.map((k) => c[k])
    return { frame, right, down, forward }
  })
  path.sort((a, b) => a.frame - b.frame)
  const wrong = path.findIndex(({ frame }, i) => frame !== (path[0]?.frame ?? 0) + i)
  if (wrong >= 0 || !Number.isInteger(path[0]?.frame) || (path[0]?.frame ?? 0) < 0)
    throw new Problem({
      code: 'engine.path-frames',
      what: 'A camera path has one line for every frame: what lies between two of them is not known',
      where: file,
      expected: 'whole frames of the shot, 0-based, each once and none left out',
      received:
        wrong > 0
          ? `${path[wrong]?.frame} after ${path[wrong - 1]?.frame}`
          : `${path[0]?.frame} as the first`,
      remedy: 'Write a line for each frame from the first one to the last.',
    })
  return path
}

export interface TrackedPath {
  readonly path: CameraPath
  /** Largest standard deviation over the shot of each part that is told, m. */
  readonly sd: Readonly<Record<Part, number>>
  /** What cannot be told, and on how many frames; it counts as not moved. */
  readonly untold: readonly string[]
  /** Tracks that it comes from. */
  readonly from: readonly string[]
}

const PARTS = ['right', 'down', 'forward'] as const
type Part = (typeof PARTS)[number]

/** From the shot's own tracks; a sentence where they do not tell it. @throws Problem as `trackOf` */
export function trackedPath(
  shot: Shot,
  tracks: TracksFound,
  plate: { readonly width: number; readonly height: number },
  focalPx: number,
  reference: number,
): TrackedPath | string {
  const usable = shot.tracks.flatMap((t) => {
    const distanceM = t.distanceM ?? shot.elements.find((e) => e.follow?.track === t.id)?.distanceM
    return distanceM === undefined || t.data === undefined ? [] : [{ track: t, distanceM }]
  })
  if (new Set(usable.map((u) => u.distanceM)).size < 2)
    return 'two tracks at different known distances are needed (tracks[].distanceM), one of them near'
  const placed = usable.map((u) => {
    return { ...u, data: trackOf(tracks, u.track.id), places: placesOf(u.track) }
  })
  const frames = placed.reduce<number[]>(
    (all, p) => all.filter((f) => p.data.frames.some((x) => x.frame === f && x.state !== 'lost')),
    placed[0]?.data.frames.map((f) => f.frame) ?? [],
  )
  const path: Standing[] = []
  const sd = { right: 0, down: 0, forward: 0 }
  const lost = new Map<string, number>()
  for (const frame of frames) {
    const seen = placed.flatMap((p) => seenPlaces(p, plate, reference, frame))
    const went = cameraWent(focalPx, seen)
    const now = { frame, right: 0, down: 0, forward: 0 }
    for (const part of PARTS) {
      const told = went[part]
      if ('cannotTell' in told) {
        const why = `${part}: ${told.cannotTell.replace(/known to [\d.e-]+ m only/, 'known too poorly')}`
        lost.set(why, (lost.get(why) ?? 0) + 1)
        continue
      }
      now[part] = told.metres
      sd[part] = Math.max(sd[part], told.sd)
    }
    path.push(now)
  }
  if (path.length === 0) return 'there is no frame on which the tracks with known distances are all seen'
  const untold = [...lost].map(([why, n]) => `${why} (${n} of ${frames.length} frames)`)
  return { path, sd, untold, from: usable.map((u) => u.track.id) }
}

type Pair = readonly [number, number]

/** Corners of what is followed, on the track's reference frame: its matrix holds there. */
function placesOf({ points, region }: Track): Pair[] {
  const all = region ?? points ?? []
  const [xs, ys] = [all.map((p) => p[0]), all.map((p) => p[1])]
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  return all.length === 0
    ? []
    : [
        [left, top],
        [right, top],
        [left, bottom],
        [right, bottom],
      ]
}

function seenPlaces(
  { data, places, distanceM }: { data: KnownTrack; places: readonly Pair[]; distanceM: number },
  plate: { readonly width: number; readonly height: number },
  reference: number,
  frame: number,
): Seen[] {
  const at = (n: number) => data.frames.find((f) => f.frame === n)
  const [before, now] = [at(reference), at(frame)]
  if (before === undefined || now === undefined) return []
  const centred = ([x, y]: Pair): Pair => [x - plate.width / 2, y - plate.height / 2]
  return places.map((p) => ({
    from: centred(carried(before.matrix, p)),
    to: centred(carried(now.matrix, p)),
    sd: now.spreadPx,
    distanceM,
    distanceSd: DOUBT.trackDistance * distanceM,
  }))
}

function carried(m: readonly number[], [x, y]: Pair): Pair {
  const row = (i: number) => (m[i] as number) * x + (m[i + 1] as number) * y + (m[i + 2] as number)
  return [row(0) / row(6), row(3) / row(6)]
}
