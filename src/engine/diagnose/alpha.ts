/** Findings of a file's alpha: its kind, and what shines where nothing covers. */
import { type AlphaFound, isFilled, type Kind } from './alphaKind.js'
import type { AlphaLook } from './alphaLook.js'
import { cannotTell, type Finding, percent, rounded } from './finding.js'

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
  const told = (verdict: Finding['verdict'], sentence: string, value?: string): Finding => ({
    code: CODE,
    frames,
    method: METHOD,
    verdict,
    sentence,
    confidence: kind.confidence,
    numbers: { ...numbers, kind: kind.found },
    ...(value === undefined ? {} : { suggestions: [{ field: 'alpha' as const, value }] }),
  })
  switch (kind.found) {
    case 'constant':
      return constant(look, onBlack, told)
    case 'on white':
      return told(
        'fault',
        'Its colour was multiplied by alpha over white: edges will glow white until that white is taken off.',
      )
    case 'doubly multiplied':
      return told('fault', 'Its colour was multiplied by alpha twice: edges will be too dark.')
    case 'straight':
    case 'premultiplied':
      return multiplied(kind, kind.found, said, told)
    default:
      return cannotTell(CODE, kind.why ?? '', METHOD, frames, { ...numbers, kind: kind.found })
  }
}

type Told = (verdict: Finding['verdict'], sentence: string, value?: string) => Finding

function constant(look: AlphaLook, onBlack: boolean, told: Told): Finding {
  if (look.highest < 0.01)
    return told(
      'fault',
      'Its alpha is 0 everywhere: it says nothing about cover, and would hide all of it.',
      'none',
    )
  if (look.lowest < 0.99)
    return told(
      'fault',
      `Its alpha is ${look.lowest.toFixed(2)} everywhere: it says nothing about cover.`,
      'none',
    )
  if (!onBlack) return told('fine', 'Its alpha is 1 everywhere: a whole picture, nothing is cut out.', 'none')
  // Black around an opaque picture may be the night.
  const found = told(
    'fault',
    'Its alpha is 1 everywhere, yet it stands on black: its light alone says where it is.',
    'on-black',
  )
  return { ...found, confidence: 0.7 }
}

function multiplied(
  { domain }: Kind,
  found: AlphaFound,
  said: 'straight' | 'premultiplied',
  told: Told,
): Finding {
  if (domain === 'light' && found === 'premultiplied')
    return told(
      'fault',
      'Its colour was multiplied by alpha in linear light and coded afterwards, which no file says: read as multiplied in its codes its edges come out too bright. Better export it straight.',
      found,
    )
  return found === said
    ? told('fine', `Its alpha is ${said}, as its format means it to be.`, said)
    : told('fault', `Its alpha is ${found}, where its format or tag means ${said}.`, found)
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
