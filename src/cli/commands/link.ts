import { Problem } from '../../core/index.js'
import { editShot } from '../../engine/document.js'
import { applyEdit, elementOf, strengthOf, type WeakLink } from '../../shot/index.js'
import type { Outcome } from '../outcome.js'

export interface LinkOptions {
  readonly strength?: number
  readonly off?: true
  readonly on?: true
}

/** Weakens a link's treatment of an element, leaves it out, or takes it in again. */
export async function link(path: string, element: string, name: WeakLink, o: LinkOptions): Promise<Outcome> {
  if (o.off && o.on)
    throw new Problem({ code: 'cli.value', what: 'A link is either on or off', received: '--off --on' })
  if (o.strength === undefined && !o.off && !o.on) {
    throw new Problem({
      code: 'cli.value',
      what: 'Nothing is said of the link',
      expected: '--strength, --off or --on',
    })
  }
  if (name === 'source' && o.strength !== undefined) {
    throw new Problem({
      code: 'cli.value',
      what: 'The source link mends the file or leaves it: it has no strength',
      expected: '--off or --on',
      received: `--strength ${o.strength}`,
    })
  }
  const shot = await editShot(path, (now) =>
    applyEdit(now, {
      kind: 'link',
      element,
      link: name,
      ...(o.strength === undefined ? {} : { strength: o.strength }),
      ...(o.off ? { off: true } : o.on ? { off: false } : {}),
    }),
  )
  const share = strengthOf(elementOf(shot, element), name)
  const done =
    share === 0 ? 'left out' : share === 1 ? 'done in full' : `done by ${Math.round(100 * share)} %`
  return { text: `${element} ${name}: ${done}`, json: { shot: path, element, link: name, strength: share } }
}
