/** Documents of the painted shot, and the way through the library: fit, render, check. */
import { mkdtempSync } from 'node:fs'
import { join } from 'node:path'
import {
  type CheckResult,
  checkShot,
  fitShot,
  openCache,
  parseShot,
  type RenderOptions,
  renderShot,
  type Shot,
  type Tell,
} from '../../src/engine/index.js'
import { clearTreatment, setTreatment } from '../../src/shot/index.js'
import { card, type ElementFaults, fire, smoke } from './elements.js'
import { writePictures } from './files.js'
import { FAR, FAR_WALL, FRAMES, NEAR, NEAR_WALL, type PlateFaults, plate, VISIBILITY } from './plate.js'

/** With the cache that every command has: what is measured of one plate serves all its shots. */
const ONE = { workers: 1, cache: openCache() }

export interface Files {
  readonly folder: string
  readonly plate: string
}

/** A folder inside `root` with the plate in it. */
export function makePlate(root: string, seed: number, faults: PlateFaults = {}): Files {
  const folder = mkdtempSync(join(root, 'shot-'))
  writePictures(join(folder, 'plate'), 'plate', FRAMES, plate(seed, faults))
  return { folder, plate: 'plate' }
}

const paints = { smoke, card, fire }
export type Kind = keyof typeof paints

export function makeElement(files: Files, kind: Kind, seed: number, faults: ElementFaults = {}): string {
  const name = `${kind}-${Object.entries({ seed, ...faults })
    .flat()
    .join('-')}`
  writePictures(join(files.folder, name), name, FRAMES, paints[kind](seed, faults), faults.premultiplied)
  return name
}

/** A document with one element near the camera; `over` replaces keys of the element. */
export function document(kind: Kind, file: string, over: Record<string, unknown> = {}): Shot {
  const near = { compareWith: { ...NEAR_WALL, distanceM: NEAR }, distanceM: NEAR }
  const kinds = {
    smoke: { alpha: 'straight', nature: 'absorbs', position: { x: 120, y: 120 }, ...near },
    card: { alpha: 'straight', nature: 'reflects', position: { x: 90, y: 150 }, ...near },
    fire: {
      alpha: 'on-black',
      nature: 'emits',
      position: { x: 215, y: 170 },
      distanceM: NEAR,
      lights: [{ polygon: wallBesideFire(), awayM: 0.3, reflectance: 0.3 }],
    },
  }
  const element = { id: kind, file, curve: 'srgb', rate: '24', scale: 1, ...kinds[kind], ...over }
  return parseShot(
    {
      platefit: 1,
      plate: { file: 'plate', curve: 'srgb', rate: '24' },
      // 2 cm a pixel at 3 m.
      camera: { sensorWidthMm: 36, focalLengthMm: 12.5 },
      site: { visibilityM: VISIBILITY },
      elements: [element],
    },
    'test',
  )
}

/** The same element, 65 m away, beside the far wall. */
export const far = { compareWith: { ...FAR_WALL, distanceM: FAR }, distanceM: FAR }

function wallBesideFire(): [number, number][] {
  const { x, y, height } = NEAR_WALL
  return [
    [x, y],
    [x + 56, y],
    [x + 56, y + height],
    [x, y + height],
  ]
}

export async function fitted(files: Files, shot: Shot): Promise<Shot> {
  return (await fitShot(shot, files.folder, ONE)).shot
}

let renders = 0

export async function render(
  files: Files,
  shot: Shot,
  options: Partial<RenderOptions> = {},
): Promise<string> {
  const format = options.format ?? 'png-16'
  const out = join(files.folder, `out-${renders++}${format === 'png-16' ? '' : '.mov'}`)
  await renderShot(shot, files.folder, { out, format, ...options }, ONE)
  return out
}

export function checkFile(files: Files, shot: Shot, path: string): Promise<CheckResult> {
  return checkShot(shot, files.folder, path, ONE)
}

/** Renders as it stands and checks the file. */
export async function check(
  files: Files,
  shot: Shot,
  options: Partial<RenderOptions> = {},
): Promise<CheckResult> {
  return checkFile(files, shot, await render(files, shot, options))
}

export const set = setTreatment

/** What "fit again" comes to: what was set by hand is taken out first. */
export async function fitAgain(files: Files, shot: Shot, target: string, ...names: string[]): Promise<Shot> {
  return fitted(
    files,
    names.reduce((s, name) => clearTreatment(s, target, name), shot),
  )
}

export const names = (r: CheckResult): string[] => r.tells.map((t) => t.tell).sort()

/** The tells as sentences: what a failing test should show. */
export const said = (r: CheckResult): string[] => r.tells.map((t: Tell) => `${t.tell}: ${t.sentence}`)
