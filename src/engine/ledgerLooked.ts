/** Rows of the ledger for what is looked at in the finished file although no treatment is for it. */
import type { Compared } from './ledger.js'
import type { LedgerRow, Tell, Undecided } from './types.js'

interface Looked extends Pick<LedgerRow, 'link' | 'quantity' | 'unit' | 'meaning'> {
  readonly tell: string
  /** What the comparison calls it on the finished file; on the plate and of the element, where those have it too. */
  readonly measure: string
  readonly plate?: string
  readonly element?: string
  /** Stands there for every element that was looked at, and says when nothing is known. */
  readonly always?: true
}

const LOOKED: readonly Looked[] = [
  {
    link: 'source',
    quantity: 'rim against core',
    unit: 'stops',
    meaning: 'How far the rim leaves the range of the core; a wrong kind of alpha makes a halo.',
    tell: 'halo',
    measure: 'halo',
  },
  {
    link: 'source',
    quantity: "edge of the screen's hue",
    unit: 'share',
    meaning: 'How much of the edge is greener or bluer than the body beside it and the plate behind it.',
    tell: 'spill',
    measure: 'spill',
  },
  {
    link: 'source',
    quantity: 'holes',
    unit: 'share',
    meaning: 'How much of the solid body lets the plate through.',
    tell: 'matte-holes',
    measure: 'holes',
  },
  {
    link: 'source',
    quantity: 'veil',
    unit: 'share',
    meaning: 'How much of the picture is thinly covered where nothing stands.',
    tell: 'matte-veil',
    measure: 'veil',
  },
  {
    link: 'source',
    quantity: 'flicker of edges',
    unit: 'share',
    meaning: 'By how much the coverage of its edges jumps from frame to frame beyond its motion.',
    tell: 'matte-chatter',
    measure: 'chatter',
  },
  {
    link: 'place',
    quantity: 'step at border',
    unit: 'code',
    meaning: "Step across the border of the element's own picture inside the frame.",
    tell: 'cut-border',
    measure: 'border',
  },
  {
    link: 'place',
    quantity: 'slide',
    unit: 'px',
    meaning:
      'How far the ground under it and it itself go in the picture at most; then how far it leaves that ground.',
    tell: 'slide',
    measure: 'slideTrend',
    plate: 'slidePlate',
    element: 'slideElement',
    always: true,
  },
  {
    link: 'place',
    quantity: 'stepping',
    unit: 'share',
    meaning: 'On how many frames its ground goes on, and it goes; then on how many of those it stands still.',
    tell: 'stepping',
    measure: 'stands',
    plate: 'groundGoes',
    element: 'placeGoes',
    always: true,
  },
  {
    link: 'place',
    quantity: 'size for its distance',
    unit: 'm',
    meaning:
      'How far away its foot is; how tall it is; then how tall it is drawn for that, where that is most wrong.',
    tell: 'wrong-size',
    measure: 'size',
    plate: 'distance',
    element: 'real',
    always: true,
  },
  {
    link: 'place',
    quantity: 'growth',
    unit: '×',
    meaning:
      'By how much its ground and it itself grow in the picture; then the one against the other, where that is most wrong.',
    tell: 'wrong-size',
    measure: 'growth',
    plate: 'groundGrowth',
    element: 'elementGrowth',
  },
  {
    link: 'place',
    quantity: 'horizon',
    unit: '°',
    meaning:
      'How far above the level this plate looks at its place, and it was filmed; then what lies between.',
    tell: 'wrong-horizon',
    measure: 'horizon',
    plate: 'plateView',
    element: 'elementView',
    always: true,
  },
  {
    link: 'place',
    quantity: 'hidden by what passes',
    unit: 'frames',
    meaning:
      'On how many frames something passes before its foot; then on how many of those it lies over that.',
    tell: 'over-nearer',
    measure: 'passesUnder',
    plate: 'passes',
    always: true,
  },
  {
    link: 'place',
    quantity: 'hidden by what is nearer',
    unit: 'share',
    meaning: 'How much of it lies over what the depth map puts before it.',
    tell: 'over-nearer',
    measure: 'nearer',
  },
  {
    link: 'place',
    quantity: 'repeat',
    unit: 'of 1',
    meaning: 'How much its pictures are like others of the shot; then how much those are that come again.',
    tell: 'repeated',
    measure: 'again',
    element: 'alike',
    always: true,
  },
  {
    link: 'shutter',
    quantity: 'streaks',
    unit: 'px',
    meaning:
      "How long what moves so fast is smeared at the plate's shutter; how far it goes in a frame; then how long it is smeared in the finished file.",
    tell: 'streak',
    measure: 'streak',
    plate: 'streakPlate',
    element: 'streakGoes',
  },
  {
    link: 'shutter',
    quantity: 'conform',
    unit: 'frames',
    meaning:
      'On how many frames of another rate it shows none of its own pictures, or one too often or too late.',
    tell: 'conform',
    measure: 'conform',
  },
  {
    link: 'sensor',
    quantity: 'grain of luma, of colour',
    unit: '× plate',
    meaning: "How much grain its luma and its colour have over the plate's at like level.",
    tell: 'grain-colour',
    measure: 'grainApart',
  },
  {
    link: 'sensor',
    quantity: 'overshoot of its edges',
    unit: 'share',
    meaning:
      "How far the plate's edges around it would swing beyond their sides if they were as wide as its own; then how far its own do.",
    tell: 'edge-overshoot',
    measure: 'overshoot',
    plate: 'overshootDue',
  },
  {
    link: 'sensor',
    quantity: 'softness of colour',
    unit: 'px',
    meaning:
      'By how much colour is softer than luma: of the plate around it; then its own in the finished file.',
    tell: 'sharp-colour',
    measure: 'chromaBlur',
    plate: 'chromaBlurPlate',
  },
  {
    link: 'display',
    quantity: 'change elsewhere',
    unit: 'code',
    meaning: 'Change of the plate where no treatment reaches; a codec leaves a little.',
    tell: 'plate-changed',
    measure: 'change',
  },
]

export function lookedRows(
  compared: readonly Compared[],
  tells: readonly Tell[],
  undecided: readonly Undecided[],
): LedgerRow[] {
  const whose = [...new Set(compared.map((c) => c.element?.id))]
  return whose.flatMap((id) => {
    const own = compared.filter((c) => c.element?.id === id).map((c) => c.comparison)
    return LOOKED.flatMap((l): LedgerRow[] => {
      const { tell, measure, plate, element, always, ...row } = l
      const head = { ...row, ...(id === undefined ? {} : { element: id }) }
      const found = own.find((c) => c.measured[measure] !== undefined)
      if (found === undefined) {
        if (always === undefined || id === undefined) return []
        const why = undecided.find((u) => u.tell === tell && u.element === id)?.why
        return [
          why === undefined
            ? { ...head, verdict: 'not checked' }
            : { ...head, note: why, verdict: 'cannot tell' },
        ]
      }
      const of = (name: string | undefined) => (name === undefined ? undefined : found.measured[name])
      const [on, ownValue, note] = [of(plate), of(element), found.notes?.[tell]]
      return [
        {
          ...head,
          ...(on === undefined ? {} : { plate: on }),
          ...(ownValue === undefined ? {} : { source: ownValue }),
          result: found.measured[measure] as readonly number[],
          ...(note === undefined ? {} : { note }),
          verdict: tells.some((t) => t.tell === tell && t.element === id && !t.meant) ? 'tell' : 'fits',
        },
      ]
    })
  })
}
