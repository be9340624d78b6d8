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
  readonly Size: new (width: number, height: number) => object
  readonly Scalar: new () => object
  readonly CV_16SC2: number
  readonly CV_32FC1: number
  readonly CV_32FC4: number
  readonly BORDER_CONSTANT: number
  readonly INTER_CUBIC: number
  filter2D(
    from: Mat,
    to: Mat,
    depth: number,
    kernel: Mat,
    anchor: object,
    delta: number,
    border: number,
  ): void
  GaussianBlur(from: Mat, to: Mat, size: object, sigmaX: number, sigmaY: number, border: number): void
  convertMaps(x: Mat, y: Mat, whole: Mat, part: Mat, type: number, nearest: boolean): void
  remap(from: Mat, to: Mat, whole: Mat, part: Mat, reading: number, border: number, outside: object): void
}

const require = createRequire(import.meta.url)

/** Waits for the library, then calls `work` with it: it has a `then` that calls back with itself, so no promise may hold it. */
export async function withVision<T>(work: (cv: Vision) => T): Promise<T> {
  const cv = require('@techstark/opencv-js') as Vision & { then(ready: () => void): void }
  await new Promise<void>((resolve) => cv.then(() => resolve()))
  return work(cv)
}
