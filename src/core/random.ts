/**
 * Counter-based random numbers: a pure hash of (seed, frame, x, y, channel), so that the same pixel gets the same
 * number whatever the thread, the tile or the order. Finaliser of MurmurHash3 (public domain), applied per word.
 */
export function hash(seed: number, frame: number, x: number, y: number, channel: number): number {
  return channelHash(pixelHash(columnHash(seed, frame, x), y), channel)
}

/** First of the three steps of `hash`, for loops that go through many pixels: what the seed, frame and x make. */
export function columnHash(seed: number, frame: number, x: number): number {
  const h = mix(mix(seed | 0) ^ Math.imul(frame + 0x9e3779b9, 0x85ebca6b))
  return mix(h ^ Math.imul(x + 0x7f4a7c15, 0xc2b2ae35))
}

/** Second step: `column` from `columnHash`. */
export function pixelHash(column: number, y: number): number {
  return mix(column ^ Math.imul(y + 0x165667b1, 0x27d4eb2f))
}

/** Last step: `pixel` from `pixelHash`; 0 to 2³² − 1. */
export function channelHash(pixel: number, channel: number): number {
  return mix(pixel ^ Math.imul(channel + 0x2545f491, 0x9e3779b1)) >>> 0
}

function mix(v: number): number {
  let h = v
  h ^= h >>> 16
  h = Math.imul(h, 0x85ebca6b)
  h ^= h >>> 13
  h = Math.imul(h, 0xc2b2ae35)
  return h ^ (h >>> 16)
}

/** Uniform in [0, 1). */
export function uniform(seed: number, frame: number, x: number, y: number, channel: number): number {
  return hash(seed, frame, x, y, channel) / 4294967296
}
