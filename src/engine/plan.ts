/**
 * What a render depends on, as plain data: the document, what its files are, and what is asked for. It crosses to worker
 * threads as it stands; the same plan gives the same bits wherever it is carried out.
 */
import type { ColourEncoding, PixelLayout } from '../core/index.js'
import {
  type DeliveryFormat,
  deliveryEncoding,
  deliveryLayout,
  type Source,
  type SourceInfo,
} from '../media/index.js'
import type { Shot } from '../shot/schema.js'
import type { TracksFound } from './tracks.js'
import type { Variant } from './types.js'

/** The part of a source's facts that pixel work needs. */
export interface Picture {
  readonly width: number
  readonly height: number
  readonly layout: PixelLayout
  readonly encoding: ColourEncoding
  readonly rate: SourceInfo['rate']
  readonly frameCount: number
}

export interface Plan {
  readonly shot: Shot
  readonly plate: Picture
  /** By element id. */
  readonly elements: Readonly<Record<string, Picture>>
  readonly tracks: TracksFound
  readonly delivery: {
    readonly layout: PixelLayout
    readonly encoding: ColourEncoding
    /** Whether the picture ends where the plate's sensor does; light that is delivered as light keeps what lies beyond. */
    readonly limited: boolean
  }
  readonly variant: Variant
  readonly grain: boolean
}

/** The shot's files, opened. */
export interface ShotSources {
  readonly plate: Source
  readonly elements: ReadonlyMap<string, Source>
  readonly holdouts: ReadonlyMap<string, Source>
  readonly tracks: TracksFound
  /** The site's depth map, where an element is hidden by it. */
  readonly depth?: Source
}

/** Every file of the shot, the plate first. */
export function allSources({
  plate,
  elements,
  holdouts,
  depth,
}: Pick<ShotSources, 'plate' | 'elements' | 'holdouts' | 'depth'>): Source[] {
  return [plate, ...elements.values(), ...holdouts.values(), ...(depth === undefined ? [] : [depth])]
}

export function pictureOf(info: SourceInfo): Picture {
  const { width, height, layout, encoding, rate, frameCount } = info
  return { width, height, layout, encoding, rate, frameCount }
}

/** Frames of the plate that make the shot. */
export function shotRange(shot: Shot, plateFrames: number): { first: number; count: number } {
  const f = shot.plate.frames
  return f === undefined ? { first: 0, count: plateFrames } : { first: f.first, count: f.count }
}

/** The plan of a render; also what the check uses to see what was done where. */
export function makePlan(
  shot: Shot,
  sources: Pick<ShotSources, 'plate' | 'elements' | 'tracks'>,
  options: {
    readonly format: DeliveryFormat
    readonly variant?: Variant | undefined
    readonly grain?: boolean | undefined
  },
): Plan {
  const plate = pictureOf(sources.plate.info)
  const layout = deliveryLayout(options.format, plate.layout)
  return {
    shot,
    plate,
    elements: Object.fromEntries([...sources.elements].map(([id, s]) => [id, pictureOf(s.info)])),
    tracks: sources.tracks,
    delivery: {
      layout,
      encoding: deliveryEncoding(options.format, plate.encoding),
      limited: !layout.float,
    },
    variant: options.variant ?? 'result',
    grain: options.grain ?? true,
  }
}
