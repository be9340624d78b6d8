import { Button, Group, Input, Label, NumberField } from 'react-aria-components'

interface Props {
  readonly label: string
  readonly value: number
  readonly min: number
  readonly max: number
  readonly onChange: (value: number) => void
}

/** A whole number with a sign that is stepped or typed. */
export function Stepper({ label, value, min, max, onChange }: Props) {
  return (
    <NumberField
      className="stepper"
      value={value}
      minValue={min}
      maxValue={max}
      formatOptions={{ signDisplay: 'exceptZero' }}
      onChange={(v) => onChange(Number.isNaN(v) ? 0 : v)}
    >
      <Label>{label}</Label>
      <Group>
        <Button slot="decrement">−</Button>
        <Input />
        <Button slot="increment">+</Button>
      </Group>
    </NumberField>
  )
}
