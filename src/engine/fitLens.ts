/** The plate's lens as its own frames show it: how far colours lie apart. */
import { measureAberration } from '../chain/lens/aberration/measure.js'
import { type FloatImage, told } from '../core/index.js'
import { curved } from '../kernels/index.js'
import type { Source } from '../media/index.js'
import type { Shot, Treatment } from '../shot/schema.js'
import { cached } from './cache/cached.js'
import type { Cache } from './cache/store.js'
import { type PlateSamples, spread } from './samples.js'
import { factsOf } from './sources.js'
import { tablesOf } from './tables.js'

/** What lies within so many spreads of no aberration is none: else every clean plate would be bent by its noise. */
const STANDS_OUT = 3
/** Frames that are looked at: more of one scene tell hardly more. */
const FRAMES = 3

export async function fitAberration(
  plate: Source,
  { numbers, read }: PlateSamples,
  cache: Cache | undefined,
): Promise<Shot['plate']['treatments']> {
  const key = { kind: 'aberration', of: [plate.content], how: { numbers, plate: factsOf(plate) } }
  const { subX, subY } = plate.info.layout
  const found = await cached(cache, key, async () => {
    const all = await read()
    const picked = spread(0, all.length - 1, FRAMES).flatMap((i) => all[i] ?? [])
    const samples = picked.map((s) => ({ frame: s.frame, code: codeOf(s.image, plate) }))
    return measureAberration(samples, { x: subX > 0, y: subY > 0 })
  })
  if (!told(found)) return { 'lens.aberration': found }
  const { factors, spreads } = found.value
  const value = factors.map((k, c) => (Math.abs(k - 1) < STANDS_OUT * (spreads[c] as number) ? 1 : k))
  return { 'lens.aberration': { value, evidence: found.evidence } as Treatment }
}

/** In the file's own codes; linear files in sRGB's. */
function codeOf(image: FloatImage, { info }: Source): FloatImage {
  const { encoding } = info
  return curved(image, tablesOf(encoding.curve === 'linear' ? { curve: 'srgb' } : encoding, 'encode'))
}
