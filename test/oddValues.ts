/** Values that pixels hold now and then and that kernels must treat as their twins do: none, endless, far beyond white and black, next to nothing. */
export const oddValues = [
  Number.NaN,
  Number.POSITIVE_INFINITY,
  Number.NEGATIVE_INFINITY,
  1e6,
  -65504,
  491,
  7.99999,
  1e-7,
]
