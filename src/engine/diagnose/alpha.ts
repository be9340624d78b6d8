/** Findings of a file's alpha: its kind, and what shines where nothing covers. */

import { percent } from '../words.js'
import { type AlphaFound, isFilled, type Kind } from './alphaKind.js'
import type { AlphaLook } from './alphaLook.js'
import { cannotTell, type Finding, rounded, type Said } from './finding.js'

const CODE = 'diagnose.alpha'
const METHOD = 'power of alpha by which colour goes, in blocks along its edges, and bounds of each kind'

/** @param onBlack whether the colour by itself is an element on black @param said what the file's tag or the convention of its format says */
export function alphaFinding(
  look: AlphaLook,
  kind: Kind,
  said: 'straight' | 'premultiplied',
  onBlack: boolean,
  frames: readonly number[],
): Finding {
  const numbers = {
    lowest: rounded(look.lowest),
    highest: rounded(look.highest),
    edges: look.edges,
    ...(look.codes === undefined ? {} : { powerOfCodes: rounded(look.codes.middle) }),
    ...(look.light === undefined ? {} : { powerOfLight: rounded(look.light.middle) }),
    brighterThanAlpha: rounded(look.above),
    brighterThanItsSquare: rounded(look.aboveSquare),
    glow: rounded(look.glow),
  }
  return kind.found === 'unknown' || kind.found === 'none'
    ? cannotTell(CODE, kind.why ?? '', METHOD, frames, { ...numbers, kind: kind.found })
    : {
        ...saidOf(look, kind, kind.found, said, onBlack),
        code: CODE,
        frames,
        method: METHOD,
        numbers: { ...numbers, kind: kind.found },
      }
}

type Known = Exclude<AlphaFound, 'none' | 'unknown'>

const alphaIs = (value: string) => ({ suggestions: [{ field: 'alpha' as const, value }] })
const give = (value: string) => `Give it "alpha": "${value}" in the shot document (--fix writes it)`

function saidOf(
  look: AlphaLook,
  kind: Kind,
  found: Known,
  said: 'straight' | 'premultiplied',
  onBlack: boolean,
): Said {
  const { confidence } = kind
  switch (found) {
    case 'constant':
      return constant(look, confidence, onBlack)
    case 'on white':
      return {
        verdict: 'fault',
        sentence:
          'Its colour was multiplied by alpha over white: edges will glow white until that white is taken off.',
        confidence,
        remedy:
          'Export it again over black or with straight alpha: white that lies in its edges is not taken off here.',
      }
    case 'doubly multiplied':
      return {
        verdict: 'fault',
        sentence: 'Its colour was multiplied by alpha twice: edges will be too dark.',
        confidence,
        remedy:
          'Export it again straight, or multiplied once: one of the steps on its way multiplied what was multiplied already.',
      }
    default:
      return multiplied(kind, found, said, isFilled(look))
  }
}

function constant(look: AlphaLook, confidence: number, onBlack: boolean): Said {
  const empty = look.highest < 0.01
  if (empty || look.lowest < 0.99)
    return {
      verdict: 'fault',
      sentence: `Its alpha is ${empty ? '0' : look.lowest.toFixed(2)} everywhere: it says nothing about cover${empty ? ', and would hide all of it' : ''}.`,
      confidence,
      ...alphaIs('none'),
      remedy: `${give('none')}, or "on-black" where it is light on black; or export its alpha again.`,
    }
  if (!onBlack)
    return {
      verdict: 'fine',
      sentence: 'Its alpha is 1 everywhere: a whole picture, nothing is cut out.',
      confidence,
      ...alphaIs('none'),
    }
  return {
    verdict: 'fault',
    sentence: 'Its alpha is 1 everywhere, yet it stands on black: its light alone says where it is.',
    // Black around an opaque picture may be the night.
    confidence: 0.7,
    ...alphaIs('on-black'),
    remedy: `${give('on-black')}, unless it is a whole picture of the night.`,
  }
}

function multiplied(
  { domain, confidence }: Kind,
  found: 'straight' | 'premultiplied',
  said: 'straight' | 'premultiplied',
  filled: boolean,
): Said {
  if (domain === 'light' && found === 'premultiplied')
    return {
      verdict: 'fault',
      sentence:
        'Its colour was multiplied by alpha in linear light and coded afterwards, which no file says: read as multiplied in its codes its edges come out too bright.',
      confidence,
      ...alphaIs(found),
      remedy: 'Better export it straight; as it is, "premultiplied" comes nearest.',
    }
  if (found === said)
    return {
      verdict: 'fine',
      sentence: `Its alpha is ${found}, as its format means it to be.`,
      confidence,
      ...alphaIs(found),
    }
  // A twin with the very same pixels: only what was meant can tell.
  const twin =
    found === 'premultiplied'
      ? 'straight colour that fades out with its cover'
      : 'premultiplied light that does not fade with its cover'
  const doubt = found === 'straight' && filled ? '' : `; ${twin} would look the same`
  return {
    verdict: 'fault',
    sentence: `Its alpha is ${found}, where its format or tag means ${said}${doubt}.`,
    confidence,
    ...alphaIs(found),
    remedy:
      found === 'premultiplied'
        ? `${give(found)}; the settings that it was rendered with tell for certain. Or lay it over white: where a dark rim was not meant, it is premultiplied.`
        : `${give(found)}; the settings that it was rendered with tell for certain. Or lay it over black: where a bright rim was not meant, it is straight.`,
  }
}

/** Light where nothing covers: a glow when premultiplied, filling without a meaning when straight. */
export function glowFinding(
  look: AlphaLook,
  found: AlphaFound,
  kind: string,
  frames: readonly number[],
): Finding {
  const base = {
    code: 'diagnose.glow',
    verdict: 'fine',
    confidence: 0.9,
    frames,
    method: 'pixels with alpha 0 and colour above 1 %',
    numbers: { share: rounded(look.glow), flat: rounded(look.flat), peak: rounded(look.glowPeak) },
  } as const
  if (look.glow < 1e-4) return { ...base, sentence: 'Nothing shines where alpha is 0.' }
  const share = percent(look.glow)
  if (found === 'on white')
    return { ...base, sentence: `${share} of its pixels hold white where alpha is 0: its ground.` }
  const flat = isFilled(look) ? ', most of it one flat colour' : ''
  return {
    ...base,
    confidence: found === 'unknown' ? 0.6 : 0.9,
    sentence:
      kind === 'premultiplied'
        ? `${share} of its pixels shine where alpha is 0${flat}, at up to ${rounded(look.glowPeak)} of diffuse white: a glow, kept as light.`
        : `${share} of its pixels hold colour where alpha is 0${flat}, which straight alpha hides.`,
  }
}
