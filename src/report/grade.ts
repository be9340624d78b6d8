/** A grading decision of the artist's over the page's pictures: on the plate's code values, before the view. */
import { basename } from 'node:path'
import {
  applyCdl,
  type CdlValues,
  cdlCorrections,
  cdlValues,
  channelCurves,
  readCdl,
} from '../colour/index.js'
import { type ColourEncoding, type FloatImage, Problem } from '../core/index.js'
import { readLook } from './readLook.js'
import type { View } from './view.js'

export interface Grade {
  /** File, and the correction's id where it has one. */
  readonly name: string
  readonly values: CdlValues
}

/** The view with the decision before it; light, its push in stops included, goes through the plate's curve and back. */
export function gradedView(view: View, plate: ColourEncoding, { name, values }: Grade): View {
  const curves = channelCurves(plate)
  const graded = (light: Float32Array | Float64Array, push: number) => {
    for (const [c, { encode }] of curves.entries())
      for (let i = c; i < light.length; i += 4) light[i] = encode((light[i] as number) * push)
    applyCdl(light, values)
    for (const [c, { decode }] of curves.entries())
      for (let i = c; i < light.length; i += 4) light[i] = decode(light[i] as number)
  }
  return {
    words: `Graded by ${name}, on the plate's code values, for these pictures alone. ${view.words}`,
    wideRange: view.wideRange,
    colour: ([r, g, b]) => {
      const light = Float64Array.of(r, g, b, 1)
      graded(light, 1)
      return view.colour([light[0] as number, light[1] as number, light[2] as number])
    },
    image: (image, { stops = 0, ...push }) => {
      const copy: FloatImage = { region: image.region, data: image.data.slice() }
      graded(copy.data, 2 ** stops)
      return view.image(copy, push)
    },
  }
}

/**
 * @param id of the correction, where the file holds several
 * @throws Problem `report.grade-unreadable`, `report.grade-which`, and what the file's own reader throws
 */
export async function readGrade(file: string, id?: string): Promise<Grade> {
  const name = basename(file)
  const text = await readLook(file, {
    code: 'report.grade-unreadable',
    what: 'The grading decision',
    expected: 'a .cc, .ccc or .cdl file',
    option: '--grade',
  })
  const all = cdlCorrections(readCdl(text, name))
  const [only, ...more] = id === undefined ? all : all.filter((c) => c.id === id)
  if (only !== undefined && more.length === 0) {
    return { name: only.id === undefined ? name : `${name}, ${only.id}`, values: cdlValues(only) }
  }
  const ids = all.map((c) => c.id ?? '(no id)')
  throw new Problem({
    code: 'report.grade-which',
    what: id === undefined ? 'The file does not hold one correction' : 'The file holds no such correction',
    where: file,
    expected: id === undefined ? 'one correction, or the id of one of them' : `one of ${ids.join(', ')}`,
    received: id === undefined ? ids.join(', ') || 'none' : id,
    remedy: 'Name one of them with --grade-id.',
  })
}
