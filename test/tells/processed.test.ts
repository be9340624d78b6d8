/**
 * What a camera does after its curve, in the finished file: a plate of turned coloured cards, sharpened and its colour softened by the
 * definitions, and an element of such cards that no camera has worked on. The document says what the camera does, rightly or not.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import type { Comparison } from '../../src/chain/compare.js'
import { compareProcessed, lookAtProcessed } from '../../src/engine/checkInCamera.js'
import { openSource, parseShot, type Shot } from '../../src/engine/index.js'
import { looks } from '../../src/engine/seen.js'
import { closeShot, openShot } from '../../src/engine/sources.js'
import { setTreatment } from '../../src/shot/index.js'
import { normals, uniforms } from './chance.js'
import { type Painted, srgbCode, writePictures } from './files.js'
import { blurred } from './plate.js'
import { render } from './shots.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-processed-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const PLATE = { width: 432, height: 240 }
const PIECE = { width: 200, height: 150 }
/** Amount and radius of the sharpening, and how soft colour is, px. */
const [AMOUNT, RADIUS, SOFT] = [1.5, 1.5, 2]
/** With a pixel's own width, 1/12 px², an edge of 2 px from 10 to 90 %, 2.5631 σ. */
const LENS = Math.sqrt((2 / 2.5631) ** 2 - 1 / 12)
const [KR, KG, KB] = [0.2126, 0.7152, 0.0722]
const FINE = 4

/** Turned cards of many colours in light, each pixel the mean of 16 places, through the lens. */
function cards(
  seed: number,
  { width, height }: { width: number; height: number },
  colour: number,
): Float32Array {
  const u = uniforms(seed)
  const data = new Float32Array(3 * width * height).fill(0.2)
  for (let n = 0; n < (width * height) / 700; n++) {
    const [cx, cy, angle, long, high] = [u() * width, u() * height, u() * Math.PI, 9 + 14 * u(), 9 + 9 * u()]
    const v = 0.04 + 0.6 * u()
    const own = [0, 1, 2].map(() => v * (1 + colour * (u() - 0.5)))
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)]
    for (let y = Math.max(0, Math.floor(cy - 28)); y < Math.min(height, cy + 28); y++)
      for (let x = Math.max(0, Math.floor(cx - 28)); x < Math.min(width, cx + 28); x++) {
        let inside = 0
        for (let k = 0; k < FINE ** 2; k++) {
          const [i, j] = [x + ((k % FINE) + 0.5) / FINE - cx, y + (Math.floor(k / FINE) + 0.5) / FINE - cy]
          if (Math.abs(i * cos + j * sin) < long && Math.abs(j * cos - i * sin) < high) inside += FINE ** -2
        }
        for (let c = 0; c < 3; c++) {
          const p = 3 * (y * width + x) + c
          data[p] = (data[p] as number) * (1 - inside) + inside * (own[c] as number)
        }
      }
  }
  return blurred(data, LENS, width, height)
}

/** IEC 61966-2-1, backwards. */
const light = (code: number) => (code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4)

/** As the camera leaves it: luma sharpened, colour softened, in codes, with half a code of noise of eight bits. */
function filmed(data: Float32Array, frame: number): Painted {
  const { width, height } = PLATE
  const luma = new Float32Array(width * height)
  const chroma = new Float32Array(3 * width * height)
  for (let p = 0; p < luma.length; p++) {
    const [r, g, b] = [0, 1, 2].map((c) => srgbCode(data[3 * p + c] as number)) as [number, number, number]
    const y = KR * r + KG * g + KB * b
    luma[p] = y
    chroma.set([r - y, b - y, 0], 3 * p)
  }
  const low = blurred(luma, RADIUS, width, height, 1)
  const soft = blurred(chroma, SOFT, width, height, 3)
  const noise = normals(50 + frame)
  const out = new Float32Array(3 * width * height)
  for (let p = 0; p < luma.length; p++) {
    const y =
      (luma[p] as number) + AMOUNT * ((luma[p] as number) - (low[p] as number)) + (0.5 / 255) * noise()
    const [red, blue] = [soft[3 * p] as number, soft[3 * p + 1] as number]
    const codes = [y + red, y - (KR * red + KB * blue) / KG, y + blue]
    out.set(
      codes.map((v) => light(Math.min(Math.max(v, 0), 1))),
      3 * p,
    )
  }
  return { width, height, channels: 3, data: out }
}

/** A piece whose outline runs out within the picture. */
function piece(name: string, colour: number): void {
  const { width, height } = PIECE
  const own = cards(7, PIECE, colour)
  const alpha = new Float32Array(width * height)
  for (let y = 8; y < height - 8; y++) alpha.fill(1, y * width + 8, y * width + width - 8)
  const soft = blurred(alpha, LENS, width, height, 1)
  writePictures(join(folder, name), name, 2, () => {
    const data = new Float32Array(4 * width * height)
    for (let p = 0; p < soft.length; p++)
      data.set([...own.subarray(3 * p, 3 * p + 3), soft[p] as number], 4 * p)
    return { width, height, channels: 4, data }
  })
}

const scene = cards(3, PLATE, 0.9)
writePictures(join(folder, 'plate'), 'plate', 2, (f) => filmed(scene, f))
piece('coloured', 0.9)
piece('grey', 0)

const off = { off: true } as const

/** What the camera is said to do: the overshoot of its amount at that width, from `due`. */
function shotOf(file: string, overshoot: number, chroma: number): Shot {
  const shot = parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', curve: 'srgb', rate: '24' },
      elements: [
        {
          ...{
            id: 'piece',
            file,
            curve: 'srgb',
            rate: '24',
            scale: 1,
            alpha: 'straight',
            nature: 'reflects',
          },
          position: { x: 130, y: 120 },
          links: { light: off, air: off, lens: off, shutter: off },
        },
      ],
    },
    'test',
  )
  const plate = { overshoot, overshootWidth: 2, overshootRadius: RADIUS, chromaBlur: chroma }
  const said = Object.entries(plate).reduce((s, [k, v]) => setTreatment(s, 'plate', `sensor.${k}`, [v]), shot)
  return ['elementOvershoot', 'elementChromaBlur'].reduce(
    (s, k) => setTreatment(s, 'piece', `sensor.${k}`, [0]),
    said,
  )
}

/** Renders and compares: edges first, then colour. */
async function judged(shot: Shot): Promise<readonly [Comparison, Comparison]> {
  const out = await render({ folder, plate: 'plate' }, shot)
  const sources = await openShot(shot, folder)
  const rendered = await openSource(out, { encoding: { curve: 'srgb' } })
  try {
    const seen = []
    for await (const look of looks(shot, sources, rendered, [0]))
      for (const e of look.elements) seen.push(lookAtProcessed(look.seen, e))
    const found = compareProcessed('piece', seen, sources.plate, shot.plate.treatments)
    expect(found).toHaveLength(2)
    return found as [Comparison, Comparison]
  } finally {
    await rendered.close()
    await closeShot(sources)
  }
}

/** max Φ(s/σ) + a (Φ(s/σ) − Φ(s/√(σ² + ρ²))) − 1 by the trapezium rule, of an edge of so many px. */
function swing(width: number): number {
  const sigma = width / 2.5631
  const steps = Array.from({ length: 6000 }, (_, i) => -6 + 0.002 * i)
  const run = (s: number) => {
    let sum = 0
    return steps.map((t) => {
      sum += (Math.exp(-((t / s) ** 2) / 2) * 0.002) / s / Math.sqrt(2 * Math.PI)
      return sum
    })
  }
  const [own, wide] = [run(sigma), run(Math.hypot(sigma, RADIUS))]
  return Math.max(...own.map((v, i) => v + AMOUNT * (v - (wide[i] as number)) - 1))
}
const due = swing(2)
/** In codes an edge is narrower on its darker side: by a fifth to a quarter, all in all. */
const most = swing(1.5)

describe('an element that no camera has worked on, in one that sharpens and softens colour', () => {
  it('is quiet where it was given both', async () => {
    const [edges, colour] = await judged(shotOf('coloured', due, SOFT))
    expect([edges.verdicts, colour.verdicts]).toEqual([[], []])
    expect([edges.undecided, colour.undecided]).toEqual([[], []])
    const [own, plate] = [edges.measured.overshoot?.[0], edges.measured.overshootDue?.[0]] as [number, number]
    expect(plate).toBeGreaterThan(due - 0.03)
    expect(plate).toBeLessThan(most + 0.03)
    expect(Math.abs(own - plate)).toBeLessThan(0.04)
    expect(Math.abs((colour.measured.chromaBlurPlate?.[0] as number) - SOFT)).toBeLessThan(0.35)
  })

  it('is told where its edges swing less, and where its colour is sharper', async () => {
    const [edges, colour] = await judged(shotOf('coloured', 0, 0))
    const [t, c] = [edges.verdicts[0], colour.verdicts[0]]
    expect([t?.tell, c?.tell]).toEqual(['edge-overshoot', 'sharp-colour'])
    expect(Math.abs((t?.measured as number) - 0)).toBeLessThan(0.03)
    expect(t?.expected).toBeGreaterThan(due - 0.03)
    expect(t?.expected).toBeLessThan(most + 0.03)
    expect(t?.cause).toMatch(/were not/)
    expect(c?.measured).toBeLessThan(0.5)
    expect(Math.abs((c?.expected as number) - SOFT)).toBeLessThan(0.35)
  })

  it('is told where its edges swing more', async () => {
    const [edges] = await judged(shotOf('coloured', 2.2 * due, SOFT))
    expect(edges.verdicts[0]?.tell).toBe('edge-overshoot')
    expect(edges.verdicts[0]?.measured).toBeGreaterThan(edges.verdicts[0]?.expected as number)
    expect(edges.verdicts[0]?.cause).toMatch(/more than the plate/)
  })

  it('has no softness of colour to tell where it is grey', async () => {
    const [, colour] = await judged(shotOf('grey', due, 0))
    expect(colour.verdicts).toEqual([])
    expect(colour.undecided[0]?.why).toMatch(/edges step in luma and in colour alike/)
  })
})
