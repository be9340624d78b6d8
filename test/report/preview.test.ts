import { test } from 'vitest'
import { LIMIT_BYTES } from '../../src/report/budget.js'
import { shotSchema } from '../../src/shot/schema.js'
import { buildReport } from '../../src/report/write.js'
import { found } from './findings.js'
import { png } from './png.js'
import { dusk, paintedHands } from './scene.js'
test('preview', async () => {
  const hands = paintedHands(dusk(1), 960, 540, async (p) => png(p))
  const shot = shotSchema.parse({ platefit: 1, plate: { file: 'plate.mov' } })
  const r = await buildReport({ shot, folder: '/x', check: found(7), rendered: 'out.mov', plain: 'plain.mov', truth: 'truth.mov', out: '/tmp/rep/a.html', title: 'Breakwater, smoke behind the fence' }, {}, hands)
  console.log(r, LIMIT_BYTES)
  await buildReport({ shot, folder: '/x', check: found(0), rendered: 'out.mov', out: '/tmp/rep/b.html' }, {}, hands)
})
