/** A still or a numbered sequence as a source: one file a frame, read when it is asked for. */
import { readFile } from 'node:fs/promises'
import { type Evidence, type NativeFrame, Problem } from '../../core/index.js'
import type { OpenOptions, Rate, Source, SourceInfo } from '../types.js'
import { describe } from './describe.js'
import { clockOf } from './exr/clock.js'
import { exrFacts } from './exr/facts.js'
import { exrFindings } from './exr/guard.js'
import { dataInFrame, windowsDiffer } from './exr/window.js'
import { type Look, requireAlike } from './look.js'
import { type Orientation, orientFrame } from './orient.js'
import { readPicture } from './picture.js'
import { pictureColour } from './pictureColour.js'
import type { NumberedFiles } from './sequenceName.js'
import { GIVEN } from './tags.js'
import { tiffAlpha } from './tiffAlpha.js'
import { commonSize, fillUp, unevenFinding } from './uneven.js'

export async function openPictures(
  path: string,
  found: NumberedFiles,
  options: OpenOptions,
): Promise<Source> {
  const where = found.files[0] as string
  const bytes = await load(where)
  const first = await readPicture(bytes, where, options.layer)
  const sizes = await commonSize(found.files, first.look, first.look.format.layout.alpha).catch(
    (error: unknown) => {
      if (error instanceof Problem && options.inspect === true) return error
      throw error
    },
  )
  const common = sizes instanceof Problem ? undefined : sizes
  const look = { ...first.look, ...common }
  const colour = pictureColour(first, bytes, where)
  const { info: described, orientation } = describe({
    where,
    look: { ...look, tags: colour.tags },
    codec: first.kind,
    alphaTag: first.kind === 'tiff' ? tiffAlpha(bytes) : undefined,
    known: colour.known,
    guesses: colour.guesses,
    overrides: options.encoding ?? {},
    evidence: options.evidence,
  })
  const { exr } = first
  const clock = exr && (await clockOf(found.files, bytes, exr.header, exr.layer.part, options.rate))
  const rate = options.rate ?? clock?.rate ?? { num: 24, den: 1 }
  const info: SourceInfo = {
    path,
    kind: found.kind,
    container: found.kind === 'still' ? 'file' : 'numbered files',
    ...described,
    rate,
    rateEvidence: rateEvidence(options, clock?.rate),
    frameCount: found.files.length,
    durationSeconds: (found.files.length * rate.den) / rate.num,
    firstNumber: found.firstNumber,
    ...(clock?.timecode === undefined ? {} : { timecode: clock.timecode }),
    conform: { repeated: [], dropped: [] },
    findings: [
      ...(found.hole === undefined ? [] : [found.hole]),
      ...(found.note === undefined ? [] : [found.note]),
      ...(sizes instanceof Problem ? [sizes] : []),
      ...described.findings,
      ...colour.findings,
      ...(common === undefined ? [] : [unevenFinding(path, common)]),
      ...(clock?.findings ?? []),
      ...(exr === undefined ? [] : exrFindings(exr.header, exr.layer, where)),
    ],
    ...(exr !== undefined && windowsDiffer(exr.part) ? { dataWindow: dataInFrame(exr.part) } : {}),
    ...(exr === undefined ? {} : { exr: exrFacts(exr) }),
  }
  const opened = { files: found.files, first: look, uneven: common !== undefined, orientation }
  return new Pictures(info, { ...opened, layer: options.layer })
}

function rateEvidence(given: OpenOptions, own: Rate | undefined): Evidence {
  if (given.rate !== undefined) return given.evidence?.rate ?? GIVEN
  if (own !== undefined)
    return { kind: 'measured', frames: [0], method: 'framesPerSecond attribute', confidence: 1 }
  return { kind: 'assumed', why: 'no rate in the files: 24 a second', confidence: 0.3 }
}

interface Opened {
  readonly files: readonly string[]
  readonly first: Look
  readonly uneven: boolean
  readonly orientation: Orientation
  readonly layer: string | undefined
}

class Pictures implements Source {
  readonly info: SourceInfo
  readonly #opened: Opened

  constructor(info: SourceInfo, opened: Opened) {
    this.info = info
    this.#opened = opened
  }

  async *frames(first = 0, count = this.#opened.files.length): AsyncGenerator<NativeFrame, void, undefined> {
    for (const file of this.#opened.files.slice(first, first + count)) yield this.#read(file)
  }

  async #read(file: string): Promise<NativeFrame> {
    const { first, uneven, orientation, layer } = this.#opened
    const picture = await readPicture(await load(file), file, layer)
    const frame = uneven ? fillUp(picture.frame, first) : picture.frame
    requireAlike({ ...picture.look, width: frame.width, height: frame.height }, first, file)
    return orientFrame(frame, orientation, this.info.layout)
  }

  reach(): number {
    return 1
  }

  async close(): Promise<void> {}
}

async function load(file: string): Promise<Buffer> {
  try {
    return await readFile(file)
  } catch (error) {
    throw new Problem({
      code: 'media.file-unreadable',
      what: 'The file cannot be read',
      where: file,
      received: error instanceof Error ? error.message : String(error),
      remedy: 'Check that it is still there and that you may read it.',
    })
  }
}
