import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { emptyImage, uniform } from '../../core/index.js'
import { curveTable } from '../curve/table.js'
import { duringScratch } from '../wasm/memory.js'
import { coarseRows, grainRows } from './apply.js'
import { mixFactor } from './factor.js'
import { topUp, type VarianceTables, varianceOf } from './topUp.js'
import { topUp as plainTopUp, varianceOf as plainVarianceOf } from './topUpScalar.js'

const tables: VarianceTables = [
  curveTable((x) => 1e-4 + 1e-3 * Math.min(Math.max(x, 0), 1)),
  curveTable((x) => 2e-4 + 5e-4 * Math.min(Math.max(x, 0), 2)),
  curveTable(() => 3e-4),
]
const field = {
  seed: 3,
  frame: 9,
  taps: [
    { x: [1], y: [1] },
    { x: [0.3, 1, 0.3], y: [1] },
    { x: [1], y: [0.2, 1, 0.2] },
  ],
  mixing: mixFactor([0.4, 0.1, 0.3]),
} as const
const coarse = {
  ...{ size: 5, mixing: mixFactor([-0.4, -0.1, 0.2]) },
  share: [
    curveTable((x) => Math.min(Math.max(x, 0), 1)),
    curveTable(() => 0.3),
    curveTable((x) => (x > 0.5 ? 1 : 2 * Math.max(x, 0))),
  ] as VarianceTables,
}

const fast = watchKernels('varianceRow', 'topUpRow')

it('variance by level and top-up by SIMD and in plain TypeScript give the same bits, odd values included', () => {
  const odd = [0, -0.4, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e-30, 1e9]
  const side = fc.integer({ min: 1, max: 24 })
  fc.assert(
    fc.property(side, side, (width, height) => {
      const image = emptyImage({ x: 5, y: -2, width, height })
      for (let i = 0; i < image.data.length; i++) {
        image.data[i] = i % 37 === 4 ? odd[i % odd.length] : 1.3 * uniform(7, 0, i, 0, 0)
      }
      const touched = Uint8Array.from({ length: width * height }, (_, p) => (p % 13 < 4 ? p % 2 : 1))
      const norm = varianceOf(image, tables)
      const twin = plainVarianceOf(image, tables)
      const kept = norm.map((v, i) => v * uniform(8, 0, i, 0, 0) * 1.4)
      same(norm, twin)
      for (const second of [undefined, coarse]) {
        const [own, copy] = [0, 1].map(() => ({ region: image.region, data: image.data.slice() }))
        duringScratch(() => {
          const rows = second && { rows: coarseRows(field, second, own.region), share: second.share }
          topUp(own, kept, touched, tables, { fine: grainRows(field, own.region), coarse: rows })
        })
        plainTopUp(copy, kept, touched, tables, field, second)
        same(own.data, copy.data)
      }
    }),
    { numRuns: 100 },
  )
  fast()
})

function same(ours: Float32Array, twin: Float32Array): void {
  for (let i = 0; i < twin.length; i++) {
    if (!Object.is(ours[i], twin[i])) expect({ i, v: ours[i] }).toEqual({ i, v: twin[i] })
  }
}
