/**
 * A patch of a plate, cleaned of its grain and put back by the chain at its own place: the right answer is the plate itself. Grain, edges
 * and chroma of the finished file beside the same places of a null render, as rows with their ratio, and pictures four times as large with
 * the dark lifted, in `trials/side-by-side/`. The measures share nothing with the chain.
 *
 * The patch has gone through the plate's air, lens and light, so those links are off: what is left is the sensor's and the delivery's.
 * Cleaning itself softens what moves: `clean` is the patch that went in, and what it has lost no link can give back.
 */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { allocateFrame } from '../../src/core/index.js'
import { createWriter, openSource } from '../../src/media/index.js'
import { footage, outFolder } from './setting.js'
import { cleaned } from './side/clean.js'
import { edgesOf, type Profile, profileOf } from './side/edges.js'
import { flatOf, grainOf } from './side/grain.js'
import { sideBySide } from './side/picture.js'
import { type Box, colours, type Plane, type Planes, partOf, readPlanes, wide } from './side/planes.js'
import { edit, platefit } from './tracks/program.js'

interface Patch {
  readonly plate: string
  readonly first: number
  readonly box: Box
  /** Frames before and after that are averaged. */
  readonly reach: number
  readonly still: boolean
  readonly curve: string
  readonly primaries: string
  /** Share of red and blue in luma, of the plate's matrix. */
  readonly luma: readonly [number, number]
  /** Least step of an edge, codes. */
  readonly step: number
}

const FRAMES = 10
const NAMES = ['Y', 'Cb', 'Cr'] as const
const PATCHES: Readonly<Record<string, Patch>> = {
  rooftop: {
    ...{ plate: 'rooftop-pq.mp4', first: 8, box: { x: 980, y: 300, width: 300, height: 160 } },
    ...{ reach: 3, still: false, curve: 'pq', primaries: 'bt2020', luma: [0.2627, 0.0593], step: 6 },
  },
  bedroom: {
    ...{ plate: 'bedroom-handheld-720p.mp4', first: 4, box: { x: 560, y: 60, width: 300, height: 160 } },
    ...{ reach: 2, still: false, curve: 'bt709', primaries: 'bt709', luma: [0.2126, 0.0722], step: 15 },
  },
  carpark: {
    ...{ plate: 'carpark-lockedoff.mp4', first: 24, box: { x: 560, y: 232, width: 208, height: 196 } },
    ...{ reach: 16, still: true, curve: 'bt709', primaries: 'bt601-525', luma: [0.299, 0.114], step: 25 },
  },
}

const rows: object[] = []
const only = process.argv.indexOf('--only')
for (const [name, one] of Object.entries(PATCHES)) {
  if (only > 0 && process.argv[only + 1] !== name) continue
  if (existsSync(join(footage, 'plates', one.plate))) await trial(name, one)
  else console.log(`${name}: skipped, its plate is not there`)
}
if (process.argv.includes('--json')) for (const row of rows) console.log(JSON.stringify(row))
else console.table(rows)

async function trial(name: string, p: Patch): Promise<void> {
  const folder = outFolder(join('side-by-side', name))
  const plate = join(footage, 'plates', p.plate)
  const around = Math.min(p.first, p.reach)
  const filmed = await readPlanes(plate, p.first - around, FRAMES + around + p.reach)
  const clean = Array.from({ length: FRAMES }, (_, f) => cleaned(filmed, around + f, p.reach, p.box, p.still))
  const rate = await rateOf(plate)
  await writeElement(
    join(folder, 'clean.####.png'),
    clean.map((c) => c.patch),
    p,
  )
  const document = 'patch.shot.json'
  platefit(folder, 'new', '--plate', plate, '--element', 'clean.0000.png', '--out', document)
  edit(join(folder, document), (shot) => ({
    ...shot,
    plate: { ...(shot.plate as object), frames: { first: p.first, count: FRAMES } },
    elements: (shot.elements as object[]).map((e) => ({
      ...e,
      ...{
        id: 'patch',
        alpha: 'none',
        nature: 'reflects',
        curve: p.curve,
        primaries: p.primaries,
        scale: 1,
        rate,
      },
      position: { x: p.box.x + p.box.width / 2, y: p.box.y + p.box.height / 2 },
      links: { light: { off: true }, air: { off: true }, lens: { off: true }, shutter: { off: true } },
      evidence: undefined,
    })),
  }))
  platefit(folder, 'fit', document)
  const deliver = async (out: string, ...more: string[]): Promise<Planes[]> => {
    platefit(folder, 'render', document, '--out', out, '--format', 'prores-422-hq', '--fresh', ...more)
    return (await readPlanes(join(folder, out), 0, FRAMES)).map((f) => partOf(f, p.box))
  }
  const result = await deliver('patch.mov')
  const truth = await deliver('plate.mov', '--variant', 'null')
  platefit(folder, 'link', document, 'patch', 'sensor', '--off')
  const bare = await deliver('bare.mov')
  compare(name, p, { result, truth, bare }, clean[0]!.of)
  for (const [file, contrast] of [
    ['side', 1],
    ['side-grain', 4],
  ] as const)
    sideBySide(join(folder, `${file}.png`), truth[4]!, result[4]!, p.luma, contrast)
}

/** As the document writes it. */
async function rateOf(path: string): Promise<string> {
  const source = await openSource(path)
  await source.close()
  return `${source.info.rate.num}/${source.info.rate.den}`
}

async function writeElement(path: string, patches: readonly Planes[], p: Patch): Promise<void> {
  const { width, height } = p.box
  const encoding = {
    range: 'full',
    matrix: 'rgb',
    curve: 'srgb',
    primaries: 'bt709',
    siting: 'centre',
  } as const
  const rate = { num: 24, den: 1 }
  const writer = await createWriter(path, { format: 'png-16', width, height, rate, encoding, firstNumber: 0 })
  for (const patch of patches) {
    const frame = allocateFrame(writer.layout, width, height)
    const rgb = colours(patch, p.luma)
    frame.planes.forEach((plane, c) => {
      for (let i = 0; i < width * height; i++)
        plane.data[i] = Math.round(65535 * Math.min(Math.max(rgb[3 * i + c]!, 0), 1))
    })
    await writer.write(frame)
  }
  await writer.finish()
}

interface Delivered {
  readonly result: readonly Planes[]
  readonly truth: readonly Planes[]
  /** The cleaned patch without the sensor link. */
  readonly bare: readonly Planes[]
}

/** @param of frames in the mean that cleaned */
function compare(name: string, p: Patch, { result, truth, bare }: Delivered, of: number): void {
  const row = (what: string, plate: number, render: number, went?: number) =>
    rows.push({
      ...{ patch: name, what, plate: Number(plate.toFixed(3)), render: Number(render.toFixed(3)) },
      ratio: Number((render / plate).toFixed(2)),
      ...(went === undefined ? {} : { clean: Number(went.toFixed(3)) }),
    })
  const plane = (all: readonly Planes[], i: 0 | 1 | 2) => all.map((f) => f.planes[i])
  const grains = (i: 0 | 1 | 2, masks: readonly Uint8Array[], what: string) => {
    // The mean took a share of the plate's grain with it.
    const own = grainOf(plane(truth, i), plane(bare, i), masks, of / (of - 1))
    const made = grainOf(plane(result, i), plane(bare, i), masks, 1)
    row(`σ ${what}`, own.sigma, made.sigma)
    row(`lag h ${what}`, own.h, made.h)
    row(`lag v ${what}`, own.v, made.v)
  }
  for (const i of [0, 1, 2] as const) {
    const flat = plane(bare, i).map((c) => flatOf(c, 0.4))
    grains(i, flat, NAMES[i])
    if (i > 0) continue
    const levels = [
      ...plane(bare, 0).flatMap((c, f) => [...c.data].filter((_, k) => flat[f]![k] === 1)),
    ].sort((a, b) => a - b)
    const [a, b] = [levels[Math.floor(levels.length / 3)]!, levels[Math.floor((2 * levels.length) / 3)]!]
    for (const [low, high, what] of [
      [0, a, 'Y dark third'],
      [a, b, 'Y middle third'],
      [b, 256, 'Y light third'],
    ] as const)
      grains(
        0,
        plane(bare, 0).map((c, f) =>
          flat[f]!.map((m, k) => (m && c.data[k]! >= low && c.data[k]! < high ? 1 : 0)),
        ),
        what,
      )
  }
  for (const i of [0, 1, 2] as const) {
    // Chroma at every pixel, so that widths are pixels of the picture.
    const sets = [truth, result, bare].map((all) => all.map((f) => wide(f)[i])) as [Plane[], Plane[], Plane[]]
    const found = sets[0].flatMap((t, f) =>
      edgesOf(t, p.step / (i === 0 ? 1 : 2)).map((e) => [f, e] as const),
    )
    const pairs = found.flatMap(([f, e]) => {
      const three = sets.map((all) => profileOf(all[f]!, e, p.step / (i === 0 ? 1 : 3)))
      return three.includes(undefined) ? [] : [three as [Profile, Profile, Profile]]
    })
    const middle = (of: (e: Profile) => number, k: 0 | 1 | 2) => median(pairs.map((three) => of(three[k])))
    if (pairs.length < 5) continue
    for (const [what, of] of [
      ['edge width, px', (e: Profile) => e.width],
      ['over the brighter side', (e: Profile) => e.over],
      ['under the darker side', (e: Profile) => e.under],
    ] as const)
      row(`${NAMES[i]} ${what} (${pairs.length})`, middle(of, 0), middle(of, 1), middle(of, 2))
  }
}

function median(of: readonly number[]): number {
  return of.toSorted((a, b) => a - b)[of.length >> 1] ?? Number.NaN
}
