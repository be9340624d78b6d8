import { test } from 'vitest'
import { shotSchema } from '../../src/shot/schema.js'
import { writeReport } from '../../src/report/index.js'
import { buildReport } from '../../src/report/write.js'
import { found, tell } from './findings.js'
import { png } from './png.js'
import { encodeStill } from '../../src/media/still.js'
import { dusk, paintedHands } from './scene.js'
test('preview', async () => {
  const hands = paintedHands(dusk(1), 960, 540, (p, f, q) => encodeStill(p.rgb, p.width, p.height, f, q))
  const shot = shotSchema.parse({ platefit: 1, plate: { file: 'plate.mov' } })
  const r = await buildReport({ shot, folder: '/x', check: found(7), rendered: 'out.mov', plain: 'plain.mov', truth: 'truth.mov', out: '/tmp/rep/a.html', title: 'Breakwater, smoke behind the fence' }, {}, hands)
  console.log(r)
})
test('real', async () => {
  const f = '/work/shared/footage/plates'
  for (const [file, r] of [['rooftop-pq.mp4', 6], ['carpark-lockedoff.mp4', 30]] as const) {
    const t = performance.now()
    const shot = shotSchema.parse({ platefit: 1, plate: { file, frames: { first: r, count: 5 } } })
    const check = found(3, { framesLookedAt: [0, 2, 4] })
    const c2 = { ...check, tells: check.tells.map((x) => ({ ...x, frames: [0, 4] as const, region: { x: 500, y: 300, width: 800, height: 500 } })) }
    const res = await writeReport({ shot, folder: f, check: c2, rendered: `${f}/${file}`, out: `/tmp/rep/${file}.html` }, {})
    console.log(res, performance.now() - t)
  }
})
