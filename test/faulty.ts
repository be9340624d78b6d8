/** Shot documents with one thing changed, over the small files. */
import { writeFile } from 'node:fs/promises'
import { join, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'

/** Where published pictures stand, when they do. */
export const footage =
  process.env.PLATEFIT_FOOTAGE ?? resolve(fileURLToPath(new URL('../../shared/footage', import.meta.url)))

export type Loose = Record<string, unknown>
export type Change = (plate: Loose, element: Loose) => void

/** Writes `name.shot.json` into `folder`: the small plate with the small fire in its middle, changed. Gives its name. */
export async function changedShot(folder: string, name: string, change: Change): Promise<string> {
  const plate: Loose = { file: 'plate' }
  const element: Loose = {
    id: 'fire',
    file: 'fire',
    alpha: 'on-black',
    nature: 'emits',
    position: { x: 80, y: 48 },
    scale: 1,
  }
  change(plate, element)
  await writeFile(
    join(folder, `${name}.shot.json`),
    JSON.stringify({ platefit: 1, plate, elements: [element] }),
  )
  return `${name}.shot.json`
}
