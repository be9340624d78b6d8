/** A first shot document from files: opens them, says what is known, and writes down every guess. */
import { dirname, relative, resolve, sep } from 'node:path'
import { type Problem, primariesWords } from '../core/index.js'
import { openSource, type Source, type SourceInfo } from '../media/index.js'
import { type Assumption, type ElementFacts, firstShot, type Shot, withNewElement } from '../shot/index.js'
import { editShot, loadShot, saveShot } from './document.js'
import { alphaSaid, cornersBlack } from './ground.js'

/** Confidence in a tag of alpha, in a format's convention, and where nothing says anything: choices. */
const [TAGGED, CONVENTION, SILENT] = [0.8, 0.7, 0.5]

export interface NewShot {
  readonly plate: string
  readonly elements: readonly string[]
  /** The document to write; its folder is what paths inside are relative to. */
  readonly out: string
}

/**
 * Writes a first document.
 * @throws Problem of the media room for files that cannot be opened; as `saveShot`
 */
export async function newShot(ask: NewShot): Promise<{
  shot: Shot
  assumptions: Assumption[]
  findings: Problem[]
}> {
  const folder = dirname(resolve(ask.out))
  const within = (path: string) => relative(folder, resolve(path)).split(sep).join('/') || '.'
  const plate = await looked(ask.plate, async ({ info }) => info)
  const elements: ElementFacts[] = []
  const read = assumed('plate', plate)
  const findings = [...plate.findings]
  for (const [i, path] of ask.elements.entries()) {
    await looked(path, async (source) => {
      elements.push({ file: within(path), ...(await facts(source)) })
      read.push(...assumed(`elements[${i}]`, source.info))
      findings.push(...source.info.findings)
    })
  }
  const made = firstShot({ file: within(ask.plate), width: plate.width, height: plate.height }, elements)
  await saveShot(ask.out, made.shot)
  return { shot: made.shot, assumptions: [...read, ...made.assumptions], findings }
}

/**
 * Adds an element to a document, whole, in the middle of the plate, at its own size; every guess is said.
 *
 * @returns the id that it got
 * @throws Problem of the media room for files that cannot be opened; as `editShot`
 */
export async function addElement(
  path: string,
  file: string,
): Promise<{ shot: Shot; id: string; assumptions: Assumption[]; findings: readonly Problem[] }> {
  const { shot: before, folder } = await loadShot(path)
  const within = relative(folder, resolve(file)).split(sep).join('/')
  const { width, height } = await looked(resolve(folder, before.plate.file), async ({ info }) => info)
  const { known, info } = await looked(file, async (source) => ({
    known: await facts(source),
    info: source.info,
  }))
  let added: ReturnType<typeof withNewElement> | undefined
  const shot = await editShot(path, (now) => {
    added = withNewElement(now, { width, height }, { file: within, ...known })
    return added.shot
  })
  const { id, assumptions } = added as ReturnType<typeof withNewElement>
  return {
    shot,
    id,
    assumptions: [...assumed(`elements[${shot.elements.length - 1}]`, info), ...assumptions],
    findings: info.findings,
  }
}

async function looked<T>(path: string, look: (source: Source) => Promise<T>): Promise<T> {
  const source = await openSource(path)
  try {
    return await look(source)
  } finally {
    await source.close()
  }
}

function assumed(where: string, info: SourceInfo): Assumption[] {
  const { siting, ...encoding } = info.encodingEvidence
  const parts = { ...encoding, ...(info.layout.family === 'yuv' ? { siting } : {}), rate: info.rateEvidence }
  const primaries = primariesWords(info.encoding.primaries)
  const values = { ...info.encoding, primaries, rate: `${info.rate.num}/${info.rate.den}` }
  return Object.entries(parts).flatMap(([part, e]) =>
    e.kind === 'assumed'
      ? [{ where: `${where}.${part}`, value: values[part as keyof typeof parts], why: e.why }]
      : [],
  )
}

async function facts(source: Source): Promise<Omit<ElementFacts, 'file'>> {
  const { info } = source
  const still = info.frameCount === 1
  if (!info.layout.alpha) return { still, blackCorners: await hasBlackCorners(source) }
  const { kind, known, why } = alphaSaid(info)
  const confidence = known ? TAGGED : info.alphaHint === undefined ? SILENT : CONVENTION
  // Also what is read, not guessed: files are exported against their tag and their standard often enough to be asked about.
  return { alpha: { kind, why: `${why}; look at its edges once`, confidence }, still, blackCorners: false }
}

/** Whether all four corners stay black on the first, the middle and the last frame. */
async function hasBlackCorners(source: Source): Promise<boolean> {
  const { frameCount, encoding } = source.info
  for (const at of new Set([0, Math.floor(frameCount / 2), frameCount - 1])) {
    for await (const frame of source.frames(at, 1)) {
      if (!cornersBlack(frame, encoding.range)) return false
    }
  }
  return true
}
