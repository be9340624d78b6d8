export function tapsFor(_lag1: number, _lag2: number): number[] {
  throw new Error('being written')
}
