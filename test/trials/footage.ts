/**
 * The two shots on real footage: soot and flame over the rooftop (PQ, hand-held) and over the car park (locked off),
 * to ProRes 422 HQ and to EXR, checked and reported; and the plate's own samples on every plate there is.
 */
import { existsSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { checkShot, fitShot, renderShot } from '../../src/engine/index.js'
import { writeReport } from '../../src/report/index.js'
import { parseShot, type Shot } from '../../src/shot/index.js'
import { follow, skylineMatte } from './follow.js'
import { footage, outFolder, say } from './setting.js'

const plates = join(footage, 'plates')
const elements = join(footage, 'elements')

async function rooftop(folder: string): Promise<Shot> {
  const file = join(plates, 'rooftop-pq.mp4')
  const keys = await follow(file, 780, 330)
  const matte = join(folder, 'skyline')
  await skylineMatte(file, join(matte, 'skyline.####.png'), 0.54, 0.06, 450)
  const far = { distanceM: 600, keys, rate: '24' }
  return parseShot(
    {
      platefit: 1,
      plate: { file },
      site: { visibilityM: 15000 },
      elements: [
        {
          id: 'soot',
          file: join(elements, 'soot', 'soot.####.png'),
          alpha: 'straight',
          nature: 'absorbs',
          position: { x: 1010, y: 375 },
          scale: 0.45,
          ...far,
          holdout: { file: join(matte, 'skyline.####.png') },
          compareWith: { x: 745, y: 240, width: 88, height: 160, frame: 0, distanceM: 400 },
        },
        {
          id: 'flame',
          file: join(elements, 'flame-small', 'flame-small.####.png'),
          alpha: 'straight',
          nature: 'emits',
          position: { x: 930, y: 424 },
          scale: 0.12,
          ...far,
        },
      ],
    },
    'rooftop',
  )
}

function carpark(): Shot {
  return parseShot(
    {
      platefit: 1,
      plate: { file: join(plates, 'carpark-lockedoff.mp4'), frames: { first: 0, count: 24 } },
      elements: [
        {
          id: 'soot',
          file: join(elements, 'soot', 'soot.####.png'),
          rate: '12',
          alpha: 'straight',
          nature: 'absorbs',
          position: { x: 520, y: 130 },
          scale: 0.42,
          compareWith: { x: 500, y: 0, width: 140, height: 48, frame: 0 },
        },
        {
          id: 'flame',
          file: join(elements, 'flame', 'flame.####.png'),
          rate: '24',
          alpha: 'straight',
          nature: 'emits',
          inside: 'soot',
          position: { x: 545, y: 120 },
          scale: 0.16,
          treatments: { 'light.exposure': { value: [1.5], evidence: { kind: 'set' } } },
        },
      ],
    },
    'carpark',
  )
}

async function wholeJob(name: string, make: (folder: string) => Promise<Shot> | Shot): Promise<void> {
  const folder = outFolder(name)
  const start = performance.now()
  const { shot } = await fitShot(await make(folder), folder)
  writeFileSync(join(folder, `${name}.shot.json`), JSON.stringify(shot, null, 2))
  const rendered = join(folder, `${name}.mov`)
  const plain = join(folder, 'plain.mov')
  const movie = await renderShot(shot, folder, { out: rendered, format: 'prores-422-hq' })
  await renderShot(shot, folder, { out: plain, format: 'prores-422-hq', variant: 'plain' })
  await renderShot(shot, folder, { out: join(folder, 'exr', `${name}.####.exr`), format: 'exr-half' })
  const check = await checkShot(shot, folder, rendered)
  const report = await writeReport(
    { shot, folder, check, rendered, plain, out: join(folder, 'report.html') },
    {},
  )
  say(name, {
    frames: movie.frames.length,
    'render frames/s': movie.frames.length / movie.seconds,
    tells: check.tells.map((t) => t.tell).join(' ') || 'none',
    'report MB': report.bytes / 1e6,
    seconds: (performance.now() - start) / 1000,
  })
  for (const t of check.tells) console.log(`  ${t.tell}: ${t.sentence}`)
  for (const u of check.undecided)
    console.log(`  cannot tell ${u.tell} of ${u.element ?? 'the plate'}: ${u.why}`)
}

if (existsSync(plates)) {
  await wholeJob('rooftop', rooftop)
  await wholeJob('carpark', carpark)
}
