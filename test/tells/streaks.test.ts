/**
 * Streaks in the finished file: painted by brute force, the mean over many moments of an exposure, so that their true length is known.
 * The document says 180°; what the file shows is another matter.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { checkStreaks, type Streaked } from '../../src/engine/checkStreaks.js'
import { sampleShot } from '../../src/engine/fit.js'
import { openSource, parseShot, type Shot } from '../../src/engine/index.js'
import { makePlan } from '../../src/engine/plan.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import { setTreatment } from '../../src/shot/index.js'
import { clouds, normals } from './chance.js'
import { type Painted, writePictures } from './files.js'
import { check, type Files, render } from './shots.js'

const root = mkdtempSync(join(tmpdir(), 'platefit-streaks-'))
afterAll(() => rmSync(root, { recursive: true, force: true }))

const [WIDTH, HEIGHT, FRAMES] = [300, 140, 5]
const MIDDLE = [WIDTH / 2, HEIGHT / 2] as const
const BOARD = { width: 70, height: 56 }
const MOMENTS = 48
/** Of the codes, 0 to 1: about two of eight bits. */
const GRAIN = 0.006

interface Scene {
  /** px a frame, right and down. */
  readonly goes: readonly [number, number]
  /** What the board shines of its own: it covers nothing then. */
  readonly shines?: boolean
}

const clouded = clouds(7, 11)
const wall = Float32Array.from({ length: WIDTH * HEIGHT }, (_, p) => {
  return 0.08 + 0.2 * clouded(p % WIDTH, Math.floor(p / WIDTH))
})
const [shades, STEPS] = [clouds(8, 6), 4]
/** Four samples a pixel along each side: clouds are slow to reckon. */
const shaded = Float32Array.from(
  { length: (STEPS * BOARD.width + 1) * (STEPS * BOARD.height + 1) },
  (_, p) => {
    const across = STEPS * BOARD.width + 1
    return shades((p % across) / STEPS, Math.floor(p / across) / STEPS)
  },
)

/** Light and coverage at a place of the board. */
function board(u: number, v: number): readonly [light: number, alpha: number] {
  const edge = Math.min(u, v, BOARD.width - u, BOARD.height - v)
  if (edge <= 0) return [0, 0]
  const at = Math.round(STEPS * v) * (STEPS * BOARD.width + 1) + Math.round(STEPS * u)
  return [0.1 + 0.4 * (shaded[at] as number) + (Math.floor(u / 14) % 2 ? 0.15 : 0), Math.min(edge, 1)]
}

/** Light times coverage, and coverage, over an exposure about a time; a place is counted from the board's middle at time 0. */
function exposed(x: number, y: number, time: number, deg: number, [right, down]: Scene['goes']) {
  let [light, alpha] = [0, 0]
  for (let k = 0; k < MOMENTS; k++) {
    const t = time + (deg / 360) * ((k + 0.5) / MOMENTS - 0.5)
    const [l, a] = board(x - right * t + BOARD.width / 2, y - down * t + BOARD.height / 2)
    light += (a * l) / MOMENTS
    alpha += a / MOMENTS
  }
  return [light, alpha] as const
}

const timeOf = (frame: number) => frame - (FRAMES >> 1)

/** Frames as a camera with this shutter would have seen it; without an angle the wall alone. */
function filmed({ goes, shines }: Scene, deg: number | undefined, grain: () => number) {
  return (frame: number): Painted => {
    const data = new Float32Array(3 * WIDTH * HEIGHT)
    for (let p = 0; p < WIDTH * HEIGHT; p++) {
      const [x, y] = [(p % WIDTH) + 0.5 - MIDDLE[0], Math.floor(p / WIDTH) + 0.5 - MIDDLE[1]]
      const [l, a] = deg === undefined ? [0, 0] : exposed(x, y, timeOf(frame), deg, goes)
      const light = l + (shines ? 1 : 1 - a) * (wall[p] as number)
      data.fill(Math.max(light + GRAIN * grain(), 0), 3 * p, 3 * p + 3)
    }
    return { width: WIDTH, height: HEIGHT, channels: 3, data }
  }
}

const linked = (shot: Shot, links: Shot['elements'][0]['links']): Shot => ({
  ...shot,
  elements: shot.elements.map((e) => ({ ...e, links })),
})

type Ready = Files & { readonly shot: Shot }
type Json = Record<string, unknown>

/** Plate and document. */
function ready({ goes, shines }: Scene, element: Json, camera: Json): Ready {
  const files = { folder: mkdtempSync(join(root, 'shot-')), plate: 'plate' }
  writePictures(join(files.folder, 'plate'), 'plate', FRAMES, filmed({ goes }, undefined, normals(1)))
  const common = { id: 'board', file: 'board', curve: 'srgb', rate: '24', alpha: 'straight', scale: 1 }
  const nature = shines ? 'emits' : 'reflects'
  const position = { x: MIDDLE[0], y: MIDDLE[1] }
  const shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', curve: 'srgb', rate: '24' },
      camera,
      elements: [{ ...common, nature, position, ...element }],
    },
    'test',
  )
  return { ...files, shot }
}

/** A still that goes by keys. */
function placed(scene: Scene, camera: Json = { shutterAngleDeg: 180 }): Ready {
  const key = (frame: number) => {
    return { frame, dx: scene.goes[0] * timeOf(frame), dy: scene.goes[1] * timeOf(frame) }
  }
  const made = ready(scene, { time: { hold: 'both' }, keys: [key(-2), key(FRAMES + 2)] }, camera)
  writePictures(join(made.folder, 'board'), 'board', 1, () => {
    const { width, height } = BOARD
    const data = new Float32Array(4 * width * height)
    for (let p = 0; p < width * height; p++) {
      const [l, a] = board((p % width) + 0.5, Math.floor(p / width) + 0.5)
      data.set([l, l, l, a], 4 * p)
    }
    return { width, height, channels: 4, data }
  })
  return made
}

/** A film of it as it goes, with a shutter of its own. */
function film(scene: Scene, deg: number, element: Json): Ready {
  const made = ready(scene, { filmed: { shutterAngleDeg: deg }, ...element }, { shutterAngleDeg: 180 })
  writePictures(join(made.folder, 'board'), 'board', FRAMES, (frame) => {
    const data = new Float32Array(4 * WIDTH * HEIGHT)
    for (let p = 0; p < WIDTH * HEIGHT; p++) {
      const [x, y] = [(p % WIDTH) + 0.5 - MIDDLE[0], Math.floor(p / WIDTH) + 0.5 - MIDDLE[1]]
      const [l, a] = exposed(x, y, timeOf(frame), deg, scene.goes)
      const straight = a > 0 ? l / a : 0
      data.set([straight, straight, straight, a], 4 * p)
    }
    return { width: WIDTH, height: HEIGHT, channels: 4, data }
  })
  return made
}

/** The check of what a camera with this shutter would have seen; without an angle of the wall alone. */
async function seenAt(files: Ready, scene: Scene, deg: number | undefined) {
  const out = `seen-${deg}`
  writePictures(join(files.folder, out), out, FRAMES, filmed(scene, deg, normals(2)))
  return judged(files, join(files.folder, out))
}

/** What the check of streaks alone says of a finished file. */
async function judged({ folder, shot }: Ready, path: string) {
  const sources = await openShot(shot, folder)
  const rendered = await openSource(path, { encoding: { curve: 'srgb' } })
  try {
    const plan = makePlan(shot, sources, { format: 'exr-half' })
    const compared = await checkStreaks(
      { shot, sources, rendered },
      plan,
      sampleShot(shot, sources, 3),
      undefined,
    )
    expect(compared.map((c) => c.element)).toEqual(['board'])
    const { verdicts, undecided, measured } = (compared[0] as Streaked).comparison
    return { tell: verdicts[0], measured, why: undecided[0]?.why }
  } finally {
    await rendered.close()
    await closeShot(sources)
  }
}

describe('streaks of what goes by keys', () => {
  const scene = { goes: [36, 15] } as const
  // √(36² + 15²) = 39 px a frame: 19.5 px at 180°.
  const files = placed(scene)

  it('are quiet where they are those of the plate', async () => {
    const { tell, measured } = await seenAt(files, scene, 180)
    expect(tell).toBeUndefined()
    expect(measured.streakPlate?.[0]).toBeCloseTo(19.5, 6)
    expect(measured.streakGoes?.[0]).toBeCloseTo(39, 6)
    expect(Math.abs((measured.streak?.[0] as number) - 19.5)).toBeLessThan(0.5)
  })

  it('stand in the list and the ledger', async () => {
    const off = { ...files, shot: linked(files.shot, { shutter: { off: true } }) }
    const r = await check(off, off.shot)
    const tell = r.tells.find((t) => t.tell === 'streak')
    expect(tell).toMatchObject({ link: 'shutter', element: 'board', unit: 'px', meant: false })
    const row = r.ledger.find((l) => l.quantity === 'streaks')
    expect(row).toMatchObject({ link: 'shutter', element: 'board', unit: 'px', verdict: 'tell' })
    expect(row?.result).toEqual([tell?.measured])
  })

  it.each([
    ['that are not there', 0, /strobes/],
    ['of a shutter half as long', 90, /strobes/],
    ['of a shutter twice as long', 360, /soft/],
  ])('tell %s', async (_, deg, cause) => {
    const { tell } = await seenAt(files, scene, deg)
    expect(tell?.expected).toBeCloseTo(19.5, 6)
    expect(Math.abs((tell?.measured as number) - (39 * deg) / 360)).toBeLessThan(0.5)
    expect(tell?.cause).toMatch(cause)
    expect(tell?.sentence).toMatch(/39 px a frame: at the plate's 180°/)
  })

  it('say nothing of a file in which it does not show', async () => {
    const { tell, why } = await seenAt(files, scene, undefined)
    expect(tell).toBeUndefined()
    expect(why).toMatch(/does not show it/)
  })

  it('are told of what shines, from 6 px on', async () => {
    const lamp = { goes: [13, 0], shines: true } as const
    const own = placed(lamp)
    expect((await seenAt(own, lamp, 180)).tell).toBeUndefined()
    expect((await seenAt(own, lamp, 0)).tell?.expected).toBeCloseTo(6.5, 6)
  })

  it('cannot be told of what goes slowly', async () => {
    const slow = { goes: [8, 0] } as const
    expect((await seenAt(placed(slow), slow, 0)).why).toMatch(/8 px a frame at most: too slow/)
  })

  it('cannot be told where nothing is known of the shutter: the angle that is assumed is no norm', async () => {
    const own = placed(scene, {})
    expect((await seenAt(own, scene, 0)).why).toMatch(/nothing says how long the plate's shutter was open/)
  })

  it('are those of the camera, whatever is set by hand', async () => {
    const off = { ...files, shot: setTreatment(files.shot, 'plate', 'shutter.angle', [20]) }
    const { tell } = await judged(off, await render(off, off.shot))
    // 39 · 20/360 = 2.2 px.
    expect(Math.abs((tell?.measured as number) - 39 / 18)).toBeLessThan(1)
  })
})

describe('streaks of what moves in its own pictures', () => {
  // Filmed at 45°: 30 px a frame are 3.75 px, where the plate has 15.
  const scene = { goes: [30, 0] } as const

  it('are told where the plate has longer ones', async () => {
    const files = film(scene, 45, {})
    const { tell } = await judged(files, await render(files, files.shot))
    expect(tell?.remedy).toMatch(/filmed/)
    // The way that the flow finds holds the noise of the flow.
    expect(Math.abs((tell?.expected as number) - 15)).toBeLessThan(1)
    expect(Math.abs((tell?.measured as number) - 3.75)).toBeLessThan(1.5)
  })

  it('cannot be told where nobody says how it was filmed', async () => {
    const files = film(scene, 45, {})
    const { filmed: _, ...element } = files.shot.elements[0] as Shot['elements'][0]
    const unknown = { ...files, shot: { ...files.shot, elements: [element] } }
    expect((await seenAt(unknown, scene, 45)).why).toMatch(/filmed\.shutterAngleDeg/)
  })

  it('are quiet as the plate has them', async () => {
    const files = film(scene, 45, {})
    const { tell, why } = await seenAt(files, scene, 180)
    expect([tell, why]).toEqual([undefined, undefined])
  })
})
