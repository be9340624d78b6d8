/** What is made from plain data, kept for the next plan of the same thread: a document changes in few places at once. */
export class Recent<T> {
  readonly #most: number
  readonly #made = new Map<string, T>()

  /** @param most kept at once */
  constructor(most: number) {
    this.#most = most
  }

  get(from: unknown, make: () => T): T {
    return this.getAt(JSON.stringify(from), make)
  }

  protected getAt(key: string, make: () => T): T {
    const value = this.#made.has(key) ? (this.#made.get(key) as T) : make()
    this.#made.delete(key)
    this.#made.set(key, value)
    for (const old of this.#made.keys()) {
      if (this.#made.size <= this.#most) break
      this.#made.delete(old)
    }
    return value
  }
}

/** One thing that is ready made: where it is kept, by which key, and itself. */
type ReadyOne = readonly [name: string, key: string, value: unknown]

const stores = new Map<string, Ready<unknown>>()
let noted: ReadyOne[] | undefined

/** The same of plain data that takes long to make: one thread makes it and hands it to the others. */
export class Ready<T> extends Recent<T> {
  readonly #name: string

  constructor(name: string, most: number) {
    super(most)
    this.#name = name
    stores.set(name, this as Ready<unknown>)
  }

  override getAt(key: string, make: () => T): T {
    const value = super.getAt(key, make)
    noted?.push([this.#name, key, value])
    return value
  }
}

/** Everything of the kind that `work` asks for, made if need be, for `takeReady` in another thread. */
export function readyFor(work: () => void): readonly ReadyOne[] {
  const before = noted
  const mine: ReadyOne[] = []
  noted = mine
  try {
    work()
    return mine
  } finally {
    noted = before
  }
}

export function takeReady(ready: readonly ReadyOne[]): void {
  for (const [name, key, value] of ready) stores.get(name)?.getAt(key, () => value)
}
