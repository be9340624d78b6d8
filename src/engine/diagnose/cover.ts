/** Where a file covers a plate: by its alpha, by its light on black, or not at all and before a key. */
import { toPremultiplied } from '../../chain/source/alpha/apply.js'
import { replaceNotFinite } from '../../chain/source/finite.js'
import type { FloatImage } from '../../core/index.js'
import type { SourceInfo } from '../../media/index.js'
import { alphaSaid } from '../ground.js'
import { linearFrame } from '../samples.js'
import { tableOf } from '../tables.js'
import { alphaFinding, glowFinding } from './alpha.js'
import { kindOf } from './alphaKind.js'
import { AlphaMeter } from './alphaLook.js'
import { borderFinding, type Contact, contactOf, floorFinding, isOnBlack } from './element.js'
import type { Finding } from './finding.js'
import { KeyMeter } from './key.js'
import { codesOf, type Still } from './still.js'

/** One pass over the frames that are looked at: the stills, or the whole file once more. */
export type Pass = () => AsyncIterable<Still> | Iterable<Still>

/** @param every frames that alpha, border and key are looked at on; asked for more than once */
export async function coverFindings(
  info: SourceInfo,
  stills: readonly Still[],
  every: Pass,
): Promise<Finding[]> {
  return info.layout.alpha ? alphaFindings(info, stills, every) : plainFindings(info, stills, every)
}

async function alphaFindings(info: SourceInfo, stills: readonly Still[], every: Pass): Promise<Finding[]> {
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
  const alpha = alphaFinding(seen, kind, said, whole && isOnBlack(linear(stills, info)), at)
  if (whole) return [alpha, ...(await plainFindings(info, stills, every))]
  const used = kind.found === 'straight' || kind.found === 'premultiplied' ? kind.found : said
  const table = tableOf(info.encoding.curve, 'decode')
  const contacts = await contactsOf(every, (s) => {
    const image = codesOf(s, info.encoding)
    replaceNotFinite(image)
    toPremultiplied(image, used, table)
    return contactOf(s.frame, image, false)
  })
  return [alpha, glowFinding(seen, kind.found, used, at), borderFinding(contacts)]
}

async function plainFindings(info: SourceInfo, stills: readonly Still[], every: Pass): Promise<Finding[]> {
  const images = linear(stills, info)
  const at = stills.map((s) => s.frame)
  if (isOnBlack(images)) {
    const contacts = await contactsOf(every, (s) =>
      contactOf(s.frame, linearFrame(s.native, info.encoding), true),
    )
    return [floorFinding(images, at), borderFinding(contacts)]
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

async function contactsOf(every: Pass, contact: (s: Still) => Contact): Promise<Contact[]> {
  const out: Contact[] = []
  for await (const s of every()) out.push(contact(s))
  return out
}

function linear(stills: readonly Still[], info: SourceInfo): FloatImage[] {
  return stills.map((s) => linearFrame(s.native, info.encoding))
}
