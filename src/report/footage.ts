/** The report's hands on real files: read, decode, view, encode. */
import { stat } from 'node:fs/promises'
import { basename, relative, sep } from 'node:path'
import {
  type ColourEncoding,
  type EncodingTags,
  type NativeFrame,
  Problem,
  type Region,
  type Rgb,
} from '../core/index.js'
import { withResponse } from '../engine/response.js'
import { tablesOf } from '../engine/tables.js'
import { engineVersion } from '../engine/version.js'
import { applyCurve, type CurveTables, unpack } from '../kernels/index.js'
import { encodeStill, type OpenOptions, openSource, type Rate, type Source } from '../media/index.js'
import type { Shot } from '../shot/schema.js'
import { fileFacts } from './file-facts.js'
import { type Grade, gradedView } from './grade.js'
import type { Footage, Hands, Look, Picture, Push, Role } from './types.js'
import { plateView, type View, type ViewTable } from './view.js'

/** Hands for one shot. Paths on the page are relative to `folder`, so that the page is the same wherever it is made. */
export async function realHands(shot: Shot, folder: string, looks: Looks = {}): Promise<Hands> {
  let plate: ColourEncoding | undefined
  let view: View | undefined
  return {
    version: engineVersion(),
    get viewing() {
      return view?.words ?? ''
    },
    swatch(colour: Rgb) {
      const [r, g, b] = view?.colour(colour) ?? colour
      return [Math.round(255 * r), Math.round(255 * g), Math.round(255 * b)]
    },
    encode: (p, format, quality) => encodeStill(p.rgb, p.width, p.height, format, quality),
    async open(role, path) {
      const file = await openSource(path, role === 'plate' ? overrides(shot) : {})
      const source = role === 'plate' ? withResponse(file, shot) : file
      const encoding = plate === undefined ? source.info.encoding : like(plate, source.info.encoding)
      plate ??= encoding
      view ??= lookedAt(plate, looks)
      const name = shownPath(folder, path)
      const facts = fileFacts(role, name, file.info, encoding, await sizeOf(source))
      return footage(source, role, encoding, view, facts)
    },
  }
}

/** How the artist wants to look at the pictures. */
export interface Looks {
  readonly table?: ViewTable
  readonly grade?: Grade
}

function lookedAt(plate: ColourEncoding, { table, grade }: Looks): View {
  const view = plateView(plate, table)
  return grade === undefined ? view : gradedView(view, plate, grade)
}

/** What we render stands in the plate's own curve and primaries, or in linear light of its primaries. */
function like(plate: ColourEncoding, own: ColourEncoding): ColourEncoding {
  const { response, curve, primaries } = plate
  if (own.curve === 'linear') return { ...own, primaries }
  return { ...own, primaries, curve, ...(response === undefined ? {} : { response }) }
}

function footage(
  source: Source,
  role: Role,
  encoding: ColourEncoding,
  view: View,
  facts: Footage['facts'],
): Footage {
  const tables = tablesOf(encoding, 'decode')
  const { num, den } = source.info.pixelAspect
  return {
    pixelAspect: num > 0 && den > 0 ? num / den : 1,
    frameCount: source.info.frameCount,
    wideRange: view.wideRange,
    facts,
    async look(frame) {
      for await (const native of source.frames(frame, 1)) return lookOf(native, encoding, view, tables)
      throw new Problem({
        code: 'report.frame-missing',
        what: `The ${role} has no frame ${frame}`,
        where: source.info.path,
        expected: `frames 0 to ${source.info.frameCount - 1}`,
        remedy: 'Check the file that this shot document renders, whole.',
      })
    },
    close: () => source.close(),
  }
}

function lookOf(native: NativeFrame, own: ColourEncoding, view: View, tables: CurveTables): Look {
  return {
    width: native.width,
    height: native.height,
    view(region: Region, push: Push = {}): Picture {
      const image = unpack(native, own, region)
      applyCurve(image, tables)
      return { width: region.width, height: region.height, rgb: view.image(image, push) }
    },
  }
}

function overrides({ plate }: Shot): OpenOptions {
  const encoding: { -readonly [K in keyof EncodingTags]?: EncodingTags[K] } = {}
  if (plate.curve !== undefined) encoding.curve = plate.curve
  if (plate.primaries !== undefined) encoding.primaries = plate.primaries
  if (plate.matrix !== undefined) encoding.matrix = plate.matrix
  if (plate.range !== undefined) encoding.range = plate.range
  return {
    encoding,
    ...(plate.rate === undefined ? {} : { rate: rateOf(plate.rate) }),
    ...(plate.layer === undefined ? {} : { layer: plate.layer }),
    ...(plate.still === true ? { still: true } : {}),
  }
}

function rateOf(text: string): Rate {
  const [num = '24', den = '1'] = text.split('/')
  return { num: Number(num), den: Number(den) }
}

/** Bytes of a movie or still; a sequence has none of its own. */
async function sizeOf(source: Source): Promise<number | undefined> {
  if (source.info.kind === 'sequence') return undefined
  return (await stat(source.info.path)).size
}

function shownPath(folder: string, path: string): string {
  const inside = relative(folder, path).split(sep).join('/')
  return inside.startsWith('../') ? basename(path) : inside
}
