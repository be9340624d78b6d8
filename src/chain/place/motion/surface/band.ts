/**
 * Symmetric equations whose numbers lie near the diagonal, solved by Cholesky's way: A = L·Lᵀ, and L has A's band.
 * A grid's nodes know their neighbours alone, and a general solver would spend its time on zeros.
 * Source: [golub2013 §4.3.5].
 */
export class Band {
  readonly size: number
  /** Numbers below the diagonal in a column. */
  readonly width: number
  /** Row by row: the last of each row's `width + 1` numbers is the diagonal's. */
  readonly #rows: Float64Array

  constructor(size: number, width: number) {
    this.size = size
    this.width = Math.min(width, size - 1)
    this.#rows = new Float64Array(size * (this.width + 1))
  }

  /** Adds to the number in row i and column j, in either order, at most `width` apart. */
  add(i: number, j: number, value: number): void {
    const at = i >= j ? this.#index(i, j) : this.#index(j, i)
    this.#rows[at] = (this.#rows[at] as number) + value
  }

  /** Turns the numbers into those of L. @returns false where A is not positive definite */
  factor(): boolean {
    const { size, width } = this
    const rows = this.#rows
    for (let i = 0; i < size; i++) {
      const from = Math.max(0, i - width)
      for (let j = from; j <= i; j++) {
        let sum = rows[this.#index(i, j)] as number
        const a = this.#index(i, 0)
        const b = this.#index(j, 0)
        for (let k = Math.max(from, j - width); k < j; k++)
          sum -= (rows[a + k] as number) * (rows[b + k] as number)
        if (i === j && !(sum > 0)) return false
        rows[a + j] = i === j ? Math.sqrt(sum) : sum / (rows[this.#index(j, j)] as number)
      }
    }
    return true
  }

  /** Replaces the right side by the solution; after `factor`. */
  solve(x: Float64Array): void {
    const { size, width } = this
    const rows = this.#rows
    for (let i = 0; i < size; i++) {
      let sum = x[i] as number
      const a = this.#index(i, 0)
      for (let k = Math.max(0, i - width); k < i; k++) sum -= (rows[a + k] as number) * (x[k] as number)
      x[i] = sum / (rows[a + i] as number)
    }
    for (let i = size - 1; i >= 0; i--) {
      x[i] = (x[i] as number) / (rows[this.#index(i, i)] as number)
      const a = this.#index(i, 0)
      for (let k = Math.max(0, i - width); k < i; k++)
        x[k] = (x[k] as number) - (rows[a + k] as number) * (x[i] as number)
    }
  }

  #index(i: number, j: number): number {
    return i * (this.width + 1) + this.width - i + j
  }
}
