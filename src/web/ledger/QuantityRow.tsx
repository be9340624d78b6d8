import { useState } from 'react'
import { Input, Label, TextField } from 'react-aria-components'
import { formatValues } from '../../report/format.js'
import { shownRow } from '../../report/quantity.js'
import { evidenceWords, typeset } from '../../report/words.js'
import type { LedgerLine } from '../../server/protocol.js'
import { Act } from '../parts/Act.js'
import { said } from '../parts/said.js'
import { edit } from '../state/acts.js'

interface Props {
  readonly row: LedgerLine
  /** Of its treatment in the document, where a person may set it. */
  readonly name: string | undefined
  readonly target: string
}

/** Lists longer than this are the fit's business. */
const MOST_TYPED = 12

/** A quantity with its evidence; its treatment is typed in, or left to the fit. */
export function QuantityRow({ row, name, target }: Props) {
  const [typing, setTyping] = useState<string>()
  const shown = shownRow(row)
  const values = row.treatment ?? row.plate ?? row.source
  const settable = name !== undefined && (values === undefined || values.length <= MOST_TYPED)
  const begin = () => setTyping((values ?? []).map((v) => Number(v.toPrecision(6))).join(' '))
  const take = () => {
    const typed = (typing ?? '')
      .split(/[\s;]+/)
      .filter((t) => t !== '')
      .map(Number)
    setTyping(undefined)
    if (typed.length > 0 && typed.every(Number.isFinite) && name !== undefined)
      void edit({ kind: 'treatment', target, name, value: typed })
  }
  return (
    <div className="quantity">
      <h4>
        {shown.quantity}
        {values !== undefined && <b>{formatValues(values, shown.unit)}</b>}
        {row.evidence?.kind === 'set' && <span className="hand">by hand</span>}
        {settable && typing === undefined && (
          <span className="acts">
            <Act quiet onPress={begin} label={`Set ${shown.quantity} by hand`}>
              Set by hand
            </Act>
            {row.evidence?.kind === 'set' && (
              <Act quiet onPress={() => void edit({ kind: 'treatment', target, name, value: null })}>
                Leave it to the fit
              </Act>
            )}
          </span>
        )}
      </h4>
      <p>
        {row.meaning !== undefined && typeset(row.meaning)}{' '}
        {row.evidence !== undefined && typeset(evidenceWords(row.evidence, row.unit))}{' '}
        {row.note !== undefined &&
          `${said(row.verdict === 'cannot tell' ? `Cannot tell: ${row.note}` : row.note)}.`}
      </p>
      {typing !== undefined && (
        <form
          className="typing"
          onSubmit={(e) => {
            e.preventDefault()
            take()
          }}
        >
          <TextField value={typing} onChange={setTyping} autoFocus>
            <Label>
              {row.unit === '–' ? 'Value' : `In ${row.unit}${row.unit === 'linear' ? ' light, white 1' : ''}`}
            </Label>
            <Input onKeyDown={(e) => e.key === 'Escape' && setTyping(undefined)} />
          </TextField>
          <Act onPress={take}>Take it</Act>
        </form>
      )}
    </div>
  )
}
