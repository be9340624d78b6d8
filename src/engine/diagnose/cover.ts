/** Where a file covers a plate: by its alpha, by its light on black, or not at all and before a key. */
import type { FloatImage } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { alphaSaid } from '../ground.js'
import { linearFrame } from '../samples.js'
import { alphaFinding, glowFinding } from './alpha.js'
import { kindOf } from './alphaKind.js'
import { AlphaMeter } from './alphaLook.js'
import { borderFinding } from './border.js'
import type { BorderMeter } from './borderMeter.js'
import type { Finding } from './finding.js'
import { floorFinding, floorOf } from './floor.js'
import { KeyMeter } from './key.js'
import { isOnBlack } from './onBlack.js'
import { codesOf, type Still } from './still.js'

/** One pass over the frames that are looked at: the stills, or the whole file once more. */
export type Pass = () => AsyncIterable<Still> | Iterable<Still>

/** What was read of a file. */
export interface Looked {
  readonly stills: readonly Still[]
  /** Has seen every frame that was decoded. */
  readonly border: BorderMeter
}

/** @param every frames that alpha and key are looked at on; asked for more than once */
export async function coverFindings(info: SourceInfo, looked: Looked, every: Pass): Promise<Finding[]> {
  return info.layout.alpha ? alphaFindings(info, looked, every) : plainFindings(info, looked, every)
}

async function alphaFindings(info: SourceInfo, looked: Looked, every: Pass): Promise<Finding[]> {
  const meter = new AlphaMeter(info.layout, info.encoding)
  const at: number[] = []
  for await (const s of every()) {
    meter.add(codesOf(s, info.encoding))
    at.push(s.frame)
  }
  const seen = meter.look()
  const said = alphaSaid(info).kind
  const kind = kindOf(seen, said)
  const whole = kind.found === 'constant'
  const alpha = alphaFinding(seen, kind, said, whole && isOnBlack(linear(looked.stills, info)), at)
  if (whole) return [alpha, ...(await plainFindings(info, looked, every))]
  const used = kind.found === 'straight' || kind.found === 'premultiplied' ? kind.found : said
  // White that colour was multiplied over is no light of its own.
  const glows = used === 'premultiplied' && kind.found !== 'on white'
  return [alpha, glowFinding(seen, kind.found, used, at), borderFinding(looked.border.withAlpha(glows))]
}

async function plainFindings(info: SourceInfo, looked: Looked, every: Pass): Promise<Finding[]> {
  const images = linear(looked.stills, info)
  const at = looked.stills.map((s) => s.frame)
  if (isOnBlack(images)) {
    const { floor, noise, peak } = floorOf(images, at)
    const contacts = looked.border.onBlack({ floor, noise }, peak)
    return [floorFinding(images, at, info), borderFinding(contacts)]
  }
  const key = new KeyMeter()
  images.forEach((image, i) => {
    key.add(at[i] ?? 0, image)
  })
  const found = key.finding()
  // Only a ground is worth a look at every frame.
  if (found.numbers.evennessStops === undefined) return [found]
  const whole = new KeyMeter()
  for await (const s of every()) whole.add(s.frame, linearFrame(s.native, info.encoding))
  return [whole.finding()]
}

function linear(stills: readonly Still[], info: SourceInfo): FloatImage[] {
  return stills.map((s) => linearFrame(s.native, info.encoding))
}
