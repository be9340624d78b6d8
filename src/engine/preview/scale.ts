/** A shot as it is worked on at a smaller size: every length in pixels by the factor, grain as smaller pixels show it. */
import { elementParams, plateParams } from '../../chain/params.js'
import { shrunkGrain } from '../../chain/sensor/grain/shrunk.js'
import type { ColourEncoding, PixelLayout } from '../../core/index.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import type { Picture, Plan } from '../plan.js'
import { plateSettled } from '../plateSettings.js'
import { Recent } from '../recent.js'
import { scaleOf } from '../settings.js'
import type { KnownTrack, TracksFound } from '../tracks.js'

const LIGHT: Pick<ColourEncoding, 'curve' | 'matrix' | 'range'> = {
  curve: 'linear',
  matrix: 'rgb',
  range: 'full',
}

function floats(alpha: boolean): PixelLayout {
  return { family: 'rgb', bits: 32, float: true, subX: 0, subY: 0, alpha }
}

/** The plate's working size: parts of a pixel at its right and lower border are rounded. */
export function plateSize(p: Pick<Picture, 'width' | 'height'>, factor: number) {
  return {
    width: Math.max(1, Math.round(p.width * factor)),
    height: Math.max(1, Math.round(p.height * factor)),
  }
}

/** An element's: all of it. */
export function elementSize(p: Pick<Picture, 'width' | 'height'>, factor: number) {
  return { width: Math.ceil(p.width * factor), height: Math.ceil(p.height * factor) }
}

/** The plan of a preview: the pictures of `shrunk.ts`, all of them linear light, and the light of the plate as it comes out. */
export function previewPlan(full: Plan, factor: number): Plan {
  const plate = linear(full.plate, plateSize(full.plate, factor), false)
  return {
    ...full,
    shot: shotAtScale(full, factor),
    tracks: tracksAtScale(full.tracks, factor),
    plate,
    elements: Object.fromEntries(
      Object.entries(full.elements).map(([id, p]) => [id, linear(p, elementSize(p, factor), true)]),
    ),
    // A screen shows what a movie would hold.
    delivery: { layout: plate.layout, encoding: plate.encoding, limited: true },
  }
}

function linear(p: Picture, size: { width: number; height: number }, alpha: boolean): Picture {
  const { response: _, ...encoding } = p.encoding
  return { ...p, ...size, layout: floats(alpha), encoding: { ...encoding, ...LIGHT } }
}

function shotAtScale({ shot, plate, elements }: Plan, factor: number): Shot {
  return {
    ...shot,
    plate: { ...shot.plate, ...plateBlur(shot, factor), treatments: plateTreatments(shot, factor) },
    shapes: shot.shapes.map((s) => shapeAtScale(s, factor)),
    elements: shot.elements.map((e) => {
      const picture = elements[e.id]
      return picture === undefined ? e : elementAtScale(e, scaleOf(e, picture, shot, plate.width), factor)
    }),
  }
}

function plateBlur({ plate: { blur } }: Shot, f: number): Pick<Shot['plate'], 'blur'> {
  if (blur === undefined) return {}
  const { gradient, depth, ...rest } = blur
  const scaled: NonNullable<Shot['plate']['blur']> = { ...rest }
  if (gradient !== undefined) scaled.gradient = gradient.map((v) => f * v) as typeof gradient
  if (depth !== undefined) scaled.depth = { ...depth, endlessPx: f * depth.endlessPx }
  return { blur: scaled }
}

const smaller = new WeakMap<TracksFound, { factor: number; tracks: TracksFound }>()

/** Made once a size and not for every frame: a mesh has many nodes. */
function tracksAtScale(found: TracksFound, factor: number): TracksFound {
  const known = smaller.get(found)
  if (known?.factor === factor) return known.tracks
  const tracks = Object.fromEntries(
    Object.entries(found).map(([id, one]) => [
      id,
      'track' in one ? { track: trackAtScale(one.track, factor) } : one,
    ]),
  )
  smaller.set(found, { factor, tracks })
  return tracks
}

function trackAtScale({ mesh, ...track }: KnownTrack, f: number): KnownTrack {
  const powers = [0, 0, 1, 0, 0, 1, -1, -1, 0]
  return {
    ...track,
    ...(mesh && {
      mesh: { ...mesh, x: f * mesh.x, y: f * mesh.y, width: f * mesh.width, height: f * mesh.height },
    }),
    frames: track.frames.map((t) => ({
      ...t,
      matrix: t.matrix.map((v, i) => (powers[i] === 1 ? v * f : powers[i] === -1 ? v / f : v)),
      ...(t.nodes && { nodes: t.nodes.map((v) => f * v) }),
    })),
  }
}

function shapeAtScale(s: Shot['shapes'][number], f: number): Shot['shapes'][number] {
  const points = (all: (typeof s.keys)[number]['points']) =>
    all.map(([x, y]): [number, number] => [f * x, f * y])
  return {
    ...s,
    featherPx: f * s.featherPx,
    keys: s.keys.map((k) => ({ ...k, points: points(k.points) })),
  }
}

/** Both pictures shrink alike, so that the element's scale in the plate stays. */
function elementAtScale(e: ShotElement, scale: number, f: number): ShotElement {
  const scaled: ShotElement = {
    ...e,
    alpha: e.alpha === 'on-black' ? 'on-black' : 'premultiplied',
    scale,
    position: { x: f * e.position.x, y: f * e.position.y },
    treatments: elementTreatments(e, f),
  }
  if (e.keys !== undefined) scaled.keys = e.keys.map((k) => ({ ...k, dx: f * k.dx, dy: f * k.dy }))
  if (e.lights !== undefined) {
    scaled.lights = e.lights.map((l) => ({
      ...l,
      polygon: l.polygon.map(([x, y]): [number, number] => [f * x, f * y]),
      ...(l.nearest === undefined
        ? {}
        : { nearest: [f * l.nearest[0], f * l.nearest[1]] as [number, number] }),
      featherPx: f * l.featherPx,
    }))
  }
  return scaled
}

/** Lengths by the factor, noise as means over larger squares of white noise have it. */
function elementTreatments(e: ShotElement, f: number): ShotElement['treatments'] {
  const powers = new Map([
    ...elementParams.filter((p) => p.unit === 'px').map((p) => [p.name, f] as const),
    ['source.floorNoise', f] as const,
    ['sensor.elementVariance', f * f] as const,
  ])
  return scaledBy(e.treatments, powers)
}

function scaledBy<T extends ShotElement['treatments'] | Shot['plate']['treatments']>(
  treatments: T,
  powers: ReadonlyMap<string, number>,
): T {
  return Object.fromEntries(
    Object.entries(treatments).map(([name, t]) => {
      const by = powers.get(name)
      if (by === undefined || t === undefined || !('value' in t)) return [name, t]
      return [name, { ...t, value: t.value.map((v) => v * by) }]
    }),
  ) as T
}

/** Of a few sizes and plates. */
const shrunk = new Recent<ReturnType<typeof shrunkGrain>>(4)

function plateTreatments(shot: Shot, factor: number): Shot['plate']['treatments'] {
  const treatments = scaledBy(
    shot.plate.treatments,
    new Map(plateParams.filter((p) => p.unit === 'px').map((p) => [p.name, factor])),
  )
  const variance = plateSettled(shot, 'sensor.grainVariance')
  if (variance === undefined) return treatments
  const list = (name: GrainList) => plateSettled(shot, name) ?? []
  const [correlation, coarse] = [list('sensor.grainCorrelation'), list('sensor.grainCoarse')]
  const size = plateSettled(shot, 'sensor.grainCoarseSize')?.[0]
  const lists = shrunk.get([variance, correlation, coarse, size, factor], () =>
    shrunkGrain({ variance, correlation, coarse }, factor, size),
  )
  const with_ = (name: GrainList, value: readonly number[]) => {
    const t = treatments[name] ?? treatments['sensor.grainVariance']
    return t === undefined || !('value' in t) ? {} : { [name]: { ...t, value: [...value] } }
  }
  return {
    ...treatments,
    ...with_('sensor.grainVariance', lists.variance),
    ...with_('sensor.grainCorrelation', lists.correlation),
    // Pixels next to each other are now far apart in the plate: channels are alike there as they are at the pixel itself.
    ...with_('sensor.grainCross', []),
    ...with_('sensor.grainCoarse', lists.coarse),
  }
}

type GrainList =
  | 'sensor.grainVariance'
  | 'sensor.grainCorrelation'
  | 'sensor.grainCross'
  | 'sensor.grainCoarse'
