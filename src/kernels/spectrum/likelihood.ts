/**
 * How likely a window's spectrum is, if the scene was sharp and was blurred in a given way.
 *
 *   S(f, θ) = exp(scene(f, θ)) · p(f, θ)² · |H(f, θ)|² + exp(n₀ + n₁ t)
 *   scene   = c₀ + c₁ t + c₂ t² + c₃ t³ + Σₙ (aₙ cos nθ + bₙ sin nθ), n = 2, 4      t = ln(f / f₀)
 *   log L   = −Σ looks · (ln S + P / S)                                            P  measured power
 *
 *   p  a pixel's own blur, sinc(f cos θ) · sinc(f sin θ)     n₀, n₁  noise     f₀  0.11 cycles a pixel
 *
 * Sharp scenes fall by about the square of the frequency ([field1987], [tolhurst1992]): priors hold c₁ near that, the bend of the line
 * (c₂, c₃) and the directions near nothing, so that a blur is not taken for the scene's. Sensor noise is white (n₁ = 0); what a codec
 * leaves falls with the frequency too. Likelihood of a spectrum: [whittle1953]; its greatest by
 * Fisher's scoring, held back where a step would lose. Where P scatters more than its looks allow (scenes are no noise), every
 * difference of log L counts as so much less (`scatter`), as usual for overdispersion [mccullagh1989 §9.2].
 */
import { CholeskyDecomposition, Matrix } from 'ml-matrix'
import { directionOf, type Polar, SECTORS } from './polar.js'

/** What a blur leaves of a spatial frequency (u, v), cycles a pixel right and down; 1 at frequency 0. */
export type Transfer = (u: number, v: number) => number

/** Rings nearest to frequency 0 hold the taper's lobe and the light's fall over the window. */
const FIRST_RING = 3
const LEAST_LOOKS = 0.2
const MIDDLE = Math.log(0.11)
const FREE = Number.POSITIVE_INFINITY
/** Mean and standard deviation of the priors of c₀, c₁, c₂, c₃, a₂, b₂, a₄, b₄, n₀, n₁. */
const PRIORS: readonly (readonly [mean: number, sd: number])[] = [
  [0, FREE],
  [-2.2, 0.4],
  [0, 0.15],
  [0, 0.1],
  [0, 0.5],
  [0, 0.5],
  [0, 0.5],
  [0, 0.5],
  [0, FREE],
  [0, 1.5],
]
const UNKNOWNS = PRIORS.length
/** Of the scene; the noise's two stand behind them. */
const TERMS = UNKNOWNS - 2
const MOST_STEPS = 40
/** Of log L: what a further step gains then moves no size by a thousandth of its spread. */
const ENOUGH = 1e-2
/** The taper's lobe, in steps of a ring, and where across a sector a transfer is looked at. */
const LOBE = Math.sqrt(1 / 3)
const LOOKS = looksWithin([-1, -0.5, 0, 0.5, 1], [-0.25, 0.25])

export interface Fitted {
  readonly logLikelihood: number
  /** Deviance a degree of freedom; 1 where the model holds. */
  readonly scatter: number
  readonly unknowns: Float64Array
  /** Rings at which the blurred scene stands above the noise. */
  readonly told: number
}

/** A window's cells, made ready to be asked for many blurs. */
export class SpectrumLikelihood {
  readonly #spectrum: Polar
  readonly #cells: Int32Array
  /** The scene's terms of each cell, one cell behind the other. */
  readonly #terms: Float64Array
  readonly #pixel: Float64Array
  /** Where a transfer is looked at for each cell: u and v of every place of LOOKS, one cell behind the other. */
  readonly #places: Float64Array

  constructor(spectrum: Polar) {
    const { rings, looks, step } = spectrum
    this.#spectrum = spectrum
    const cells: number[] = []
    for (let s = 0; s < SECTORS; s++)
      for (let r = FIRST_RING; r < rings; r++)
        if (looks[s * rings + r] > LEAST_LOOKS) cells.push(s * rings + r)
    this.#cells = Int32Array.from(cells)
    this.#terms = Float64Array.from(
      cells.flatMap((cell) => {
        const t = Math.log(((cell % rings) + 1) * step) - MIDDLE
        const a = 2 * directionOf(Math.floor(cell / rings))
        return [1, t, t * t, t ** 3, Math.cos(a), Math.sin(a), Math.cos(2 * a), Math.sin(2 * a)]
      }),
    )
    this.#pixel = Float64Array.from(cells, (cell) => {
      const [u, v] = this.#at(cell, 0, 0)
      return (sinc(u) * sinc(v)) ** 2
    })
    this.#places = Float64Array.from(
      cells.flatMap((cell) => LOOKS.flatMap(({ ring, sector }) => this.#at(cell, ring, sector))),
    )
  }

  /** Cells that count. */
  get count(): number {
    return this.#cells.length
  }

  /** @param from unknowns of a blur near this one */
  under(transfer: Transfer, from?: Float64Array): Fitted {
    const kept = this.#kept(transfer)
    let unknowns = from ?? this.#start()
    let best = this.#log(unknowns, kept)
    for (let step = 0, damping = 1e-3; step < MOST_STEPS; step++) {
      const { information, slope } = this.#derivatives(unknowns, kept)
      let gain = 0
      for (let tries = 0; tries < 8; tries++, damping *= 6) {
        const next = stepped(unknowns, information, slope, damping)
        const found = next === undefined ? best : this.#log(next, kept)
        if (next === undefined || !(found > best)) continue
        gain = found - best
        ;[unknowns, best] = [next, found]
        damping = Math.max(damping / 24, 1e-6)
        break
      }
      if (gain < ENOUGH) break
    }
    return { logLikelihood: best, unknowns, ...this.#fit(unknowns, kept) }
  }

  #at(cell: number, ring: number, sector: number): [number, number] {
    const { rings, step } = this.#spectrum
    const f = ((cell % rings) + 1 + ring) * step
    const a = directionOf(Math.floor(cell / rings)) + (sector * Math.PI) / SECTORS
    return [f * Math.cos(a), f * Math.sin(a)]
  }

  /** |H|² of each cell as the taper mixes it, times the pixel's own. */
  #kept(transfer: Transfer): Float64Array {
    return this.#pixel.map((pixel, i) => {
      let sum = 0
      for (let k = 0, at = 2 * i * LOOKS.length; k < LOOKS.length; k++, at += 2)
        sum += LOOKS[k].share * transfer(this.#places[at], this.#places[at + 1]) ** 2
      return pixel * sum
    })
  }

  /** A scene as strong as the whole, and noise as strong as the quieter of the finest detail. */
  #start(): Float64Array {
    const { power, rings } = this.#spectrum
    const logs = Array.from(this.#cells, (c) => Math.log(power[c] + 1e-30))
    const fine = Array.from(this.#cells).filter((c) => c % rings >= rings - 6)
    const quiet = fine.map((c) => power[c] as number).sort((a, b) => a - b)[fine.length >> 2] as number
    const out = new Float64Array(UNKNOWNS)
    out[0] = logs.reduce((a, b) => a + b, 0) / logs.length
    out[1] = -2
    out[TERMS] = Math.log(quiet + 1e-30)
    return out
  }

  #scene(i: number, unknowns: Float64Array): number {
    let sum = 0
    for (let j = 0; j < TERMS; j++) sum += unknowns[j] * this.#terms[i * TERMS + j]
    return Math.exp(Math.min(sum, 60))
  }

  #noise(i: number, unknowns: Float64Array): number {
    return Math.exp(unknowns[TERMS] + unknowns[TERMS + 1] * this.#terms[i * TERMS + 1])
  }

  #log(unknowns: Float64Array, kept: Float64Array): number {
    const { power, looks } = this.#spectrum
    let sum = 0
    for (const [j, [mean, sd]] of PRIORS.entries()) sum -= 0.5 * ((unknowns[j] - mean) / sd) ** 2
    for (let i = 0; i < kept.length; i++) {
      const cell = this.#cells[i] as number
      const s = this.#scene(i, unknowns) * kept[i] + this.#noise(i, unknowns)
      sum -= looks[cell] * (Math.log(s) + power[cell] / s)
    }
    return sum
  }

  #derivatives(unknowns: Float64Array, kept: Float64Array): { information: Matrix; slope: Float64Array } {
    const { power, looks } = this.#spectrum
    const [terms, cells] = [this.#terms, this.#cells]
    const half = new Float64Array(UNKNOWNS * UNKNOWNS)
    const slope = new Float64Array(UNKNOWNS)
    for (const [j, [mean, sd]] of PRIORS.entries()) {
      slope[j] -= (unknowns[j] - mean) / sd ** 2
      half[j * UNKNOWNS + j] = 1 / sd ** 2
    }
    const d = new Float64Array(UNKNOWNS)
    for (let i = 0; i < kept.length; i++) {
      const cell = cells[i] as number
      const scene = this.#scene(i, unknowns) * kept[i]
      const noise = this.#noise(i, unknowns)
      const s = scene + noise
      for (let j = 0; j < TERMS; j++) d[j] = (terms[i * TERMS + j] * scene) / s
      d[TERMS] = noise / s
      d[TERMS + 1] = (terms[i * TERMS + 1] * noise) / s
      const pull = looks[cell] * (power[cell] / s - 1)
      for (let j = 0; j < UNKNOWNS; j++) {
        slope[j] += pull * d[j]
        const weight = looks[cell] * d[j]
        for (let k = 0; k <= j; k++) half[j * UNKNOWNS + k] += weight * d[k]
      }
    }
    const information = Matrix.zeros(UNKNOWNS, UNKNOWNS)
    for (let j = 0; j < UNKNOWNS; j++)
      for (let k = 0; k <= j; k++)
        for (const [row, column] of [
          [j, k],
          [k, j],
        ] as const)
          information.set(row, column, half[j * UNKNOWNS + k])
    return { information, slope }
  }

  #fit(unknowns: Float64Array, kept: Float64Array): Pick<Fitted, 'scatter' | 'told'> {
    const { power, looks, rings } = this.#spectrum
    const told = new Set<number>()
    let deviance = 0
    for (let i = 0; i < kept.length; i++) {
      const cell = this.#cells[i] as number
      const scene = this.#scene(i, unknowns) * kept[i]
      const noise = this.#noise(i, unknowns)
      const q = power[cell] / (scene + noise)
      deviance += 2 * looks[cell] * (q - 1 - Math.log(Math.max(q, 1e-9)))
      if (scene > noise) told.add(cell % rings)
    }
    return { scatter: deviance / Math.max(kept.length - UNKNOWNS, 1), told: told.size }
  }
}

/** Places within a cell, in steps of a ring and of a sector, and the share of each: a Gaussian's across rings. */
function looksWithin(rings: readonly number[], sectors: readonly number[]) {
  const all = rings.flatMap((ring) =>
    sectors.map((sector) => ({ ring, sector, share: Math.exp(-0.5 * (ring / LOBE) ** 2) })),
  )
  const whole = all.reduce((sum, { share }) => sum + share, 0)
  return all.map((look) => ({ ...look, share: look.share / whole }))
}

/** Longest step of an unknown: a factor of 7 in power. */
const LONGEST = 2

function stepped(
  from: Float64Array,
  information: Matrix,
  slope: Float64Array,
  damping: number,
): Float64Array | undefined {
  const damped = information.clone()
  for (let j = 0; j < UNKNOWNS; j++) damped.set(j, j, information.get(j, j) * (1 + damping) + 1e-9)
  const cholesky = new CholeskyDecomposition(damped)
  if (!cholesky.isPositiveDefinite()) return undefined
  const step = cholesky.solve(Matrix.columnVector(slope)).to1DArray()
  return from.map((v, j) => v + Math.max(-LONGEST, Math.min(LONGEST, step[j] as number)))
}

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)
}
