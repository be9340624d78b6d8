import fc from 'fast-check'
import { expect, it } from 'vitest'
import { watchKernels } from '../../../test/fastPath.js'
import { curveOf } from '../../colour/index.js'
import { applyCurve, curved } from './apply.js'
import { applyCurve as plain } from './scalar.js'
import { curveTable } from './table.js'

const fast = watchKernels('curve')

it('curves by SIMD and in plain TypeScript give the same bits, from any float to any other', () => {
  const tables = (['pq', 's-log3', 'srgb'] as const).flatMap((c) => [
    curveTable(curveOf(c).decode),
    curveTable(curveOf(c).encode),
  ])
  const tame = fc.double({ min: -1.5, max: 1.5, noNaN: true })
  const one = fc.constantFrom(fc.float(), tame, fc.oneof({ weight: 9, arbitrary: tame }, fc.float()))
  fc.assert(
    fc.property(
      one.chain((value) => fc.array(value, { minLength: 1, maxLength: 40 })),
      fc.constantFrom(...tables),
      (values, table) => {
        const region = { x: 0, y: 0, width: values.length, height: 1 }
        const ours = { region, data: Float32Array.from(values.flatMap((v) => [v, -v, v / 3, v])) }
        const twin = { region, data: ours.data.slice() }
        const apart = curved(ours, table)
        applyCurve(ours, table)
        plain(twin, table)
        twin.data.forEach((v, i) => {
          if (!Object.is(ours.data[i], v)) expect({ i, v: ours.data[i] }).toEqual({ i, v })
          if (!Object.is(apart.data[i], v)) expect({ i, v: apart.data[i] }).toEqual({ i, v })
        })
      },
    ),
    { numRuns: 500 },
  )
  fast()
})
