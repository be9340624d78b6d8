import { describe, expect, it } from 'vitest'
import { Problem } from '../core/index.js'
import { applyEdit } from './command.js'
import { parseShot } from './parse.js'

const fire = {
  id: 'fire',
  file: 'fire.mov',
  alpha: 'on-black',
  nature: 'emits',
  position: { x: 0, y: 0 },
  scale: 1,
}

function faults(element: object, rest: object = {}): string[] {
  const document = { platefit: 1, plate: { file: 'p.mov' }, elements: [{ ...fire, ...element }], ...rest }
  try {
    parseShot(document, 'test')
    return []
  } catch (e) {
    if (!(e instanceof Problem)) throw e
    return (e.detail.faults ?? [e.detail]).map((f) =>
      [f.code, f.where?.replace('test: ', ''), f.remedy].filter(Boolean).join(' | '),
    )
  }
}

const tracks = [{ id: 'wall' }, { id: 'camera', frames: { first: 10, count: 20 } }]

describe('what moves an element', () => {
  it('goes with tracks that are there, and says which one was meant', () => {
    expect(faults({ follow: { track: 'wall' } }, { tracks })).toEqual([])
    expect(faults({ follow: { track: 'wal' } }, { tracks })).toEqual([
      'shot.unknown-track | elements[0].follow.track | Did you mean "wall"?',
    ])
    expect(faults({}, { tracks: [...tracks, { id: 'wall' }] })[0]).toMatch(
      /^shot.duplicate-id \| tracks\[2\].id/,
    )
  })

  it('goes with a second track after a hold alone', () => {
    expect(faults({ follow: { track: 'wall', after: 'wall' } }, { tracks })[0]).toMatch(
      /^shot.after-needs-hold/,
    )
    expect(faults({ follow: { track: 'wall', hold: 'start', after: 'wall' } }, { tracks })).toEqual([])
  })

  it('begins where its track is followed', () => {
    const follow = { track: 'camera' }
    expect(faults({ follow, startFrame: 9 }, { tracks })[0]).toMatch(/^shot.track-too-short/)
    expect(faults({ follow, startFrame: 30 }, { tracks })[0]).toMatch(/^shot.track-too-short/)
    expect(faults({ follow, startFrame: 10 }, { tracks })).toEqual([])
    expect(faults({ follow, startFrame: 10, time: { hold: 'first' } }, { tracks })[0]).toMatch(
      /^shot.track-too-short/,
    )
  })

  it('drifts where metres become pixels', () => {
    const drift = { upMs: 1 }
    expect(faults({ drift }).map((f) => f.split(' | ')[1])).toEqual([
      'elements[0].distanceM',
      'camera.focalLengthMm',
      'camera.sensorWidthMm',
    ])
    expect(faults({ drift, distanceM: 9 }, { camera: { focalLengthMm: 35, sensorWidthMm: 24 } })).toEqual([])
  })

  it('goes round in a loop whose crossings have room', () => {
    const loop = (l: object, rest: object = {}) =>
      faults({ ...rest, time: { loop: { first: 4, count: 10, ...l } } })
    expect(loop({ cross: 5 })).toEqual([])
    expect(loop({ cross: 6 })[0]).toMatch(/^shot.loop-cross/)
    expect(loop({}, { trimFrames: 5 })[0]).toMatch(/^shot.loop-trimmed/)
    expect(faults({ time: { hold: 'last', loop: { first: 0, count: 9 } } })[0]).toMatch(/^shot.loop-holds/)
  })

  it('is said and taken back by an edit', () => {
    const shot = parseShot({ platefit: 1, plate: { file: 'p.mov' }, tracks, elements: [fire] }, 'test')
    const place = { kind: 'place', element: 'fire' } as const
    const said = applyEdit(shot, { ...place, follow: { track: 'wall', take: 'turn' }, time: { speed: 2 } })
    expect(said.elements[0]).toMatchObject({ follow: { track: 'wall', take: 'turn' }, time: { speed: 2 } })
    expect(applyEdit(said, { ...place, follow: null, time: null })).toEqual(shot)
  })
})
