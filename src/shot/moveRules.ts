/** Rules of what moves an element: tracks that it goes with, its own drift, its own time. */
import type { ProblemDetail } from '../core/index.js'
import type { Shot, ShotElement } from './schema.js'
import { unknownName } from './unknown.js'

export function moveFaults(shot: Shot): ProblemDetail[] {
  return [
    ...shot.tracks.flatMap((t, i) => duplicate(t.id, i, shot)),
    ...shot.elements.flatMap((e, i) => [
      ...follow(e, `elements[${i}]`, shot),
      ...drift(e, `elements[${i}]`, shot),
      ...time(e, `elements[${i}].time`),
    ]),
  ]
}

function duplicate(id: string, i: number, { tracks }: Shot): ProblemDetail[] {
  const first = tracks.findIndex((t) => t.id === id)
  if (first === i) return []
  return [
    {
      code: 'shot.duplicate-id',
      what: `The id "${id}" is taken by tracks[${first}]`,
      where: `tracks[${i}].id`,
      expected: 'an id of its own',
      received: `"${id}"`,
    },
  ]
}

function follow(e: ShotElement, where: string, shot: Shot): ProblemDetail[] {
  const f = e.follow
  if (f === undefined) return []
  const known = shot.tracks.map((t) => t.id)
  const unknown = [
    ...unknownName('track', f.track, `${where}.follow.track`, known),
    ...(f.after === undefined ? [] : unknownName('track', f.after, `${where}.follow.after`, known)),
  ]
  if (unknown.length > 0) return unknown
  if (f.after !== undefined && f.hold === undefined) {
    return [
      {
        code: 'shot.after-needs-hold',
        what: `"${e.id}" goes with "${f.after}" after nothing`,
        where: `${where}.follow.after`,
        expected: '"hold": "start" beside it',
        received: 'no "hold"',
        remedy: 'Add the hold, or follow this track alone.',
      },
    ]
  }
  return [
    ...uncovered(e, f.track, `${where}.follow.track`, shot),
    ...(f.after === undefined ? [] : uncovered(e, f.after, `${where}.follow.after`, shot)),
  ]
}

/** An element that shows before its track begins, or begins after its end. */
function uncovered(e: ShotElement, id: string, where: string, { tracks }: Shot): ProblemDetail[] {
  const range = tracks.find((t) => t.id === id)?.frames
  if (range === undefined) return []
  const last = range.first + range.count - 1
  const held = e.time?.hold === 'first' || e.time?.hold === 'both'
  const start = held ? 0 : Math.max(e.startFrame, 0)
  if (start >= range.first && start <= last) return []
  return [
    {
      code: 'shot.track-too-short',
      what: `"${e.id}" begins where its track "${id}" is not followed`,
      where,
      expected: `a track that holds frame ${start}`,
      received: `frames ${range.first} to ${last}`,
      remedy: 'Widen the frames of the track and follow it again, or leave them out to take all.',
    },
  ]
}

function drift(e: ShotElement, where: string, { camera }: Shot): ProblemDetail[] {
  if (e.drift === undefined) return []
  const need = (at: string, what: string, value: number | undefined): ProblemDetail[] =>
    value !== undefined
      ? []
      : [
          {
            code: 'shot.drift-needs',
            what: `Metres a second need ${what} to become pixels`,
            where: at,
            received: 'nothing',
            remedy: 'Say it, or move the element by keys.',
          },
        ]
  return [
    ...need(`${where}.distanceM`, "the element's distance", e.distanceM),
    ...need('camera.focalLengthMm', "the lens's focal length", camera.focalLengthMm),
    ...need('camera.sensorWidthMm', "the sensor's width along the picture's", camera.sensorWidthMm),
  ]
}

function time(e: ShotElement, where: string): ProblemDetail[] {
  const loop = e.time?.loop
  if (loop === undefined) return []
  const faults: ProblemDetail[] = []
  if (2 * loop.cross > loop.count) {
    faults.push({
      code: 'shot.loop-cross',
      what: `The crossings of "${e.id}" would run into each other`,
      where: `${where}.loop.cross`,
      expected: `at most half of the loop, ${Math.floor(loop.count / 2)}`,
      received: String(loop.cross),
    })
  }
  if (loop.first < e.trimFrames) {
    faults.push({
      code: 'shot.loop-trimmed',
      what: `The loop of "${e.id}" begins in what is left out at its head`,
      where: `${where}.loop.first`,
      expected: `at least ${e.trimFrames}, as "trimFrames" says`,
      received: String(loop.first),
    })
  }
  if (e.time?.hold === 'last' || e.time?.hold === 'both') {
    faults.push({
      code: 'shot.loop-holds',
      what: `"${e.id}" goes round, so it has no last picture to hold`,
      where: `${where}.hold`,
      expected: '"first", or none',
      received: `"${e.time.hold}"`,
    })
  }
  return faults
}
