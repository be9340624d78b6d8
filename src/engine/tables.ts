import { curveOf } from '../colour/curves/index.js'
import { channelCurves } from '../colour/response/encoding.js'
import type { ColourEncoding, CurveName } from '../core/index.js'
import { type CurveTable, type CurveTables, curveTable } from '../kernels/index.js'

type Way = 'decode' | 'encode'

const made = new Map<string, CurveTables>()

/** A curve's table, made once a thread: it takes some 20 ms. */
export function tableOf(curve: CurveName, way: Way): CurveTable {
  return kept(`${curve} ${way}`, () => curveTable(curveOf(curve)[way]))
}

/** The tables of an encoding: those of the camera's measured curve, else of the named one. */
export function tablesOf(encoding: Pick<ColourEncoding, 'curve' | 'response'>, way: Way): CurveTables {
  const { curve, response } = encoding
  if (response === undefined) return tableOf(curve, way)
  return kept(`${curve} ${way} ${response.join(' ')}`, () => {
    const [r, g, b] = channelCurves(encoding)
    return [curveTable(r[way]), curveTable(g[way]), curveTable(b[way])] as const
  })
}

/** What is made from plain data, kept for the next plan of the same thread: a document changes in few places at once. */
export class Recent<T> {
  readonly #most: number
  readonly #made = new Map<string, T>()

  /** @param most kept at once */
  constructor(most: number) {
    this.#most = most
  }

  get(from: unknown, make: () => T): T {
    const key = JSON.stringify(from)
    const value = this.#made.get(key) ?? make()
    this.#made.delete(key)
    this.#made.set(key, value)
    for (const old of this.#made.keys()) {
      if (this.#made.size <= this.#most) break
      this.#made.delete(old)
    }
    return value
  }
}

function kept<T extends CurveTables>(key: string, make: () => T): T {
  const table = made.get(key) ?? make()
  made.set(key, table)
  return table as T
}
