/**
 * What a person wrote down of elements, in a file beside them that names them:
 *
 *   platefit.facts.json   { "fire*.mov": { "height": 4, "cameraHeight": 1.6, "distance": 12, "lightSide": "left" } }
 *
 * A name is a file, a folder (all in it) or a pattern whose `*` stands for any letters but `/`, from the folder of the file on.
 * Of several that fit, the later one says more; a file in an inner folder more than one further out. Lengths in metres.
 */
import { readFile } from 'node:fs/promises'
import { dirname, join, relative, resolve, sep } from 'node:path'
import { z } from 'zod'
import { Problem, type ProblemDetail } from '../../core/index.js'
import { nearest } from '../../shot/nearest.js'
import type { Found } from './find.js'
import type { KnownFacts } from './types.js'

export const FACTS_FILE = 'platefit.facts.json'

const metres = z.number('a number of metres above 0').positive('a number of metres above 0')
const schema = z.strictObject({
  height: metres.optional(),
  cameraHeight: metres.optional(),
  distance: metres.optional(),
  lightSide: z.enum(['left', 'right', 'front', 'back'], '"left", "right", "front" or "back"').optional(),
  nature: z.enum(['emits', 'absorbs', 'reflects'], '"emits", "absorbs" or "reflects"').optional(),
  rate: z
    .string('frames a second such as "24" or "24000/1001"')
    .regex(/^[1-9]\d*(\/[1-9]\d*)?$/, 'frames a second such as "24" or "24000/1001"')
    .optional(),
})

export type ElementFacts = z.infer<typeof schema>

interface FactsFile {
  readonly path: string
  readonly folder: string
  readonly entries: readonly (readonly [name: string, facts: ElementFacts])[]
}

/** What is written down of an element, by the files from the folder that was named to its own. */
export class FactsRead {
  readonly #files = new Map<string, Promise<FactsFile | undefined>>()
  readonly #used = new Set<string>()

  /** @throws Problem `suit.facts` when such a file is not as it should be */
  async of({ path, root }: Found): Promise<ElementFacts> {
    const folders: string[] = []
    const top = resolve(root)
    for (let at = dirname(resolve(path)); ; at = dirname(at)) {
      folders.unshift(at)
      if (at === top || at === dirname(at)) break
    }
    let facts: ElementFacts = {}
    for (const folder of folders) {
      const file = await this.#read(folder)
      if (file === undefined) continue
      const own = relative(folder, resolve(path)).split(sep).join('/')
      for (const [name, said] of file.entries) {
        if (!fits(name, own)) continue
        this.#used.add(`${file.path}\n${name}`)
        facts = { ...facts, ...said }
      }
    }
    return facts
  }

  /** Names that fit nothing, of the files inside folders that were searched whole: likely slips of the pen. */
  async unused(searched: readonly string[]): Promise<Problem[]> {
    const out: Problem[] = []
    for (const read of this.#files.values()) {
      const file = await read
      if (file === undefined || !searched.some((s) => within(file.folder, resolve(s)))) continue
      const idle = file.entries
        .map(([name]) => name)
        .filter((name) => !this.#used.has(`${file.path}\n${name}`))
      if (idle.length > 0)
        out.push(
          new Problem({
            code: 'suit.facts-unused',
            what: 'Names in the facts fit no element',
            where: file.path,
            received: idle.join(', '),
          }),
        )
    }
    return out
  }

  #read(folder: string): Promise<FactsFile | undefined> {
    const known = this.#files.get(folder)
    if (known !== undefined) return known
    const read = readFacts(folder)
    this.#files.set(folder, read)
    return read
  }
}

function within(folder: string, whole: string): boolean {
  return folder === whole || folder.startsWith(whole.endsWith(sep) ? whole : `${whole}${sep}`)
}

function fits(name: string, own: string): boolean {
  const letters = name
    .replace(/\/+$/, '')
    .split('*')
    .map((part) => part.replace(/[\\^$.|?+()[\]{}]/g, '\\$&'))
    .join('[^/]*')
  return new RegExp(`^${letters}(/.*)?$`).test(own)
}

async function readFacts(folder: string): Promise<FactsFile | undefined> {
  const path = join(folder, FACTS_FILE)
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if (text === undefined) return undefined
  return { path, folder, entries: parseFacts(text, path) }
}

/** @throws Problem `suit.facts` */
export function parseFacts(text: string, where: string): [string, ElementFacts][] {
  let data: unknown
  try {
    data = JSON.parse(text)
  } catch (e) {
    const received = e instanceof Error ? e.message : String(e)
    throw wrong([{ code: 'suit.facts', what: 'This is not JSON', where, received }], where)
  }
  if (typeof data !== 'object' || data === null || Array.isArray(data))
    throw wrong(
      [{ code: 'suit.facts', what: 'Facts are names of elements with what is known of each', where }],
      where,
    )
  const faults: ProblemDetail[] = []
  const out: [string, ElementFacts][] = []
  for (const [name, said] of Object.entries(data)) {
    const parsed = schema.safeParse(said)
    if (parsed.success) out.push([name, parsed.data])
    else faults.push(...parsed.error.issues.flatMap((issue) => faultsOf(issue, said, `${where}: "${name}"`)))
  }
  if (faults.length > 0) throw wrong(faults, where)
  return out
}

function faultsOf(issue: z.core.$ZodIssue, said: unknown, where: string): ProblemDetail[] {
  if (issue.code === 'unrecognized_keys')
    return issue.keys.map((key) => {
      const near = nearest(key, Object.keys(schema.shape))
      return {
        code: 'suit.facts',
        what: `"${key}" is no fact of an element`,
        where,
        expected: Object.keys(schema.shape).join(', '),
        ...(near === undefined ? {} : { remedy: `Did you mean "${near}"?` }),
      }
    })
  const key = String(issue.path[0] ?? '')
  const received = key === '' ? said : (said as Record<string, unknown>)[key]
  return [
    {
      code: 'suit.facts',
      what: 'This value does not fit',
      where: key === '' ? where : `${where}.${key}`,
      expected: key === '' ? 'facts by name' : issue.message,
      received: JSON.stringify(received),
    },
  ]
}

function wrong(faults: readonly ProblemDetail[], where: string): Problem {
  const [only] = faults
  if (only !== undefined && faults.length === 1) return new Problem(only)
  return new Problem({ code: 'suit.facts', what: `The facts have ${faults.length} faults`, where, faults })
}

/** What is known of the run, and above it what is known of one element. A size told for all stays. */
export function knownOf(known: KnownFacts, facts: ElementFacts): KnownFacts {
  const { height, cameraHeight, distance, lightSide, nature, rate } = facts
  const [num, den] = rate?.split('/').map(Number) ?? []
  return {
    ...known,
    ...(height === undefined ? {} : { heightM: height }),
    ...(cameraHeight === undefined ? {} : { elementCameraHeightM: cameraHeight }),
    ...(distance === undefined ? {} : { elementDistanceM: distance }),
    ...(lightSide === undefined ? {} : { elementLightSide: lightSide }),
    ...(nature === undefined ? {} : { nature }),
    ...(num === undefined ? {} : { rate: { num, den: den ?? 1 } }),
  }
}

/** `4 m tall, shot from 1.6 m up and 12 m away, lit from the left`; empty when nothing is written down. */
export function factsWords(f: ElementFacts): string {
  const seen = [
    ...(f.cameraHeight === undefined ? [] : [`${f.cameraHeight} m up`]),
    ...(f.distance === undefined ? [] : [`${f.distance} m away`]),
  ]
  return [
    ...(f.height === undefined ? [] : [`${f.height} m tall`]),
    ...(seen.length === 0 ? [] : [`shot from ${seen.join(' and ')}`]),
    ...(f.lightSide === undefined ? [] : [`lit from the ${f.lightSide}`]),
    ...(f.nature === undefined ? [] : [f.nature]),
    ...(f.rate === undefined ? [] : [`${f.rate} frames/s`]),
  ].join(', ')
}
