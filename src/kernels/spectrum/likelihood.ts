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
import { type BlurFamily, type Cells, cellsOf, TERMS } from './cells.js'
import type { Polar } from './polar.js'

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
/** The noise's two stand behind the scene's. */
const UNKNOWNS = TERMS + 2
const MOST_STEPS = 40
/** Of log L: neighbouring sizes then fall short by as much, and no size moves by a thousandth of its spread. */
const ENOUGH = 0.1

export interface Fitted {
  readonly logLikelihood: number
  /** Deviance a degree of freedom; 1 where the model holds. */
  readonly scatter: number
  readonly unknowns: Float64Array
  /** Rings at which the blurred scene stands above the noise. */
  readonly told: number
}

/** Power that a model says each cell has. */
interface Modelled {
  readonly scene: Float64Array
  readonly noise: Float64Array
}

/** A window's cells, made ready to be asked for many blurs. */
export class SpectrumLikelihood {
  readonly #spectrum: Polar
  readonly #cells: Cells
  /** By the unknowns that are held, and by those that are tried. */
  #held: Modelled
  #tried: Modelled

  constructor(spectrum: Polar) {
    this.#spectrum = spectrum
    this.#cells = cellsOf(spectrum)
    const room = () => new Float64Array(this.#cells.index.length)
    this.#held = { scene: room(), noise: room() }
    this.#tried = { scene: room(), noise: room() }
  }

  /** @param from unknowns of a blur near this one */
  under(family: BlurFamily, size: number, from?: Float64Array): Fitted {
    const kept = this.#cells.kept(family, size)
    let unknowns = from ?? this.#start()
    let best = this.#log(unknowns, kept)
    this.#take()
    for (let step = 0, damping = 1e-3; step < MOST_STEPS; step++) {
      const { information, slope } = this.#derivatives(unknowns)
      let gain = 0
      for (let tries = 0; tries < 8; tries++, damping *= 6) {
        const next = stepped(unknowns, information, slope, damping)
        const found = next === undefined ? best : this.#log(next, kept)
        if (next === undefined || !(found > best)) continue
        gain = found - best
        ;[unknowns, best] = [next, found]
        this.#take()
        damping = Math.max(damping / 24, 1e-6)
        break
      }
      if (gain < ENOUGH) break
    }
    return { logLikelihood: best, unknowns, ...this.#fit() }
  }

  #take(): void {
    ;[this.#held, this.#tried] = [this.#tried, this.#held]
  }

  /** A scene as strong as the whole, and noise as strong as the quieter of the finest detail. */
  #start(): Float64Array {
    const { power, rings } = this.#spectrum
    const { index } = this.#cells
    const logs = Array.from(index, (c) => Math.log(power[c] + 1e-30))
    const fine = Array.from(index).filter((c) => c % rings >= rings - 6)
    const quiet = fine.map((c) => power[c] as number).sort((a, b) => a - b)[fine.length >> 2] as number
    const out = new Float64Array(UNKNOWNS)
    out[0] = logs.reduce((a, b) => a + b, 0) / logs.length
    out[1] = -2
    out[TERMS] = Math.log(quiet + 1e-30)
    return out
  }

  /** Of unknowns that are tried. */
  #log(unknowns: Float64Array, kept: Float64Array): number {
    const { power, looks } = this.#spectrum
    const { index, terms } = this.#cells
    const { scene, noise } = this.#tried
    const [floor, tilt] = [unknowns[TERMS] as number, unknowns[TERMS + 1] as number]
    let sum = 0
    for (let j = 0; j < UNKNOWNS; j++) {
      const [mean, sd] = PRIORS[j]
      sum -= 0.5 * ((unknowns[j] - mean) / sd) ** 2
    }
    for (let i = 0; i < index.length; i++) {
      let log = 0
      for (let j = 0, at = i * TERMS; j < TERMS; j++) log += unknowns[j] * terms[at + j]
      scene[i] = Math.exp(Math.min(log, 60)) * kept[i]
      noise[i] = Math.exp(floor + tilt * terms[i * TERMS + 1])
      const s = scene[i] + noise[i]
      const cell = index[i] as number
      sum -= looks[cell] * (Math.log(s) + power[cell] / s)
    }
    return sum
  }

  /** At the unknowns that are held. */
  #derivatives(unknowns: Float64Array): { information: Matrix; slope: Float64Array } {
    const { power, looks } = this.#spectrum
    const { index, terms } = this.#cells
    const { scene, noise } = this.#held
    const half = new Float64Array(UNKNOWNS * UNKNOWNS)
    const slope = new Float64Array(UNKNOWNS)
    for (const [j, [mean, sd]] of PRIORS.entries()) {
      slope[j] -= (unknowns[j] - mean) / sd ** 2
      half[j * UNKNOWNS + j] = 1 / sd ** 2
    }
    const d = new Float64Array(UNKNOWNS)
    for (let i = 0; i < index.length; i++) {
      const cell = index[i] as number
      const s = scene[i] + noise[i]
      const share = scene[i] / s
      for (let j = 0, at = i * TERMS; j < TERMS; j++) d[j] = terms[at + j] * share
      d[TERMS] = noise[i] / s
      d[TERMS + 1] = terms[i * TERMS + 1] * d[TERMS]
      const pull = looks[cell] * (power[cell] / s - 1)
      for (let j = 0; j < UNKNOWNS; j++) {
        slope[j] += pull * d[j]
        const weight = looks[cell] * d[j]
        for (let k = 0, at = j * UNKNOWNS; k <= j; k++) half[at + k] += weight * d[k]
      }
    }
    const information = Matrix.zeros(UNKNOWNS, UNKNOWNS)
    for (let j = 0; j < UNKNOWNS; j++)
      for (let k = 0; k <= j; k++) {
        information.set(j, k, half[j * UNKNOWNS + k])
        information.set(k, j, half[j * UNKNOWNS + k])
      }
    return { information, slope }
  }

  #fit(): Pick<Fitted, 'scatter' | 'told'> {
    const { power, looks, rings } = this.#spectrum
    const { index } = this.#cells
    const { scene, noise } = this.#held
    const told = new Set<number>()
    let deviance = 0
    for (let i = 0; i < index.length; i++) {
      const cell = index[i] as number
      const q = power[cell] / (scene[i] + noise[i])
      deviance += 2 * looks[cell] * (q - 1 - Math.log(Math.max(q, 1e-9)))
      if (scene[i] > noise[i]) told.add(cell % rings)
    }
    return { scatter: deviance / Math.max(index.length - UNKNOWNS, 1), told: told.size }
  }
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
