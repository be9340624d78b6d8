/** A value that components read and that changes as a whole. */
import { useSyncExternalStore } from 'react'

export class Store<T extends object> {
  #value: T
  readonly #heard = new Set<() => void>()

  constructor(value: T) {
    this.#value = value
  }

  get(): T {
    return this.#value
  }

  set(change: Partial<T>): void {
    this.#value = { ...this.#value, ...change }
    for (const tell of this.#heard) tell()
  }

  readonly subscribe = (tell: () => void): (() => void) => {
    this.#heard.add(tell)
    return () => this.#heard.delete(tell)
  }
}

/** @param pick gives what stands in the value, not something new each time */
export function useStore<T extends object, P>(store: Store<T>, pick: (value: T) => P): P {
  return useSyncExternalStore(store.subscribe, () => pick(store.get()))
}
