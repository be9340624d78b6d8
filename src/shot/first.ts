import { spokenFor } from './overrides.js'
import { SHOT_VERSION, type Shot, type ShotElement } from './schema.js'

/** What is known of the plate's file; `file` is relative to the document's folder, with forward slashes. */
export interface PlateFacts {
  readonly file: string
  readonly width: number
  readonly height: number
}

/** What is known of an element's file. */
export interface ElementFacts {
  readonly file: string
  /** Present when the file has an alpha channel: its kind and why it is taken for that. */
  readonly alpha?: {
    readonly kind: 'straight' | 'premultiplied'
    readonly why: string
    /** 0 to 1. */
    readonly confidence: number
  }
  /** Without an alpha channel: are the picture's corners black on the frames looked at? */
  readonly blackCorners: boolean
  /** One picture, not a moving one. */
  readonly still?: boolean
}

/** A guess that went into a document, for a person to confirm. */
export interface Assumption {
  /** Path in the document. */
  readonly where: string
  readonly value: string
  readonly why: string
}

/** Confidence of a guess from four corners: a night has black ones too. A choice. */
const CORNERS = 0.7

/** A first document: every element whole, in the middle of the plate, at its own size; each guess is said. */
export function firstShot(
  plate: PlateFacts,
  elements: readonly ElementFacts[],
): { shot: Shot; assumptions: Assumption[] } {
  const empty: Shot = {
    platefit: SHOT_VERSION,
    plate: { file: plate.file, treatments: {} },
    camera: {},
    site: {},
    tracks: [],
    shapes: [],
    elements: [],
    meant: [],
  }
  const assumptions: Assumption[] = []
  const shot = elements.reduce((now, facts) => {
    const made = withNewElement(now, plate, facts)
    assumptions.push(...made.assumptions)
    return made.shot
  }, empty)
  return { shot, assumptions }
}

/** One element more, as in a first document. */
export function withNewElement(
  shot: Shot,
  plate: Pick<PlateFacts, 'width' | 'height'>,
  facts: ElementFacts,
): { shot: Shot; id: string; assumptions: Assumption[] } {
  const { confidence, ...alpha } = alphaOf(facts)
  const guess = { kind: 'assumed', why: alpha.why, confidence } as const
  const nature = natureOf(facts.file, alpha.value)
  const where = `elements[${shot.elements.length}]`
  const element: ShotElement = {
    id: idOf(facts.file, new Set(['plate', ...shot.elements.map((e) => e.id)])),
    file: facts.file,
    evidence: { alpha: spokenFor(guess, alpha.value) },
    alpha: alpha.value,
    nature: nature.value,
    startFrame: 0,
    trimFrames: 0,
    position: { x: plate.width / 2, y: plate.height / 2 },
    scale: 1,
    treatments: {},
  }
  const assumptions = [
    { where: `${where}.alpha`, ...alpha },
    { where: `${where}.nature`, ...nature },
    ...(facts.still ? [{ where: `${where}.time.hold`, ...HELD }] : []),
    { where: `${where}.position`, value: 'centre, scale 1', why: 'nothing says where it belongs' },
  ]
  return { shot: { ...shot, elements: [...shot.elements, element] }, id: element.id, assumptions }
}

const HELD = {
  value: 'last',
  why: 'one picture: it stands to the end of the shot ("none" shows it on one frame)',
}

function alphaOf(facts: ElementFacts): { value: ShotElement['alpha']; why: string; confidence: number } {
  if (facts.alpha !== undefined) {
    const { kind, ...guess } = facts.alpha
    return { value: kind, ...guess }
  }
  return facts.blackCorners
    ? { value: 'on-black', why: 'no alpha channel, and the corners are black', confidence: CORNERS }
    : { value: 'none', why: 'no alpha channel, and the corners are not black', confidence: CORNERS }
}

function natureOf(file: string, alpha: ShotElement['alpha']) {
  const name = stemOf(file)
  const medium = /smoke|soot|dust|fog|mist|steam|vapou?r/.exec(name)
  if (medium !== null) return { value: 'absorbs' as const, why: `the name says "${medium[0]}"` }
  if (alpha === 'on-black') return { value: 'emits' as const, why: 'light shot on black' }
  const light = /fire|flame|spark|muzzle|flash|explo|ember|glow|lightning/.exec(name)
  if (light !== null) return { value: 'emits' as const, why: `the name says "${light[0]}"` }
  return { value: 'reflects' as const, why: 'nothing says that it emits or absorbs' }
}

/** `elements/Smoke_A.0001.exr` → `smoke_a`; of a file that is all number (`smoke/0001.exr`) the folder's name. */
function stemOf(file: string): string {
  const stems = file
    .split('/')
    .slice(-2)
    .reverse()
    .map((part) =>
      part
        .replace(/\.[a-z0-9]{2,4}$/i, '')
        .replace(/[._-]?(#+|%0?\d*d|[._-]\d{3,})$/, '')
        .toLowerCase(),
    )
  return stems.find((s) => /[a-z]/.test(s)) ?? ''
}

/** `elements/Smoke_A.0001.exr` → `smoke-a`; made unique with a number. */
function idOf(file: string, taken: ReadonlySet<string>): string {
  const base =
    stemOf(file)
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '') || 'element'
  let id = base
  for (let n = 2; taken.has(id); n++) id = `${base}-${n}`
  return id
}
