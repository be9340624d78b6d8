export function immerkaer(_plane: Float32Array, _width: number, _height: number): number {
  throw new Error('being written')
}
