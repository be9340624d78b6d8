/**
 * `npm run tracking [-- --json] [-- --only WORD]`: moves with known truth painted over surfaces, followed, and how far off it is.
 * Surfaces are made here; where the footage folder is present a photograph of it is one more. --json: a row a line.
 */
import { resolve } from 'node:path'
import { cases } from './cases.js'
import { type ClothRow, clothFine, clothRow, cloths } from './clothScore.js'
import { fine, type Row, scored } from './score.js'
import { cobbles, photograph, plaster } from './texture.js'

const args = process.argv.slice(2)
const json = args.includes('--json')
const at = args.indexOf('--only')
const only = at < 0 ? '' : (args[at + 1] ?? '')
const footage = process.env.PLATEFIT_FOOTAGE ?? resolve('..', 'shared', 'footage')
const photo = await photograph(footage, 'depth/motorcycle_left.png')
if (photo === undefined && !json) console.log('no photograph: there is no footage folder')
const surfaces = {
  plaster: plaster(2600, 1700),
  cobbles: cobbles(2600, 1700),
  ...(photo ? { photograph: photo } : {}),
}
const rows: Row[] = []
for (const one of cases(surfaces)) {
  if (!one.name.includes(only)) continue
  for (const row of await scored(one)) {
    rows.push(row)
    if (json) console.log(JSON.stringify(row))
  }
}
const bending: ClothRow[] = []
for (const [surface, own] of Object.entries({ plaster: surfaces.plaster, cobbles: surfaces.cobbles })) {
  for (const [name, cloth] of Object.entries(cloths(own))) {
    if (!`cloth-${name}-${surface}`.includes(only)) continue
    const row = await clothRow(`${name}-${surface}`, cloth)
    bending.push(row)
    if (json) console.log(JSON.stringify(row))
  }
}
if (!json) console.table([...rows, ...bending])
process.exitCode = rows.every(fine) && bending.every(clothFine) ? 0 : 1
