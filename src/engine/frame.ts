/** One frame of a shot, from decoded samples to encoder input: the unit of work of a thread. */
import { type Composed, composeFrame, partsFor } from '../chain/compose.js'
import {
  type Crossing,
  drawn,
  type ElementSettings,
  elementPlace,
  elementSheet,
  type Layer,
  type Pictured,
  type Sheet,
  sheetOf,
} from '../chain/element.js'
import { flashing } from '../chain/flashing.js'
import { glaring } from '../chain/glaring.js'
import { heldOut } from '../chain/heldOut.js'
import type { ComposeSettings } from '../chain/layOver.js'
import { glareNeeds, glareReach } from '../chain/lens/glare/apply.js'
import { type Hide, hiddenShare } from '../chain/place/holdout/apply.js'
import type { Exposed } from '../chain/place/raster/map.js'
import { blurredRegion } from '../chain/plateBlur.js'
import type { OwnMotion } from '../chain/shutter/ownMotion/model.js'
import { maskByRows } from '../chain/shutter/readout/apply.js'
import { EMPTY, intersect, type NativeFrame, type Region, union } from '../core/index.js'
import { duringFrame } from '../kernels/index.js'
import { elementField, plateBlurOf } from './blurFields.js'
import { type Pulse, pulseOf } from './cadence.js'
import { hidesOf } from './hides.js'
import type { Plan } from './plan.js'
import { composeSettings, elementSettings } from './settings.js'
import { type Standing, standingOf } from './stand.js'

/** The decoded frames that one frame of the shot needs. */
export interface FrameInput {
  readonly number: number
  readonly plate: NativeFrame
  readonly elements: readonly {
    readonly id: string
    readonly frame: NativeFrame
    /** How what it shows moves, where that is blurred on. */
    readonly goes?: OwnMotion | undefined
    /** What it crosses over into, where a round of its loop ends. */
    readonly into?: Crossing
    readonly holdout?: NativeFrame
  }[]
  /** The site's depth map, where an element is hidden by it or a blur follows it. */
  readonly depth?: NativeFrame
}

export interface FrameOutput extends Composed {
  readonly number: number
  /** NaN and infinity found in elements. */
  readonly bad: readonly { readonly id: string; readonly nan: number; readonly infinite: number }[]
}

/** What comes back from a thread: without a frame where the plate's own was changed. */
export type FrameMade = Omit<FrameOutput, 'frame'> & { readonly frame?: NativeFrame }

/** A plan made ready for work: tables built, masks drawn. */
export class FrameMaker {
  readonly #plan: Plan
  readonly #settings: ReadonlyMap<string, ElementSettings>
  readonly #standing: ReadonlyMap<string, Standing>
  readonly #compose: ComposeSettings
  readonly #pulses = new Map<string, Pulse>()

  /** @throws Problem as `standingOf` */
  constructor(plan: Plan) {
    this.#plan = plan
    const settings = new Map<string, ElementSettings>()
    const standing = new Map<string, Standing>()
    for (const e of plan.shot.elements) {
      const picture = plan.elements[e.id]
      if (picture === undefined) continue
      settings.set(e.id, elementSettings(e, picture, plan))
      const pulse = pulseOf(e, plan.plate, plan.shot)
      if (pulse !== undefined) this.#pulses.set(e.id, pulse)
      if (plan.variant !== 'null') standing.set(e.id, standingOf(e, picture, plan))
    }
    this.#settings = settings
    this.#standing = standing
    this.#compose = composeSettings(plan, settings)
  }

  /** Where each element can lie in this frame. */
  places(input: FrameInput): ReadonlyMap<string, Region> {
    return new Map(
      this.#shown(input).map(({ id, s, exposed, ...own }) => [id, this.#placeOf(own, s, exposed)]),
    )
  }

  /** The same without the skirt that the lens draws around them. */
  bodies(input: FrameInput): ReadonlyMap<string, Region> {
    return new Map(
      this.#shown(input).map(({ id, s, exposed, ...own }) => [id, this.#bodyOf(own, s, exposed)]),
    )
  }

  #placeOf(own: Pictured, s: ElementSettings, exposed: Exposed): Region {
    const body = this.#bodyOf(own, s, exposed)
    return this.#plan.variant === 'plain'
      ? body
      : intersect(glareReach(s.glare).touches(body), this.#compose.frame)
  }

  #bodyOf(own: Pictured, s: ElementSettings, exposed: Exposed): Region {
    return elementPlace(own, s, exposed, this.#compose.frame, this.#plan.variant === 'plain')
  }

  /** Where anything can be touched in this frame by elements: their places, and the surfaces that answer their light. */
  touchable(input: FrameInput): Region {
    const places = this.places(input)
    const { blur } = this.#composeOn(input)
    const blurred = blur === undefined ? EMPTY : blurredRegion(blur, this.#compose.frame)
    const lit = [...places.keys()].flatMap((id) => this.#compose.casts.get(id)?.masks ?? [])
    return [...places.values(), ...lit.map((m) => intersect(m.region, this.#compose.frame))].reduce(
      union,
      blurred,
    )
  }

  /** Elements as they stand in the plate's light on this frame, as far as a part of it needs them. */
  layers(
    input: FrameInput,
    part: Region = this.#compose.frame,
  ): { layers: Layer[]; bad: FrameOutput['bad'] } {
    const { sheets, bad } = this.#sheets(input, part)
    return { layers: sheets.map(drawn), bad }
  }

  #sheets(input: FrameInput, part: Region): { sheets: Sheet[]; bad: FrameOutput['bad'] } {
    const sheets: Sheet[] = []
    const bad: { id: string; nan: number; infinite: number }[] = []
    const plain = this.#plan.variant === 'plain'
    for (const { id, frame, goes, into, s, exposed, zoom } of this.#shown(input)) {
      const { frame: all } = this.#compose
      // Light that is hidden spreads nowhere, and what spreads goes over what hides: after the holdout, from a wider part.
      const glare = plain ? undefined : s.glare
      const view = { frame: all, window: intersect(glareNeeds(glare, part), all) }
      const made = elementSheet({ frame, goes }, s, exposed, view, plain, into)
      const { replaced } = made
      const emission = made.sheet.emission && { ...made.sheet.emission, zoom }
      const sheet = { ...made.sheet, emission }
      if (replaced.nan + replaced.infinite > 0) bad.push({ id, ...replaced })
      const seen = glaring(heldOut(sheet, this.#hides(input, id)), glare, part, all)
      const shares = this.#pulses.get(id)?.shares(input.number)
      sheets.push(shares === undefined || plain ? seen : flashing(seen, shares))
    }
    return { sheets, bad }
  }

  #composeOn(input: FrameInput): ComposeSettings {
    const casts = this.#pulses.size === 0 ? this.#compose.casts : this.#castsOn(input)
    return { ...this.#compose, casts, blur: plateBlurOf(input, this.#plan) }
  }

  /** What a pulse casts falls into the same rows as the pulse itself. */
  #castsOn({ number }: FrameInput): ComposeSettings['casts'] {
    const { casts } = this.#compose
    const seen = [...casts].map(([id, cast]) => {
      const shares = this.#pulses.get(id)?.shares(number)
      return [
        id,
        shares === undefined ? cast : { ...cast, masks: cast.masks.map((m) => maskByRows(m, shares)) },
      ] as const
    })
    return new Map(seen)
  }

  #hides(input: FrameInput, id: string): Hide[] {
    return hidesOf(id, input, this.#plan, this.#compose.decode)
  }

  /** How much of an element is hidden in each pixel of the frame, 0 to 1; undefined where nothing can hide it. */
  hidden(input: FrameInput, id: string): Float32Array | undefined {
    const hides = this.#hides(input, id)
    return hides.length === 0 ? undefined : hiddenShare(hides, this.#compose.frame)
  }

  /** Elements that show, with what is done to them. */
  #shown(input: FrameInput) {
    const { number, elements } = input
    if (this.#plan.variant === 'null') return []
    return elements.flatMap((e) => {
      const s = this.#settingsOn(e.id, input)
      const stand = this.#standing.get(e.id)?.(number)
      if (s === undefined || stand === undefined) return []
      const still = { map: stand.map, ends: undefined }
      const exposed = this.#plan.variant === 'plain' ? still : (stand.exposed ?? still)
      return [{ ...e, s, exposed, zoom: stand.zoom }]
    })
  }

  #settingsOn(id: string, input: FrameInput): ElementSettings | undefined {
    const s = this.#settings.get(id)
    const e = this.#plan.shot.elements.find((x) => x.id === id)
    const field = e && elementField(e, input, this.#plan)
    return s === undefined || field === undefined ? s : { ...s, blurField: field }
  }

  /**
   * The frame, or the part of it in which `wanted` lies: its samples are the same as those of the whole frame.
   *
   * @param inPlace the plate's own samples may be changed, where the delivery holds the same and all of it is wanted
   */
  make(input: FrameInput, inPlace = false, wanted = this.#compose.frame): FrameOutput {
    return duringFrame(() => {
      const compose = this.#composeOn(input)
      const { part } = partsFor(wanted, input.plate.layout, compose)
      const { sheets, bad } = this.#sheets(input, part)
      const { plate, number } = input
      return { number, bad, ...composeFrame(plate, sheets, number, compose, wanted, inPlace) }
    })
  }

  /** The frame with these layers in it. */
  compose(input: FrameInput, layers: readonly Layer[]): Composed {
    return composeFrame(input.plate, layers.map(sheetOf), input.number, this.#composeOn(input))
  }
}
