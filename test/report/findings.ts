/** Check results for the report's tests. */
import type { CheckResult, LedgerRow, Tell } from '../../src/engine/types.js'

const TELLS: readonly Partial<Tell>[] = [
  {
    tell: 'blacks',
    link: 'light',
    unit: 'stops',
    measured: -1.43,
    expected: 0,
    limit: 0.5,
    sentence: 'Smoke black is 1.4 stops too deep for 900 m.',
    cause:
      'The smoke keeps the black of its own file; the air before it would lift it to the grey of the ridge.',
    remedy: 'Raise air.airlight, or give the smoke its distance and fit again.',
  },
  {
    tell: 'grain-amount',
    link: 'sensor',
    unit: '–',
    measured: 0.52,
    expected: 1,
    limit: 0.7,
    sentence: 'The smoke holds half the grain of the plate beside it.',
    cause: 'Where the smoke is dense the plate’s grain went with the plate.',
    remedy: 'Render with the grain top-up on.',
  },
  {
    tell: 'edge-width',
    link: 'lens',
    unit: 'px',
    measured: 1.24,
    expected: 3.1,
    limit: 1,
    sentence: 'The edge of the smoke is sharper than the ridge it stands on.',
    cause: 'The ridge lies out of focus and the smoke does not.',
    remedy: 'Set lens.blurRadius to 1.6 px.',
  },
]

export function tell(i: number, over: Partial<Tell> = {}): Tell {
  return {
    tell: 'cast',
    link: 'light',
    element: 'smoke',
    frames: [8, 40],
    region: { x: 520, y: 150, width: 150, height: 240 },
    unit: 'stops',
    measured: 0.31,
    expected: 0,
    limit: 0.2,
    confidence: 0.83,
    sentence: `The smoke is too blue (${i}).`,
    cause: 'It was shot under another sky.',
    remedy: 'Fit again against a place of like distance.',
    weight: 100 - i,
    meant: false,
    ...TELLS[i],
    ...over,
  }
}

const measured = {
  kind: 'measured',
  frames: [0, 12, 24],
  region: { x: 300, y: 340, width: 200, height: 60 },
  method: 'the 2nd percentile of light in the chosen place',
  spread: 0.0021,
  confidence: 0.82,
} as const

const row = (link: string, quantity: string, unit: string, over: Partial<LedgerRow>): LedgerRow => ({
  link,
  quantity,
  unit,
  verdict: 'fits',
  ...over,
})

export const LEDGER: readonly LedgerRow[] = [
  row('sensor', 'Grain at middle grey', 'linear', {
    plate: [0.00412, 0.0039, 0.0051],
    result: [0.00409, 0.0039, 0.0052],
    evidence: measured,
  }),
  row('source', 'Floor', 'linear', {
    element: 'smoke',
    source: [0.004, 0.004, 0.005],
    treatment: [0.004, 0.004, 0.005],
    verdict: 'not checked',
    evidence: { kind: 'set', note: 'read from the slate' },
  }),
  row('light', 'Black', 'linear', {
    element: 'smoke',
    plate: [0.0312, 0.0334, 0.0412],
    source: [0.002, 0.0021, 0.0021],
    treatment: [0.0312, 0.0334, 0.0412],
    result: [0.0117, 0.0121, 0.0144],
    verdict: 'tell',
    evidence: measured,
  }),
  row('light', 'White', 'linear', {
    element: 'smoke',
    plate: [0.412, 0.38, 0.36],
    source: [0.71, 0.7, 0.7],
    treatment: [0.41, 0.38, 0.36],
    result: [0.4, 0.377, 0.359],
    evidence: measured,
  }),
  row('air', 'Transmittance', '–', {
    element: 'smoke',
    treatment: [0.41, 0.4, 0.36],
    verdict: 'not checked',
    evidence: {
      kind: 'derived',
      formula: 'e^(−βd)',
      inputs: { 'β per m': 0.00098, 'd in m': 900 },
      confidence: 0.6,
    },
  }),
  row('lens', 'Blur radius', 'px', {
    element: 'smoke',
    plate: [1.63],
    treatment: [0],
    result: [0.62],
    verdict: 'tell',
    evidence: { kind: 'assumed', why: 'the shot document names no f-number', confidence: 0.2 },
  }),
  row('shutter', 'Cadence', '–', {
    element: 'smoke',
    verdict: 'cannot tell',
    note: 'The smoke moves less than a pixel a frame.',
  }),
]

export function found(count: number, over: Partial<CheckResult> = {}): CheckResult {
  return {
    rendered: 'out.mov',
    framesLookedAt: [0, 8, 16, 24, 32, 40, 47],
    tells: [
      ...Array.from({ length: count }, (_, i) => tell(i)),
      tell(99, { meant: true, sentence: 'The smoke ends before the frame does.', tell: 'cut-border' }),
    ],
    undecided: [
      {
        tell: 'grain-size',
        link: 'sensor',
        element: 'smoke',
        why: 'No flat place of 32 pixels lies inside the smoke.',
      },
      { tell: 'frozen-grain', link: 'sensor', why: "The plate's own codec freezes its noise." },
    ],
    ledger: LEDGER,
    ...over,
  }
}
