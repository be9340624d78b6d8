/**
 * Five locked-off stills of one chart: noise over time, pixel by pixel, against what the meter says of each single frame and of
 * pairs. A table a channel and level; `--json` as rows. The truth is counted here: variance over the five repeats, by the middle of
 * the pixel's own mean.
 */
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { type GrainMeasure, measureGrain } from '../../src/chain/sensor/grain/measure.js'
import { noiseAt } from '../../src/chain/sensor/grain/noiseAt.js'
import { roundingOf } from '../../src/chain/sensor/grain/rounding.js'
import { type FloatImage, type Reading, told } from '../../src/core/index.js'
import { linearFrame } from '../../src/engine/samples.js'
import { openSource } from '../../src/media/index.js'
import { footage, say } from './setting.js'

/** Borders of the levels, linear. */
const BORDERS = [0.004, 0.01, 0.02, 0.04, 0.08, 0.16, 0.3, 0.5, 0.8]
const LEAST = 20_000

const file = (n: number) => join(footage, 'noise', `chart-iso800.000${n}.jpg`)
const numbers = [0, 1, 2, 3, 4, 5].filter((n) => existsSync(file(n)))

async function read(n: number) {
  const source = await openSource(file(n), { still: true })
  try {
    for await (const frame of source.frames(0, 1))
      return { image: linearFrame(frame, source.info.encoding), info: source.info }
  } finally {
    await source.close()
  }
  throw new Error(`${file(n)} holds no picture`)
}

/** Middle of χ² with four degrees of freedom over its mean. */
const MIDDLE = 3.3567 / 4

/**
 * Noise of all pixels whose mean over the repeats lies between two levels: the middle of their variances, which edges that stir do
 * not reach. Undefined for few pixels.
 */
function truth(images: readonly FloatImage[], c: number, low: number, high: number) {
  const n = images.length
  const variances: number[] = []
  let level = 0
  for (let i = c; i < images[0]!.data.length; i += 4) {
    const mean = images.reduce((s, f) => s + f.data[i]!, 0) / n
    if (mean < low || mean >= high) continue
    level += mean
    variances.push(images.reduce((s, f) => s + (f.data[i]! - mean) ** 2, 0) / (n - 1))
  }
  if (variances.length < LEAST) return undefined
  const sorted = Float64Array.from(variances).sort()
  return { level: level / sorted.length, sigma: Math.sqrt(sorted[sorted.length >> 1]! / MIDDLE) }
}

/** All repeats brought to the first one's light, a channel: exposures are never quite alike. */
function sameLight(images: readonly FloatImage[]): FloatImage[] {
  const total = (f: FloatImage, c: number) => {
    let sum = 0
    for (let i = c; i < f.data.length; i += 4) sum += f.data[i]!
    return sum
  }
  const first = [0, 1, 2].map((c) => total(images[0]!, c))
  return images.map((f) => {
    const gain = [0, 1, 2].map((c) => first[c]! / total(f, c))
    return { ...f, data: f.data.map((v, i) => (i % 4 === 3 ? v : v * gain[i % 4]!)) }
  })
}

if (numbers.length >= 2) {
  const read5 = await Promise.all(numbers.map(read))
  const images = read5.map((r) => r.image)
  const { layout, encoding } = read5[0]!.info
  const rounding = roundingOf(layout, encoding)
  const single = images.map((image, frame) => measureGrain([{ frame, image, after: undefined }], 1, rounding))
  const pair = measureGrain([{ frame: 0, image: images[0]!, after: images[1]! }], 1, rounding)
  const at = (m: Reading<GrainMeasure>, c: number, level: number) =>
    told(m) ? noiseAt(m.value, c, level) : m
  const alike = sameLight(images)
  const rows = [0, 1, 2].flatMap((c) =>
    BORDERS.slice(1).flatMap((high, i) => {
      const t = truth(alike, c, BORDERS[i]!, high)
      if (t === undefined) return []
      const known = Math.sqrt(Math.max(t.sigma ** 2 - rounding.variance(c, t.level), 0))
      const one = single.map((m) => at(m, c, t.level)).flatMap((r) => (told(r) ? [r] : []))
      const two = at(pair, c, t.level)
      const off = (v: number) => Number((v / known).toFixed(3))
      const spread = (r: (typeof one)[number]) =>
        r.evidence.kind === 'measured' ? (r.evidence.spread ?? 0) : 0
      return [
        {
          channel: 'RGB'[c],
          level: Number(t.level.toPrecision(3)),
          sigma: Number(known.toPrecision(3)),
          pair: told(two) ? off(two.value) : 'cannot tell',
          'one frame':
            one.length === 0 ? 'cannot tell' : off(one.reduce((s, r) => s + r.value, 0) / one.length),
          'its spread': one.length === 0 ? '' : off(one.reduce((s, r) => s + spread(r), 0) / one.length),
          'inside 2σ': `${one.filter((r) => Math.abs(r.value - known) <= 2 * spread(r)).length} of ${one.length}`,
        },
      ]
    }),
  )
  if (process.argv.includes('--json')) for (const row of rows) console.log(JSON.stringify(row))
  else console.table(rows)
  const lags = (m: Reading<GrainMeasure>) =>
    told(m) ? m.value.lags.map((l) => l[0].toFixed(2)).join(' ') : m.cannotTell
  say('chart', { 'lag-1 over time': lags(pair), 'lag-1 of one frame': lags(single[0]!) })
}
