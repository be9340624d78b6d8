/** How the page's pictures are seen: by the viewing transform, or through a table of the artist's. */
import { basename } from 'node:path'
import {
  type CubeTable,
  reachesBeyondWhite,
  readCube,
  tableViewing,
  tableViewingWords,
  viewImage,
  viewImageThroughTable,
  viewing,
  viewingWords,
} from '../colour/index.js'
import type { ColourEncoding, FloatImage, Rgb } from '../core/index.js'
import { readLook } from './readLook.js'
import type { Push } from './types.js'

/** A look-up table, and the name that the page gives it. */
export interface ViewTable {
  readonly name: string
  readonly table: CubeTable
}

/** From linear light in the plate's primaries to what the page shows. */
export interface View {
  readonly words: string
  /** The page chooses how bright to show light beyond diffuse white; a table has chosen already. */
  readonly wideRange: boolean
  /** Shown code values 0…1 of one colour. */
  colour(rgb: Rgb): Rgb
  /** Shown 8-bit codes, three bytes a pixel. */
  image(image: FloatImage, push: Push): Uint8Array
}

export function plateView(plate: ColourEncoding, through?: ViewTable): View {
  if (through === undefined) {
    return {
      words: viewingWords(plate),
      wideRange: reachesBeyondWhite(plate),
      colour: viewing(plate),
      image: (image, push) => viewImage(image, plate, push),
    }
  }
  const { name, table } = through
  return {
    words: tableViewingWords(plate, table, name),
    wideRange: false,
    colour: tableViewing(plate, table),
    image: (image, push) => viewImageThroughTable(image, plate, table, push),
  }
}

/**
 * @throws Problem `report.view-unreadable` where the file cannot be read, `colour.cube-content` where it is no table
 */
export async function readViewTable(file: string): Promise<ViewTable> {
  const name = basename(file)
  const text = await readLook(file, {
    code: 'report.view-unreadable',
    what: 'The viewing table',
    expected: 'a .cube file',
    option: '--view',
  })
  return { name, table: readCube(text, name) }
}
