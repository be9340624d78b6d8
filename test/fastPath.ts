import { expect } from 'vitest'
import { simd } from '../src/kernels/wasm/module.js'

type Name = keyof typeof simd

/**
 * Counts the calls of kernels in WebAssembly, from now on: a twin that equals plain code
 * proves little if the plain code is what ran.
 *
 * @returns what fails unless each of them was called since it was last asked
 */
export function watchKernels(...names: readonly Name[]): () => void {
  const calls = new Map<Name, number>()
  const set = simd as unknown as Record<Name, (...args: unknown[]) => unknown>
  for (const name of names) {
    const kernel = set[name]
    set[name] = (...args) => {
      calls.set(name, (calls.get(name) ?? 0) + 1)
      return kernel(...args)
    }
  }
  return () => {
    for (const name of names) expect(calls.get(name) ?? 0, `calls of ${name}`).toBeGreaterThan(0)
    calls.clear()
  }
}
