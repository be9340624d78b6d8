/** A hand on any frame: brought back to the document, and from there to where the hand is. */
import { describe, expect, it } from 'vitest'
import { applyEdit, parseShot } from '../shot/index.js'
import { type Hand, placeByHand } from './hand.js'
import { placesAt, type Spot } from './places.js'
import type { Picture } from './plan.js'
import type { Ground } from './stand.js'
import type { KnownTrack } from './tracks.js'

const encoding = {
  range: 'full',
  matrix: 'rgb',
  curve: 'linear',
  primaries: 'bt709',
  siting: 'centre',
} as const
const picture = (width: number, height: number): Picture => ({
  ...{ width, height, encoding, rate: { num: 24, den: 1 }, frameCount: 50 },
  layout: { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha: true },
})
const plate = picture(640, 360)
const size = picture(80, 40)
const mesh = { x: 200, y: 100, width: 200, height: 160, columns: 5, rows: 4 }
const frame = (n: number, matrix: readonly number[], more: object = {}) => ({
  ...{ frame: n, state: 'tracked' as const, matrix: [...matrix], spreadPx: 0.1, agree: 9, seen: 9, ...more },
})
const still = [1, 0, 0, 0, 1, 0, 0, 0, 1]
/** A quarter turn about (300, 180) and twice the size: x′ = 300 − 2(y − 180), y′ = 180 + 2(x − 300). */
const turned = [0, -2, 660, 2, 0, -420, 0, 0, 1]
const tilted = [0.9, 0.1, 40, -0.15, 1.1, 30, 4e-4, -3e-4, 1]
const track = (
  motion: KnownTrack['motion'],
  second: ReturnType<typeof frame>,
  more: object = {},
): KnownTrack => ({
  ...{
    platefitTrack: 1,
    id: 'wall',
    madeFrom: 'a'.repeat(64),
    plate: { width: 640, height: 360 },
    reference: 0,
  },
  ...{ motion, jumps: [], frames: [frame(0, still), second], ...more },
})
const TRACKS = {
  turned: track('similarity', frame(9, turned)),
  tilted: track('homography', frame(9, tilted)),
  bent: track(
    'mesh',
    frame(9, tilted, { nodes: Array.from({ length: 40 }, (_, k) => 4 * Math.sin(2 * k)) }),
    {
      mesh,
      frames: [
        frame(0, still, { nodes: Array(40).fill(0) }),
        frame(9, tilted, { nodes: Array.from({ length: 40 }, (_, k) => 4 * Math.sin(2 * k)) }),
      ],
    },
  ),
}
const LENS = { value: [-0.12, 0.02, 0.001, -0.002, 0], evidence: { kind: 'set' } }

function scene(element: object, of?: keyof typeof TRACKS, bent = false): Ground {
  const fire = {
    id: 'fire',
    file: 'f.mov',
    alpha: 'straight',
    nature: 'emits',
    position: { x: 300, y: 180 },
    scale: 1,
  }
  const shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'p.mov', treatments: bent ? { 'lens.distortion': LENS } : {} },
      camera: { sensorWidthMm: 36, focalLengthMm: 48 },
      tracks: [
        {
          id: 'wall',
          points: [[300, 180]],
          region: [
            [280, 170],
            [320, 170],
            [320, 190],
          ],
        },
      ],
      elements: [{ ...fire, ...(of && { follow: { track: 'wall' } }), ...element }],
    },
    'test',
  )
  return { shot, plate, tracks: of === undefined ? {} : { wall: { track: TRACKS[of] } } }
}
const at = (ground: Ground, number = 9) => placesAt(number, ground, { fire: size })
/** The same document when the hand has let go. */
function done(ground: Ground, hand: Hand, number = 9): Ground {
  const [e] = ground.shot.elements
  if (e === undefined) throw new Error('no element')
  const made = placeByHand(e, size, number, ground, hand)
  return { ...ground, shot: applyEdit(ground.shot, { kind: 'place', element: 'fire', ...made }) }
}
/** Within 0.3 px: the document keeps tenths of a position, and what grows there grows them. */
const near = ([x, y]: readonly number[], digits = 0.2): unknown => [
  expect.closeTo(x as number, digits),
  expect.closeTo(y as number, digits),
]

describe('where things lie on a frame', () => {
  it('by hand: turned by a right angle and twice as large', () => {
    const { elements, tracks } = at(scene({}, 'turned'))
    // The corner (−40, −20) from the middle goes to (+40, −80).
    expect(elements[0]).toMatchObject({
      ...{ id: 'fire', anchor: [300, 180], track: 'tracked' },
      corners: [
        [340, 100],
        [340, 260],
        [260, 260],
        [260, 100],
      ],
      border: [
        [340, 100],
        [340, 260],
        [260, 260],
        [260, 100],
      ],
    })
    expect(tracks).toEqual([
      {
        id: 'wall',
        state: 'tracked',
        points: [[300, 180]],
        region: [
          [320, 140],
          [320, 220],
          [280, 220],
        ],
      },
    ])
    expect(at(scene({}, 'turned'), 5).elements[0]?.track).toBe('outside')
  })

  it('as the lens draws it: every point of the border comes back to its straight side', () => {
    const straight = at(scene({ position: { x: 500, y: 280 } })).elements[0]
    const bent = at(scene({ position: { x: 500, y: 280 } }, undefined, true)).elements[0]
    expect(bent?.border).toHaveLength(64)
    // A barrel draws what is far out nearer to the middle.
    const out = (p: Spot) => (p[0] - 320) ** 2 + (p[1] - 180) ** 2
    for (const [i, c] of bent?.corners.entries() ?? [])
      expect(out(c as Spot)).toBeLessThan(out(straight?.corners[i] as Spot))
  })

  it('says of a track that is missing why nothing lies anywhere', () => {
    const problem = { code: 'engine.track-stale', what: 'stale' }
    const ground = { ...scene({}, 'turned'), tracks: { wall: { problem } } }
    expect(at(ground)).toMatchObject({ elements: [{ id: 'fire', border: [], problem }], tracks: [] })
  })
})

describe('a hand', () => {
  it('by hand: moves what is turned and doubled by half as much, turned back', () => {
    const [e] = done(scene({}, 'turned'), { anchor: [320, 180] }).shot.elements
    expect(e?.position).toEqual({ x: 300, y: 170 })
    expect(e?.scale).toBe(1)
  })

  it.each([
    ['straight', {}, undefined],
    [
      'keys',
      {
        keys: [
          { frame: 0, dx: 0, dy: 0, scale: 1 },
          { frame: 12, dx: 60, dy: -30, scale: 2 },
        ],
      },
      undefined,
    ],
    ['drift', { drift: { acrossMs: 1, upMs: 2, awayMs: 3 }, distanceM: 10 }, undefined],
    ['a turned track', {}, 'turned'],
    ['a tilted one', { keys: [{ frame: 3, dx: 9, dy: 4, scale: 1.5 }] }, 'tilted'],
    ['the place alone', { follow: { track: 'wall', take: 'place' } }, 'tilted'],
    ['a bent one', {}, 'bent'],
  ] as const)('puts the middle where it is, and the corner: %s', (_, element, of) => {
    for (const bent of [false, true]) {
      const ground = scene(element, of, bent)
      const anchor = [352.5, 141.5] as const
      const moved = done(ground, { anchor })
      expect(at(moved).elements[0]?.anchor).toEqual(near(anchor))
      const corner = at(done(moved, { scale: 1.4 })).elements[0]?.corners[2] as Spot
      const sized = done(moved, { corner })
      expect(sized.shot.elements[0]?.scale).toBeCloseTo(1.4, 2)
      expect(at(sized).elements[0]?.corners[2]).toEqual(near(corner))
      expect(sized.shot.elements[0]?.position).toEqual(moved.shot.elements[0]?.position)
    }
  })

  it('is refused where nothing can be brought to', () => {
    expect(() => done(scene({ drift: { awayMs: -100 }, distanceM: 1 }), { anchor: [3, 3] })).toThrow(
      /brings it there/,
    )
  })
})
