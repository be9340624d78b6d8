/**
 * Border contact: sides on which the element's own frame cuts it off, unless the cut falls outside the plate's frame.
 *
 * Limits (choices): a cut of 2 % of cover or light is seen at all (`place/border/measure.ts`); one that stays faint
 * (a tenth) is poor, a stronger one unfit.
 */
import type { BorderContact } from '../../chain/place/border/measure.js'
import { percent } from '../words.js'
import type { Line } from './types.js'

const SIDES = ['top', 'right', 'bottom', 'left'] as const
const FAINT = 0.1
/** Share of a side below which it is free (a choice). */
const FREE = 0.01

export type Side = (typeof SIDES)[number]

/**
 * @param outside sides of the element that lie on or beyond the plate's own edge, where that is known
 * @param keyed it stands before a key ground: what is not of its colour touches
 */
export function borderLine(
  looked: readonly { readonly frame: number; readonly contact: BorderContact }[],
  outside: readonly Side[] | undefined,
  keyed = false,
): Line {
  const touching = looked.filter(({ contact }) => contact.touches)
  const share = (s: Side) => Math.max(0, ...touching.map(({ contact }) => contact[s]))
  const cut = SIDES.filter((s) => share(s) > FREE)
  const seen = cut.filter((s) => !(outside ?? []).includes(s))
  const base = { name: 'border', value: Math.max(0, ...seen.map(share)) } as const
  if (cut.length === 0)
    return {
      ...base,
      verdict: 'fine',
      worth: 1,
      figure: 'free',
      why: keyed
        ? 'along all sides of its frame there is screen on the frames looked at'
        : 'it touches no side of its own frame on the frames looked at',
    }
  if (seen.length === 0)
    return {
      ...base,
      verdict: 'fine',
      worth: 0.95,
      figure: 'cut off screen',
      why: `its ${words(cut)} is cut, outside the plate's frame`,
    }
  const strongest = Math.max(...touching.map(({ contact }) => contact.strongest))
  const faint = strongest <= FAINT
  const frames = touching.map((t) => t.frame)
  const at = seen.map((s) => `${s} over ${percent(share(s))}`).join(', ')
  const on = `on ${frames.length} of ${looked.length} frames looked at (${frames.join(', ')})`
  return {
    ...base,
    verdict: faint ? 'poor' : 'unfit',
    worth: faint ? 0.6 : Math.max(0.45 - 0.4 * base.value, 0.05),
    figure: `cut at the ${words(seen)}`,
    why: keyed
      ? `its frame's edge is not of the screen's colour: ${at}, ${on}; it is cut there, or the screen ends`
      : `its own frame cuts it off: ${at}, at up to ${percent(strongest)} strength, ${on}`,
    remedy: keyed
      ? 'let that side lie outside the plate or behind something; where only the screen ends, mask it off'
      : outside === undefined
        ? 'tell --at if that side lies outside the plate, or take one with room around it'
        : 'move it so that the side lies outside the plate or behind something, or take one with room around it',
  }
}

function words(sides: readonly Side[]): string {
  const last = sides.at(-1) as string
  return sides.length === 1 ? last : `${sides.slice(0, -1).join(', ')} and ${last}`
}

/** Sides of a placed element on or beyond the plate's edge. */
export function sidesOutside(
  at: { readonly x: number; readonly y: number },
  placed: { readonly width: number; readonly height: number },
  plate: { readonly width: number; readonly height: number },
): Side[] {
  const out: Side[] = []
  if (at.y - placed.height / 2 <= 0) out.push('top')
  if (at.x + placed.width / 2 >= plate.width) out.push('right')
  if (at.y + placed.height / 2 >= plate.height) out.push('bottom')
  if (at.x - placed.width / 2 <= 0) out.push('left')
  return out
}
