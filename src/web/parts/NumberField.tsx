import { NumberField as Field, Input, Label } from 'react-aria-components'

interface Props {
  readonly label: string
  readonly value: number | undefined
  readonly unit?: string
  readonly min?: number
  readonly max?: number
  readonly digits?: number
  readonly disabled?: boolean
  /** Undefined when the field was emptied. */
  readonly onCommit: (value: number | undefined) => void
}

/** A number with its unit; Enter or leaving the field takes it. */
export function NumberField({ label, value, unit, min, max, digits = 0, disabled = false, onCommit }: Props) {
  // The text is what leaving the field takes: a number that is only shown rounded stays as it was.
  const shown =
    value === undefined
      ? Number.NaN
      : Math.max(Number(value.toFixed(digits)), min ?? Number.NEGATIVE_INFINITY)
  return (
    <Field
      className="number"
      value={shown}
      {...(min === undefined ? {} : { minValue: min })}
      {...(max === undefined ? {} : { maxValue: max })}
      isDisabled={disabled}
      formatOptions={{ maximumFractionDigits: digits, useGrouping: false }}
      isWheelDisabled
      onChange={(v) => {
        if (!Object.is(v, shown)) onCommit(Number.isNaN(v) ? undefined : v)
      }}
    >
      <Label>{label}</Label>
      <Input placeholder="–" />
      {unit !== undefined && <span className="unit">{unit}</span>}
    </Field>
  )
}
