import { Button, Label, ListBox, ListBoxItem, Popover, Select, SelectValue } from 'react-aria-components'

interface Props {
  readonly label: string
  readonly value: string | undefined
  readonly options: readonly (readonly [string, string])[]
  readonly onChange: (value: string) => void
  readonly placeholder?: string
  readonly hideLabel?: boolean
}

/** One of a list that opens. */
export function Choose({ label, value, options, onChange, placeholder, hideLabel = false }: Props) {
  return (
    <Select
      className="choose"
      value={value ?? null}
      onChange={(v) => v !== null && onChange(String(v))}
      {...(placeholder === undefined ? {} : { placeholder })}
    >
      <Label className={hideLabel ? 'hidden' : ''}>{label}</Label>
      <Button>
        <SelectValue />
        <span aria-hidden>▾</span>
      </Button>
      <Popover className="list">
        <ListBox>
          {options.map(([id, name]) => (
            <ListBoxItem key={id} id={id}>
              {name}
            </ListBoxItem>
          ))}
        </ListBox>
      </Popover>
    </Select>
  )
}
