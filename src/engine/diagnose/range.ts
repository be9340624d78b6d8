/**
 * Range against its tag, from how luma (or R, G, B) use the codes outside 16 … 235 (in 8-bit units u).
 *
 * Limited data in a full tag: nothing outside, and a wall at 16 or 235: codes just inside common, just outside absent, where
 * converted pictures were clipped. Full data in a limited tag: the footroom is used down to 0, and not as noise about 16 would.
 * Cameras legally use the headroom above 235 (super-whites): that alone is no fault. Levels: [bt709] item 3.4; the rest is
 * common practice.
 */
import type { Evidence, RangeName } from '../../core/index.js'
import { percent } from '../words.js'
import { type Codes, codeAt, shareOf } from './codes.js'
import { cannotTell, type Finding, rounded, type Said } from './finding.js'
import { believed, tagged } from './tagged.js'

const CODE = 'diagnose.range'
const METHOD = 'histogram of codes against 16 and 235'
/** Share of the samples that makes a wall, and what may lie beyond it. */
const WALL = 0.002
const BEYOND = 0.05

const remedyOf = (range: RangeName) =>
  `Give it "range": "${range}" in the shot document, or export it again with that tag.`

/** @param by where `range` comes from */
export function rangeFinding(codes: Codes, range: RangeName, by: Evidence): Finding {
  if (codes.layout.float)
    return cannotTell(CODE, 'float samples have no range of codes', METHOD, codes.frames)
  const light = codes.light()
  const u = 2 ** (codes.layout.bits - 8)
  const share = (lo: number, hi: number) => shareOf(light, lo * u, hi * u)
  const look: Look = {
    low: codeAt(light, 0.002) / u,
    high: codeAt(light, 0.998) / u,
    below: share(0, 14),
    above: share(237.5, 256),
    bottom: share(0, 8),
    foot: share(8, 16),
    blackWall: isWall(share(15.5, 18), share(10, 14.5)),
    whiteWall: isWall(share(233, 236.5), share(237.5, 242)),
    zero: share(0, 1),
    top: share(254.9, 256),
    aroundBlack: share(12, 20),
    underBlack: share(4, 12),
    atBlack: share(15, 18),
    overBlack: share(19, 22),
  }
  const numbers = {
    lowest: rounded(look.low),
    highest: rounded(look.high),
    shareBelow16: rounded(look.below),
    shareAbove235: rounded(look.above),
  }
  return {
    ...(range === 'full' ? full(look, by) : limited(look, by)),
    code: CODE,
    frames: codes.frames,
    method: METHOD,
    numbers,
  }
}

interface Look {
  readonly low: number
  readonly high: number
  readonly below: number
  readonly above: number
  readonly bottom: number
  readonly foot: number
  readonly blackWall: boolean
  readonly whiteWall: boolean
  readonly zero: number
  readonly top: number
  readonly aroundBlack: number
  readonly underBlack: number
  readonly atBlack: number
  readonly overBlack: number
}

function isWall(inside: number, outside: number): boolean {
  return inside > WALL && outside < BEYOND * inside
}

function full(k: Look, by: Evidence): Said {
  const walls = (k.blackWall ? 1 : 0) + (k.whiteWall ? 1 : 0)
  const inside = k.below < 1e-3 && k.above < 1e-3
  if (inside && walls > 0) {
    const ends = Math.abs(k.low - 16) <= 5 && k.high >= 226 && k.high <= 237
    return {
      verdict: 'fault',
      sentence: `${tagged('full range', by)}, but its codes stop at ${k.blackWall ? '16' : '235'} as limited data do.`,
      confidence: walls === 2 ? 0.9 : ends ? 0.8 : 0.65,
      suggestions: [{ field: 'range', value: 'limited' }],
      remedy: remedyOf('limited'),
    }
  }
  if (k.below > 2e-3 && (k.above > 2e-3 || k.zero > 1e-3 || k.low < 12))
    return {
      verdict: 'fine',
      sentence: `Full range: ${percent(k.below)} of its codes lie below 16, ${percent(k.above)} above 235.`,
      confidence: 0.9,
    }
  if (k.below > 2e-3 || k.above > 5e-3)
    return {
      verdict: 'fine',
      sentence: 'Codes outside 16 to 235 are used, as full range may.',
      confidence: 0.6,
    }
  return told(k, 'full', by)
}

function limited(k: Look, by: Evidence): Said {
  // Noise about black peaks at 16 and fades towards 0; full data goes on down, or piles up at 0.
  const reachesDown = k.bottom > 0.002 && (k.bottom > 0.35 * k.foot || k.zero > 0.002)
  const noise = k.aroundBlack > 3 * k.underBlack && k.zero < 0.01
  if (reachesDown && !noise) {
    return {
      verdict: 'fault',
      sentence: `${tagged('limited range', by)}, but ${percent(k.below)} of its codes lie below 16, down to ${k.zero > 1e-4 ? '0' : 'near 0'}.`,
      confidence: k.top > 1e-4 || k.high > 245 ? 0.9 : 0.7,
      suggestions: [{ field: 'range', value: 'full' }],
      remedy: remedyOf('full'),
    }
  }
  if (k.blackWall || k.whiteWall)
    return {
      verdict: 'fine',
      sentence: `Limited range: its codes stop at ${k.blackWall ? '16' : '235'}.`,
      confidence: 0.9,
    }
  // A peak: full data go through 16 as through any code.
  if (k.below > 1e-3 && noise && k.atBlack > 1.5 * k.overBlack)
    return { verdict: 'fine', sentence: 'Limited range: its noise lies about black at 16.', confidence: 0.75 }
  return told(k, 'limited', by)
}

function told(k: Look, range: RangeName, by: Evidence): Said {
  return {
    verdict: 'cannot tell',
    sentence: `Its codes run from ${Math.round(k.low)} to ${Math.round(k.high)} (of 255), which both ranges may hold; ${believed(range, by)}.`,
    confidence: 0,
  }
}

/** The range that the codes prove where the tag is wrong; else `tag`. */
export function provenRange({ verdict, suggestions }: Finding, tag: RangeName): RangeName {
  const proven = suggestions?.find((s) => 'field' in s && s.field === 'range')?.value
  return verdict === 'fault' && (proven === 'full' || proven === 'limited') ? proven : tag
}
