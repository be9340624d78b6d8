import { Label, Radio, RadioGroup } from 'react-aria-components'

interface Props<T extends string> {
  readonly label: string
  readonly value: T
  readonly options: readonly (readonly [T, string])[]
  readonly onChange: (value: T) => void
}

/** A few words of which one holds. */
export function Choice<T extends string>({ label, value, options, onChange }: Props<T>) {
  return (
    <RadioGroup className="choice" orientation="horizontal" value={value} onChange={(v) => onChange(v as T)}>
      <Label>{label}</Label>
      {options.map(([id, name]) => (
        <Radio key={id} value={id}>
          {name}
        </Radio>
      ))}
    </RadioGroup>
  )
}
