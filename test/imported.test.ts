/** Tracks that were made elsewhere: read, solved, kept, written for elsewhere, and made anew when their file is another. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { loadShot, openSource } from '../src/engine/index.js'
import { motionText } from '../src/engine/track/exchange.js'
import { trackShot } from '../src/engine/track/track.js'
import { findTracks } from '../src/engine/tracks.js'
import { platefit } from './platefit.js'
import { pictures, SMALL } from './small.js'

const FRAMES = 10
const { width, height } = SMALL
const HEAD = `# pixel centres: half\n# first frame: 0\n# y: down\n# size: ${width} ${height}\n`
const M = 'frame,m1,m2,m3,m4,m5,m6,m7,m8,m9'

let folder: string
const path = (name: string) => join(folder, name)
const document = (name = 'a') => path(`${name}.shot.json`)
const write = (name: string, text: string) => writeFile(path(name), text)

async function shot(tracks: readonly object[], name = 'a', more: object = {}): Promise<void> {
  const plate = { file: 'plate/plate.####.png', rate: '24' }
  await write(`${name}.shot.json`, JSON.stringify({ platefit: 1, plate, tracks, elements: [], ...more }))
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'platefit-imported-'))
  await pictures(path('plate/plate.####.png'), width, height, FRAMES, (x, _, f) => {
    const v = 0.3 + ((x + f) % 7) / 20
    return [v, v, v]
  })
}, 60_000)
afterAll(() => rm(folder, { recursive: true, force: true }))

/** Grows and turns about the picture's first corner, and goes right: what a point at (x, y) comes to, worked out by hand. */
const went = ([x, y]: readonly [number, number], f: number): [number, number] => {
  const [c, s] = [(1 + 0.01 * f) * Math.cos(0.02 * f), (1 + 0.01 * f) * Math.sin(0.02 * f)]
  return [c * x - s * y + 2 * f, s * x + c * y]
}
const PLACES = [
  [20, 10],
  [120, 14],
  [70, 40],
  [30, 80],
  [110, 70],
  [60, 60],
  [90, 25],
] as const

it('solves points with holes and with one that goes astray', async () => {
  const rows = PLACES.flatMap((p, k) =>
    Array.from({ length: FRAMES }, (_, f) => {
      // Nobody is seen on frame 4, one comes and goes, another follows something else from frame 5 on.
      if (f === 4 || (k === 1 && f % 3 === 1)) return ''
      const [x, y] = went(p, f)
      return `${f + 1001},${k === 2 && f >= 5 ? x + 6 * (f - 4) : x},${y},p${k}\n`
    }),
  )
  const head = HEAD.replace('frame: 0', 'frame: 1001')
  await write('points.csv', `${head}frame,x,y,name\n${rows.join('')}`)
  const frames = { first: 0, count: FRAMES + 14 }
  await shot([{ id: 'wall', file: 'points.csv', motion: 'similarity', frames }])
  const [{ data, kept, fromFile } = expect.fail()] = await trackShot(document())
  expect({ kept, fromFile }).toEqual({ kept: false, fromFile: 'points.csv' })
  expect(data.motion).toBe('similarity')
  expect(data.frames.map((f) => f.state)).toEqual(
    Array.from({ length: FRAMES }, (_, f) => (f === 4 ? 'bridged' : 'tracked')),
  )
  for (const { frame, matrix: m, agree, seen } of data.frames) {
    const [x, y] = went([50, 50], frame)
    const near = (v: number) => expect.closeTo(v, frame === 4 ? 0 : 6)
    expect([50 * m[0] + 50 * m[1] + m[2], 50 * m[3] + 50 * m[4] + m[5]], `${frame}`).toEqual([
      near(x),
      near(y),
    ])
    if (frame > 5) expect(agree).toBe(seen - 1)
  }
  expect(data.points).toHaveLength(PLACES.length)
  expect(data.said.join('\n')).toMatch(/0.5 px is assumed/)
  expect(data.said.join('\n')).toMatch(/up to frame 23: the shot ends at frame 9/)
  expect(data.said.join('\n')).not.toMatch(/does not say (where|how it|how large|which)/)
  expect(await trackShot(document())).toMatchObject([{ kept: true }])
})

it('comes back as it was written, as rows and as JSON', async () => {
  const list = Array.from({ length: FRAMES }, (_, f) => [
    ...[1 + f / 300, f / 700, 3.3 * f, -f / 900, 1 - f / 500, f / 7, f / 1e5, -f / 3e5, 1],
  ])
  const rows = list.flatMap((m, f) => (f === 6 || f > 8 ? [] : [[f, ...m].join(',')]))
  await write('made.csv', `${HEAD}${M}\n${rows.join('\n')}\n`)
  await shot([{ id: 'made', file: 'made.csv' }], 'b')
  const [one = expect.fail()] = await trackShot(document('b'))
  for (const [f, m] of list.entries())
    if (f !== 6 && f <= 8) expect(one.data.frames[f]?.matrix).toEqual(m.map((v) => expect.closeTo(v, 12)))
  expect(one.data.frames.map((f) => f.state)).toEqual([
    ...['tracked', 'tracked', 'tracked', 'tracked', 'tracked', 'tracked', 'bridged', 'tracked', 'tracked'],
    'lost',
  ])
  const kept = JSON.parse(await readFile(path(one.file), 'utf8'))
  for (const out of ['back.csv', 'back.json']) {
    const text = await motionText(document('b'), { id: 'made', data: one }, 'matrices', path(out))
    expect(text).toMatch(out.endsWith('csv') ? /^# bridged: 6$/m : /"bridged": \[6\]/)
    await write(out, text)
    await shot([{ id: 'made', file: out }], 'c')
    const [back = expect.fail()] = await trackShot(document('c'))
    expect(back.data.frames).toHaveLength(FRAMES)
    for (const [f, { matrix }] of back.data.frames.entries()) {
      expect(matrix).toEqual(kept.frames[f].matrix.map((v: number) => expect.closeTo(v, 9)))
    }
    expect(back.data.frames.map((f) => f.state)).toEqual(one.data.frames.map((f) => f.state))
    expect(back.data.said.join('\n')).not.toMatch(/does not say (where|how it|how large|which)/)
  }
})

it('gives points away and takes them back, as rows and as JSON', async () => {
  const sees = (k: number, f: number) => f !== 4 && !(k === 1 && f % 3 === 1)
  const points = PLACES.map((p, k) => ({
    name: `p${k}`,
    seen: Array.from({ length: FRAMES }, (_, f) => [f, ...went(p, f)]).filter(([f]) => sees(k, f as number)),
  }))
  const said = { pixelCentres: 'half', firstFrame: 0, size: [width, height], y: 'down' }
  await write('points.json', JSON.stringify({ ...said, points }))
  await shot([{ id: 'wall', file: 'points.json' }], 'i')
  const [one = expect.fail()] = await trackShot(document('i'))
  expect(one.data.points).toHaveLength(PLACES.length)
  for (const out of ['points-back.csv', 'points-back.json']) {
    await write(out, await motionText(document('i'), { id: 'wall', data: one }, 'points', path(out)))
    await shot([{ id: 'wall', file: out }], 'j')
    const [back = expect.fail()] = await trackShot(document('j'))
    for (const [k, p] of back.data.points.entries()) {
      const { seen } = points[k] ?? expect.fail()
      expect(p.seen).toEqual(seen.map(([f, x, y]) => [f, expect.closeTo(x!, 5), expect.closeTo(y!, 5), 0.5]))
    }
    expect(back.data.frames).toEqual(
      one.data.frames.map((f) => ({
        ...f,
        matrix: f.matrix.map((v) => expect.closeTo(v, 6)),
        spreadPx: expect.closeTo(f.spreadPx, 5),
      })),
    )
  }
  await shot([{ id: 'made', file: 'made.csv' }], 'k')
  const [made = expect.fail()] = await trackShot(document('k'))
  await expect(motionText(document('k'), { id: 'made', data: made }, 'points', 'a.csv')).rejects.toThrow(
    /^tracks.made: It has no points/,
  )
})

it('takes a turning camera, and says what it takes for granted', async () => {
  await write('turn.csv', 'frame,pan,tilt,roll,focal\n0,0,0,0,100\n9,10,0,0,100\n')
  await shot([{ id: 'turn', file: 'turn.csv' }], 'd', {
    plate: {
      file: 'plate/plate.####.png',
      rate: '24',
      treatments: { 'lens.distortion': { value: [-0.1, 0, 0, 0, 0], evidence: { kind: 'set' } } },
    },
  })
  const [{ data } = expect.fail()] = await trackShot(document('d'))
  const m = data.frames[9]?.matrix as number[]
  const w = (m[6] as number) * 80 + (m[7] as number) * 48 + 1
  // What lay ahead lies F·tan 10° further left.
  expect(((m[0] as number) * 80 + (m[1] as number) * 48 + (m[2] as number)) / w).toBeCloseTo(
    80 - 100 * Math.tan(Math.PI / 18),
    4,
  )
  expect(data.motion).toBe('rotation')
  expect(data.said).toEqual([
    expect.stringMatching(/^Frames 1 to 8 are carried over/),
    expect.stringMatching(/0.5 px is assumed/),
    expect.stringMatching(/how it numbers frames/),
    expect.stringMatching(/how large/),
    expect.stringMatching(/without its distortion/),
  ])
})

it('is refused with its file and line, or with what it asks', async () => {
  const refused = async (ask: object, name = 'bad.csv') => {
    await shot([{ id: 'bad', file: name, ...ask }], 'e')
    return trackShot(document('e')).then(
      () => 'taken',
      (e: Error) => e.message,
    )
  }
  expect(await refused({})).toMatch(
    /^tracks.bad: The file .* cannot be read; received bad.csv\. Look at its name and folder/,
  )
  expect(await refused({}, 'plate')).toMatch(/cannot be read/)
  await write('bad.txt', '')
  expect(await refused({}, 'bad.txt')).toMatch(/^bad.txt: .*expected a name that ends in .csv or .json/)
  await write('bad.csv', `${HEAD}frame,x,y\n0,1,2\n1,1\n`)
  expect(await refused({})).toMatch(/^bad.csv, line 7: this row is wrong; .*received 2: 1,1\. Mend the file/)
  await write('bad.json', '[[1,0,0,0,1,0,0,0,1],[1,2]]')
  expect(await refused({}, 'bad.json')).toMatch(/^bad.json, frames\[1\]: this entry is wrong/)
  await write('bad.csv', `${HEAD}frame,x,y\n1,1,2\n`)
  expect(await refused({})).toMatch(/^bad.csv: the file shows nothing on the reference frame/)
  await write('bad.csv', `${HEAD}${M}\n0,1,0,0,0,1,0,0,0,1\n`)
  expect(await refused({ motion: 'affine' })).toMatch(/^tracks.bad: .*received motion affine/)
  expect(await refused({ corrections: [{ frame: 1, from: [1, 1], to: [2, 2] }] })).toMatch(
    /received corrections/,
  )
  expect(await refused({ motion: 'homography' })).toBe('taken')
  await write('bad.csv', `${HEAD}${M}\n0,1,0,0,0,1,0,0,0,1\n1,-1,0,160,0,1,0,0,0,1\n`)
  expect(await refused({})).toMatch(/^bad.csv, frame 1 of the shot: This motion mirrors/)
  await write('bad.csv', `${HEAD}frame,x,y\n0,1e9,2\n`)
  expect(await refused({})).toMatch(/^bad.csv: A point lies far outside .*received 1000000000, 2/)
})

it('is stale when its file holds something else, and only then', async () => {
  const text = (x: number) => `${HEAD}${M}\n0,1,0,0,0,1,0,0,0,1\n9,1,0,${x},0,1,0,0,0,1\n`
  await write('slide.csv', text(9))
  await shot([{ id: 'slide', file: 'slide.csv' }], 'f')
  await trackShot(document('f'))
  const found = async () => {
    const { shot: now } = await loadShot(document('f'))
    const plate = await openSource(path('plate/plate.####.png'))
    await plate.close()
    const one = (await findTracks(now, folder, plate.info)).slide
    return one !== undefined && 'problem' in one ? one.problem.code : one?.track.frames[9]?.matrix[2]
  }
  expect(await found()).toBe(9)
  await write('slide.csv', text(12))
  expect(await found()).toBe('engine.track-stale')
  await write('slide.csv', text(9))
  expect(await found()).toBe(9)
  await write('slide.csv', text(12))
  expect(await trackShot(document('f'))).toMatchObject([{ kept: false }])
  expect(await found()).toBe(12)
  await rm(path('slide.csv'))
  expect(await found()).toBe('track.file-missing')
})

it('is added by name, once, and not where its file holds none', async () => {
  await shot([], 'g')
  await write('none.csv', 'frame;x\n')
  await write('late.csv', 'frame,x,y,name\n5,1,2,a\n3,1,2,b\n4,1,2,b\n')
  const add = (file: string, id?: string) => trackShot(document('g'), { add: { file: path(file), id } })
  const text = await readFile(document('g'), 'utf8')
  await expect(add('none.csv')).rejects.toThrow(/none.csv, line 1/)
  expect(await readFile(document('g'), 'utf8')).toBe(text)
  expect(await add('made.csv')).toMatchObject([{ id: 'file', kept: false }])
  expect(await add('made.csv', 'file')).toMatchObject([{ id: 'file', kept: true }])
  await expect(add('late.csv', 'file')).rejects.toThrow(/Another track has this name/)
  await add('late.csv')
  expect((await loadShot(document('g'))).shot.tracks).toMatchObject([
    { id: 'file', file: 'made.csv', reference: 0 },
    { id: 'file-2', file: 'late.csv', reference: 3 },
  ])
})

it('goes in and out by the command line, never over another file', async () => {
  await shot([], 'h')
  const run = (...args: string[]) => platefit(folder, ['track', 'h.shot.json', ...args])
  const taken = await run('--file', 'made.csv', '--id', 'wall', '--export', 'out.json')
  expect(taken).toMatchObject({ code: 1, err: '' })
  expect(taken.out).toMatch(/wall +homography +8 of 10 .* read\n/)
  expect(taken.out).toMatch(/its matrices: out.json/)
  const out = await readFile(path('out.json'), 'utf8')
  expect(JSON.parse(out)).toMatchObject({ size: [width, height], y: 'down', firstFrame: 0 })
  // The same once more changes nothing; something else is not written over.
  expect((await run('wall', '--export', 'out.json')).code).toBe(1)
  const over = await run('wall', '--export', 'made.csv')
  expect(over).toMatchObject({ code: 2, err: expect.stringMatching(/made.csv: There is already a file/) })
  expect((await run('--export', 'x.csv')).err).toMatch(/expected the name of one track\n +received none/)
  expect((await run('wall', '--export', 'x.txt')).err).toMatch(/\.csv or \.json/)
  const none = await run('wall', '--export-points', 'none.json')
  expect(none).toMatchObject({ code: 2, err: expect.stringMatching(/It has no points/) })
  await run('--file', 'points.json', '--id', 'door', '--export-points', 'door.csv')
  expect(await readFile(path('door.csv'), 'utf8')).toMatch(/frame,x,y,name\n0,20,10,point 1\n/)
  const help = (await platefit(folder, ['track', '--help'])).out
  for (const words of [
    '--file <path>',
    '--export <path>',
    '--export-points <path>',
    '# pixel centres:',
    '# size:',
    '# y:',
    'frame,pan,tilt',
  ])
    expect(help).toContain(words)
})
