import { expect, it } from 'vitest'
import { grafFine, grafRow, grafThere } from './graf.js'

it.skipIf(!grafThere)('carries a wall over 30° to where the published matrix does', async () => {
  expect(await grafRow()).toSatisfy(grafFine)
})
