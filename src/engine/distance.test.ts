/** Distances over a document: a street by hand, 2000 px of focal length, lens 1.6 m up, horizon in the middle. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { writePng } from '../../test/worlds/files.js'
import { told } from '../core/index.js'
import { parseShot } from '../shot/index.js'
import { budgetOf } from './budget.js'
import { readPath } from './cameraPath.js'
import { compareMoving, comparePlace } from './checkPlace.js'
import { distanceOf } from './distance.js'
import { pictureOf } from './plan.js'
import { findFiles } from './stage.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-distance-'))
beforeAll(() => {
  writePng(join(folder, 'p.png'), 1920, 1080, 3, new Uint8Array(3 * 1920 * 1080))
  writePng(join(folder, 'e.png'), 100, 200, 4, new Uint8Array(4 * 100 * 200))
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** A foot 320 px below the horizon stands at 1.6 · 2000 / 320 = 10 m; 1.8 m are 360 px there. */
function street(element: object = {}, site: object = {}, camera: object = {}) {
  return parseShot(
    {
      platefit: 1,
      plate: { file: 'p.png', still: true, rate: '24' },
      camera: { focalLengthMm: 37.5, sensorWidthMm: 36, heightM: 1.6, ...camera },
      site: {
        horizon: {
          points: [
            [100, 540],
            [1800, 540],
          ],
        },
        ...site,
      },
      elements: [
        {
          id: 'man',
          file: 'e.png',
          still: true,
          rate: '24',
          alpha: 'straight',
          nature: 'reflects',
          // Its foot is its picture's lower edge.
          foot: [50, 200],
          position: { x: 1000, y: 860 - 180 },
          heightM: 1.8,
          distanceM: 10,
          ...element,
        },
      ],
    },
    'test',
  )
}

describe('distance of an element', () => {
  it('comes from its foot; from a known thing on the same ground; and from both', async () => {
    // A door of 2 m, 5 m away: 800 px, foot 640 px below the horizon.
    const shot = street({}, { known: [{ from: [300, 1180], to: [300, 380], lengthM: 2 }] })
    const r = await distanceOf(shot, folder, { element: 'man' })
    expect(r.foot).toEqual([1000, 860])
    const of = (name: string) => {
      const w = r.ways[name]
      return w !== undefined && told(w) ? w.value.metres : Number.NaN
    }
    // The sea's horizon is 2 · 10 / 4950 lower than flat ground has it.
    expect(of('ground')).toBeCloseTo(10, 0)
    expect(of('ground')).toBeLessThan(10)
    expect(of('known thing 1')).toBeCloseTo(10, 9)
    expect(told(r.together) && r.together.value.sd).toBeGreaterThan(0.15)
    expect(r.wrongSize).toBeUndefined()
    expect(r.table.find((t) => Math.abs(t.metres - 10) < 0.1)?.elementPx).toBeCloseTo(360, -1)
  })

  it('says what is missing, way by way, and refuses without a camera', async () => {
    const bare = street({ foot: undefined }, { horizon: undefined })
    const { together } = await distanceOf(bare, folder, { element: 'man' })
    expect(together).toEqual({
      cannotTell: expect.stringMatching(/where it touches the ground, site.horizon/),
    })
    const none = street(
      { heightM: undefined, distanceM: undefined, scale: 1 },
      {},
      { focalLengthMm: undefined },
    )
    await expect(distanceOf(none, folder, { element: 'man' })).rejects.toMatchObject({
      code: 'place.no-camera',
    })
    await expect(distanceOf(bare, folder, { element: 'boy' })).rejects.toMatchObject({
      code: 'shot.unknown-element',
    })
  })

  it('says why an element has no foot, and refuses a place outside of the plate', async () => {
    const one = street()
    const tracks = [{ id: 'wall', reference: 8, points: [[900, 800]] }]
    const { elements, ...rest } = one
    const follow = { track: 'wall', take: 'all' }
    const shot = {
      ...rest,
      tracks,
      elements: elements.map((e) => ({ ...e, follow })),
    } as unknown as typeof one
    const of = await distanceOf(shot, folder, { element: 'man' })
    expect(of.noFoot).toMatch(/reference is frame 8, the horizon was drawn on frame 0/)
    expect((await distanceOf(street({ foot: undefined }), folder, { element: 'man' })).noFoot).toMatch(/foot/)
    for (const at of [
      [-1, 700],
      [960, 1080.5],
      [1921, 700],
    ] as const)
      await expect(distanceOf(street(), folder, { at })).rejects.toMatchObject({
        code: 'place.outside',
        exit: 2,
      })
  })

  it('takes what a person tells of a place', async () => {
    const r = await distanceOf(street({}, { visibilityM: 20_000 }), folder, {
      at: [960, 700],
      heightM: 1.8,
      heightPx: 180,
      contrast: 0.999,
    })
    expect(told(r.ways.size!) && r.ways.size.value.metres).toBeCloseTo(20, 9)
    expect(r.ways.haze).toEqual({ cannotTell: 'the air before it hardly shows' })
    expect(told(r.together)).toBe(true)
  })
})

async function tells(shot: ReturnType<typeof street>): Promise<string[]> {
  const files = await findFiles(shot, folder)
  const [plate, picture] = ['plate', 'man'].map((id) => pictureOf(files.get(id) as never))
  const seen = { frames: [0], region: { x: 0, y: 0, width: 9, height: 9 } }
  const all = comparePlace(shot.elements[0]!, { shot, plate: plate!, picture: picture! }, seen)
  return all.flatMap((c) => c.verdicts.map((v) => v.tell))
}

describe('tells of place', () => {
  it('are silent where all is right, and where facts are missing', async () => {
    expect(await tells(street())).toEqual([])
    expect(await tells(street({ foot: undefined, distanceM: 30 }))).toEqual([])
    expect(await tells(street({ distanceM: 30 }, { horizon: undefined }))).toEqual([])
    expect(await tells(street({ heightM: undefined, scale: 5 }))).toEqual([])
  })

  it('speak of a size that does not belong there', async () => {
    // Drawn for 20 m, half as large, with its foot where 10 m is.
    expect(await tells(street({ distanceM: 20, position: { x: 1000, y: 860 - 90 } }))).toEqual(['wrong-size'])
  })

  it('speak of a horizon that does not belong there', async () => {
    const filmed = { heightM: 4, distanceM: 6 }
    expect(await tells(street({ filmed }))).toEqual(['wrong-horizon'])
    expect(await tells(street({ filmed: { heightM: 1.6, distanceM: 8 } }))).toEqual([])
  })

  it('hold before a camera that looks down: the true size stays silent', async () => {
    // Tilted 20° down: horizon 2000 · tan 20° = 728 px over the middle. By hand, foot 4 m ahead on the ground, 1.6 m down.
    const t = (20 * Math.PI) / 180
    const project = (up: number) => {
      const [y, z] = [-(up - 1.6), 4]
      const depth = z * Math.cos(t) + y * Math.sin(t)
      return { y: 540 + (2000 * (y * Math.cos(t) - z * Math.sin(t))) / depth, depth }
    }
    const [foot, top] = [project(0), project(1.8)]
    const horizon = {
      points: [
        [100, 540 - 2000 * Math.tan(t)],
        [1800, 540 - 2000 * Math.tan(t)],
      ],
    }
    // As many pixels as it truly has: drawn by scale, so the document's distance is chosen to give them.
    const px = foot.y - top.y
    const distanceM = (2000 * 1.8) / px
    const shot = street({ distanceM, position: { x: 960, y: foot.y - px / 2 } }, { horizon })
    expect(await tells(shot)).toEqual([])
    const r = await distanceOf(shot, folder, { element: 'man' })
    expect(told(r.together) && r.together.value.metres / foot.depth).toBeCloseTo(1, 2)
    expect(r.drawnM).toBeCloseTo(1.8, 1)
    expect(r.camera.tiltDeg).toBeCloseTo(-20, 6)
  })
})

describe('budget of an element', () => {
  it('of a path from elsewhere, by hand: 2000 · b · (1/9.5 − 1/10.5) = 21.05 b', async () => {
    const shot = street({ depthM: 1 })
    const file = join(folder, 'path.csv')
    writeFileSync(file, 'frame,forward,right,down\n0,0,0,0\n1,0,0.04,0\n2,0,0.06,0\n')
    const b = await budgetOf(shot, folder, 'man', { file })
    expect(b.first.internalPx).toBe(2)
    expect(b.overrun).toBe(true)
    expect(b.flats).toHaveLength(2)
    writeFileSync(file, 'frame,forward,right,down\n0,0,0,0\n1,0,0.02,0\n2,0,-0.04,0\n')
    expect((await budgetOf(shot, folder, 'man', { file })).first.internalPx).toBeUndefined()
  })

  it('refuses a table that is none, and a shot whose camera nobody knows', async () => {
    const file = join(folder, 'bad.csv')
    writeFileSync(file, 'frame,right,down,forward\n0,0,0,0\n1,a,0,0\n')
    await expect(readPath(file)).rejects.toMatchObject({
      code: 'engine.path-unreadable',
      detail: { where: expect.stringMatching(/line 3$/) },
    })
    for (const rows of ['0,0,0,0\n30,1,0,0', '-7,0,0,0\n-6,0,0,0', '0,0,0,0\n0,1,0,0', '0.5,0,0,0']) {
      writeFileSync(file, `frame,right,down,forward\n${rows}\n`)
      await expect(readPath(file)).rejects.toMatchObject({ code: 'engine.path-frames' })
    }
    const far = { move: 'slide', metres: 1e9 } as const
    await expect(budgetOf(street(), folder, 'man', far)).rejects.toMatchObject({
      detail: { code: 'engine.long-path', where: '--metres' },
    })
    await expect(budgetOf(street(), folder, 'man', {})).rejects.toMatchObject({
      code: 'engine.no-path',
      detail: { remedy: expect.stringMatching(/--move with --metres, or --path/) },
    })
  })
})

describe('size over a shot', () => {
  it('is told by where its foot is on each frame, while the plate stands', async () => {
    // From 10 m (foot at y = 860) to 20 m (y = 700), with its size kept: by then it is twice as tall as it is.
    const keys = [
      { frame: 0, dx: 0, dy: 0 },
      { frame: 10, dx: 0, dy: -160 },
    ]
    const told = async (more: object, stands: boolean) => {
      const shot = street({ position: { x: 1000, y: 860 - 180 }, keys, ...more })
      const files = await findFiles(shot, folder)
      const [plate, picture] = ['plate', 'man'].map((id) => pictureOf(files.get(id) as never))
      const facts = { shot, plate: plate!, picture: picture! }
      return compareMoving(
        shot.elements[0]!,
        facts,
        [0, 5, 10],
        () => ({ x: 0, y: 0, width: 9, height: 9 }),
        stands,
      )
    }
    const [c] = await told({}, true)
    // The earth's roundness and the tilt of the way of sight are in: within 1 %.
    expect(Math.abs((c?.measured.distance?.[0] as number) / 20 - 1)).toBeLessThan(0.01)
    expect(c?.verdicts[0]?.measured).toBeCloseTo(3.6, 1)
    expect(c?.verdicts[0]?.frames).toEqual([5, 10])
    // Half as large about its middle, its foot lies 90 px below that: right at both ends.
    const smaller = [keys[0], { ...keys[1], dy: -70, scale: 0.5 }]
    expect((await told({ keys: smaller }, true))[0]?.measured.distance).toBeDefined()
    expect((await told({ keys: smaller }, true))[0]?.verdicts.flatMap((v) => v.frames)).not.toContain(10)
    // Where the plate moves, its horizon holds on its own frame alone.
    expect((await told({}, false))[0]?.verdicts).toEqual([])
  })
})
