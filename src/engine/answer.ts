/** What a thread of a pool sends back. */
import { parentPort } from 'node:worker_threads'
import { type NativeFrame, Problem } from '../core/index.js'

/** @param handedOver buffers that go over instead of being copied */
export function answered(output: unknown, handedOver: readonly ArrayBuffer[] = []): void {
  parentPort?.postMessage({ output }, [...handedOver])
}

/** A fault of the input as what it says, anything else as a defect. */
export function failed(error: unknown): void {
  if (error instanceof Problem) parentPort?.postMessage({ problem: error.detail })
  else
    parentPort?.postMessage({
      defect: error instanceof Error ? (error.stack ?? error.message) : String(error),
    })
}

/** Planes may share one. */
export function buffersOf(frame: NativeFrame): ArrayBuffer[] {
  return [...new Set(frame.planes.map((p) => p.data.buffer as ArrayBuffer))]
}
