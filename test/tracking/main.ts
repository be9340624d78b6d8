/**
 * `npm run tracking [-- --json] [-- --only WORD]`: moves with known truth painted over surfaces, followed, and how far off it is.
 * Surfaces are made here; where the footage folder is present a photograph of it is one more. `graf` is of two photographs with a
 * published matrix, where Debian's `opencv-doc` is installed. --json: a row a line.
 */
import { resolve } from 'node:path'
import { cases } from './cases.js'
import { type ClothRow, clothFine, clothRow, cloths } from './clothScore.js'
import { grafFine, grafRow, grafThere } from './graf.js'
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
const graf = grafThere && 'graf'.includes(only) ? await grafRow() : undefined
if (graf !== undefined && json) console.log(JSON.stringify(graf))
if (!grafThere && !json) console.log('no graf: the pictures of opencv-doc are not there')
const bending: ClothRow[] = []
for (const [surface, own] of Object.entries({ plaster: surfaces.plaster, cobbles: surfaces.cobbles })) {
  for (const [name, cloth] of Object.entries(cloths(own))) {
    if (!`cloth-${name}-${surface}`.includes(only)) continue
    const row = await clothRow(`${name}-${surface}`, cloth)
    bending.push(row)
    if (json) console.log(JSON.stringify(row))
  }
}
if (!json) console.table([...rows, ...(graf ? [graf] : []), ...bending])
const allFine = rows.every(fine) && (graf === undefined || grafFine(graf)) && bending.every(clothFine)
process.exitCode = allFine ? 0 : 1
