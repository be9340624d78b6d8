/** Frames of a shot for whoever looks at it: at any size, in any state of its document, several at once. */
import { type Readout, readout } from '../../colour/index.js'
import type { Problem, Rgb } from '../../core/index.js'
import type { Shot } from '../../shot/schema.js'
import { makePlan, type ShotSources } from '../plan.js'
import { lostFindings } from '../stand.js'
import type { Variant } from '../types.js'
import { Footage, type Stamps } from './footage.js'
import { plateSize, previewPlan } from './scale.js'
import type { Studio } from './studio.js'
import type { Done } from './task.js'

export interface PreviewFrame {
  /** Of the shot, 0-based. */
  readonly number: number
  readonly width: number
  readonly height: number
  /** As the report shows it: sRGB, three bytes a pixel, row by row. */
  readonly rgb: Uint8Array
  /** What is to be said of this frame: tracks that are lost on it. */
  readonly findings: readonly Problem[]
}

/** How a frame is looked at. */
export interface Look {
  /** Another state of the same work; absent: as it was opened. */
  readonly shot?: Shot
  /** `result` when absent. */
  readonly variant?: Variant
  /** Exposure for looking, in stops; 0 when absent. */
  readonly stops?: number
}

/** A look that says all. */
export interface View extends Look {
  readonly shot: Shot
  /** Wanted of the picture, px; the plate's own where that is less. */
  readonly width: number
  /** Of each file by its name in the document: another one, and the file is read anew. */
  readonly stamps?: Stamps
  /** Who asks: a later ask gives up an earlier one of the same. */
  readonly asker?: string
}

const VARIANTS: readonly Variant[] = ['null', 'plain', 'result']

/** Bands a thread: they take turns, as an element seldom fills its picture evenly. */
const BANDS = 3

export class Viewer {
  readonly #studio: Studio
  readonly #footage: Footage
  /** The last ask of each asker. */
  readonly #asked = new Map<string, { readonly number: number }>()
  #closed = false

  constructor(folder: string, studio: Studio) {
    this.#studio = studio
    this.#footage = new Footage(folder, studio)
  }

  /** Opens the files, which an ask does by itself. @throws Problem as `openSource` */
  open(shot: Shot): Promise<void> {
    return this.#footage.open({ shot })
  }

  /** As `Preview.frame`. */
  async frame(number: number, view: View): Promise<PreviewFrame | undefined> {
    const { asker = '' } = view
    const before = this.#asked.get(asker)?.number
    const own = { number }
    this.#asked.set(asker, own)
    const gone = () => this.#closed || this.#asked.get(asker) !== own
    try {
      return await this.#make(number, view, gone, before === number - 1)
    } catch (e) {
      // Closed meanwhile: nobody waits for it.
      if (this.#closed) return undefined
      throw e
    }
  }

  /** As `Preview.values`. */
  async values(
    number: number,
    x: number,
    y: number,
    { shot, width, stamps }: View,
  ): Promise<Readonly<Record<Variant, Readout>>> {
    const small = await this.#footage.small({ shot, stamps }, number, width, () => !this.#closed)
    if (small === undefined) throw new Error('the preview is closed')
    const { sources, factor, input } = small
    const plans = VARIANTS.map((variant) => planOf(shot, sources, factor, variant))
    const { encoding, layout, ...plate } = sources.plate.info
    const size = plateSize(plate, factor)
    const within = (v: number, most: number) => Math.min(Math.max(Math.floor(v * factor), 0), most - 1)
    const lights = (await this.#studio.ask({
      ...{ kind: 'point', plans, input },
      x: within(x, size.width),
      y: within(y, size.height),
    })) as readonly Rgb[]
    const read = VARIANTS.map((v, i) => [v, readout(lights[i] as Rgb, encoding, layout)] as const)
    return Object.fromEntries(read) as Record<Variant, Readout>
  }

  /** Closes the files until the next ask. */
  rest(): Promise<void> {
    return this.#footage.rest()
  }

  close(): Promise<void> {
    this.#closed = true
    return this.#footage.close()
  }

  /** @param playing the next frame will be asked for: it is decoded while this one is made */
  async #make(
    number: number,
    view: View,
    gone: () => boolean,
    playing: boolean,
  ): Promise<PreviewFrame | undefined> {
    const { shot, stamps, width, variant = 'result', stops = 0 } = view
    const small = await this.#footage.small({ shot, stamps }, number, width, () => !gone())
    if (small === undefined || gone()) return undefined
    if (playing) this.#footage.small({ shot, stamps }, number + 1, width, () => !gone()).catch(() => {})
    const { sources, factor, input } = small
    const plate = sources.plate.info
    const shown = new Uint8Array(new SharedArrayBuffer(small.shown.length))
    shown.set(small.shown)
    const done: Promise<Done>[] = []
    const bands = BANDS * this.#studio.workers
    const planned = planOf(shot, sources, factor, variant)
    const task = { kind: 'band', ...planned, plate: plate.encoding, stops, input, shown, bands } as const
    for (let band = 0; band < bands; band++) {
      done.push((await this.#studio.submit({ ...task, band })).done)
      if (gone()) break
    }
    await Promise.all(done)
    if (gone()) return undefined
    const findings = variant === 'null' ? [] : lostFindings(planned.plan, [number])
    return { number, ...plateSize(plate, factor), rgb: shown, findings }
  }
}

/** A state of the shot at the working size, seen as one variant. */
function planOf(shot: Shot, sources: ShotSources, factor: number, variant: Variant) {
  const plan = previewPlan(makePlan(shot, sources, { format: 'exr-half', variant }), factor)
  // The document says which track it is.
  return { plan, key: JSON.stringify({ ...plan, tracks: undefined }) }
}
