import { curveNames, matrixNames, primariesNames } from '../../core/encoding.js'
import type { ElementState, PlateState } from '../../server/protocol.js'
import { Choose } from '../parts/Choose.js'
import { edit } from '../state/acts.js'

type Taken = (PlateState | ElementState)['taken'][number]

const NAMES: Readonly<Record<Taken['field'], string>> = {
  alpha: 'Alpha',
  range: 'Range',
  matrix: 'Matrix',
  curve: 'Curve',
  primaries: 'Primaries',
  rate: 'Frames/s',
}

/** Frame rates of film and television: common practice. */
const RATES = ['24000/1001', '24', '25', '30000/1001', '30', '48', '50', '60000/1001', '60']

const OPTIONS: Readonly<Record<Taken['field'], readonly string[]>> = {
  alpha: ['straight', 'premultiplied', 'on-black', 'none'],
  range: ['limited', 'full'],
  matrix: matrixNames,
  curve: curveNames,
  primaries: primariesNames,
  rate: RATES,
}

/** The tags are believed again. */
const FILE = 'as the file says'

/** What nobody said of a file, in a sentence; empty where all is known. */
export function assumedWords(taken: readonly Taken[]): string {
  const guessed = taken.flatMap(({ field, value, assumed }) =>
    assumed === undefined
      ? []
      : [`${NAMES[field].toLowerCase()} ${value} (${Math.round(100 * assumed)} % sure)`],
  )
  return guessed.length === 0 ? '' : `Assumed: ${guessed.join(', ')}.`
}

/** One choice for each thing that a file may be taken for. */
export function TakenFor({ target, taken }: { readonly target: string; readonly taken: readonly Taken[] }) {
  return (
    <div className="taken">
      {taken.map(({ field, value }) => (
        <Choose
          key={field}
          label={NAMES[field]}
          value={value}
          options={[...(field === 'alpha' ? [] : [FILE]), ...new Set([value, ...OPTIONS[field]])].map((o) => [
            o,
            o,
          ])}
          onChange={(v) => {
            if (v !== value) void edit({ kind: 'override', target, field, value: v === FILE ? null : v })
          }}
        />
      ))}
    </div>
  )
}
