/** Memory that is used again from one call to the next: what a call takes it leaves clear, so that none is made or cleared twice. */

type Numbers = Int32Array | Float32Array | Uint8Array

/** @param make as many clear numbers as are asked for */
export function scratch<T extends Numbers>(make: (length: number) => T): (length: number) => T {
  let kept = make(0)
  return (length) => {
    if (kept.length < length) kept = make(length)
    return kept.subarray(0, length) as T
  }
}
