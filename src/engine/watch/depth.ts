/** Elements held against the site's depth map, where the document has one and does not let it hide them. */
import type { Comparison, SeenElement } from '../../chain/compare.js'
import { compareDepth, type DepthLook, NEARER } from '../../chain/place/cover/compare.js'
import { topOf } from '../../chain/place/holdout/matte.js'
import { type NativeFrame, quantile } from '../../core/index.js'
import type { Source } from '../../media/index.js'
import type { Shot, ShotElement } from '../../shot/schema.js'
import { heldAt } from '../inputs.js'
import type { Plan } from '../plan.js'
import { openRecord } from '../sources.js'

/** An element is there where it covers or shines so much. */
const THERE = 0.3

/** Nothing where no element is to be held against a map. */
export async function depthWatch(
  shot: Shot,
  folder: string,
  { plate }: Plan,
): Promise<DepthWatch | undefined> {
  const map = shot.site.depth
  if (map === undefined || !shot.elements.some(asked)) return undefined
  return new DepthWatch(shot, await openRecord(map, folder), plate)
}

function asked(e: ShotElement): boolean {
  return e.distanceM !== undefined && e.holdout?.depth !== true
}

class DepthWatch {
  readonly #byElement = new Map<string, DepthLook[]>()
  readonly #shot: Shot
  readonly #map: Source
  readonly #plate: { readonly width: number; readonly height: number }

  constructor(shot: Shot, map: Source, plate: { readonly width: number; readonly height: number }) {
    this.#shot = shot
    this.#map = map
    this.#plate = plate
  }

  async look(frame: number, elements: readonly SeenElement[]): Promise<void> {
    for await (const map of this.#map.frames(heldAt(this.#map, frame), 1)) {
      for (const said of this.#shot.elements.filter(asked)) {
        const e = elements.find((x) => x.id === said.id)
        if (e === undefined) continue
        const looks = this.#byElement.get(e.id) ?? []
        this.#byElement.set(e.id, [...looks, this.#against(map, e, said.distanceM as number, frame)])
      }
    }
  }

  /** What it comes to; nothing more is looked at after it. */
  async compared(): Promise<{ element: string; comparison: Comparison }[]> {
    await this.#map.close()
    return [...this.#byElement].map(([element, looks]) => {
      const distanceM = this.#shot.elements.find((e) => e.id === element)?.distanceM as number
      return { element, comparison: compareDepth(element, distanceM, looks) }
    })
  }

  #against(map: NativeFrame, e: SeenElement, distanceM: number, frame: number): DepthLook {
    const { unit, a, b } = this.#shot.site.depth as NonNullable<Shot['site']['depth']>
    const { width, height } = this.#plate
    const top = topOf(map)
    let there = 0
    const nearer: number[] = []
    for (let y = 0, p = 0; y < height; y++) {
      const row = Math.floor(((y + 0.5) * map.height) / height) * map.width
      for (let x = 0; x < width; x++, p++) {
        if ((e.alpha[p] as number) < THERE && (e.light[p] as number) < THERE) continue
        there++
        const v = map.planes[0]?.data[row + Math.floor(((x + 0.5) * map.width) / width)] as number
        const told = a * (v / top) + b
        const d = unit === 'inverse' ? 1 / told : told
        if (d > 0 && d < NEARER * distanceM) nearer.push(d)
      }
    }
    const metres = nearer.length === 0 ? distanceM : quantile(Float64Array.from(nearer).sort(), 0.5)
    return { frame, share: nearer.length / Math.max(there, 1), metres, region: e.region }
  }
}
