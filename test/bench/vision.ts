/** A few functions of OpenCV, compiled to WebAssembly by the package opencv-js. */
import { createRequire } from 'node:module'

/** Several planes of numbers, in the library's own memory. */
export interface Mat {
  readonly data32F: Float32Array
  delete(): void
}

export interface Vision {
  readonly Mat: new (rows?: number, columns?: number, type?: number) => Mat
  readonly Point: new (x: number, y: number) => object
  readonly CV_32FC1: number
  readonly CV_32FC4: number
  readonly BORDER_CONSTANT: number
  filter2D(
    from: Mat,
    to: Mat,
    depth: number,
    kernel: Mat,
    anchor: object,
    delta: number,
    border: number,
  ): void
}

const require = createRequire(import.meta.url)

/** Waits for the library, then calls `work` with it: it has a `then` that calls back with itself, so no promise may hold it. */
export async function withVision<T>(work: (cv: Vision) => T): Promise<T> {
  const cv = require('@techstark/opencv-js') as Vision & { then(ready: () => void): void }
  await new Promise<void>((resolve) => cv.then(() => resolve()))
  return work(cv)
}
