import type { PrimariesName, Rgb } from '../core/index.js'

export function planckXy(_kelvin: number): readonly [number, number] {
  throw new Error('being written')
}

export function planckRgb(_kelvin: number, _primaries: PrimariesName): Rgb {
  throw new Error('being written')
}

export function temperatureOf(_rgb: Rgb, _primaries: PrimariesName): number {
  throw new Error('being written')
}
