import type { ReactNode } from 'react'
import { Button } from 'react-aria-components'

interface Props {
  readonly children: ReactNode
  readonly onPress: () => void
  /** The next sensible step: one on the page at a time. */
  readonly next?: boolean
  readonly disabled?: boolean
  readonly quiet?: boolean
  readonly label?: string
  /** Of one that opens and closes something. */
  readonly expanded?: boolean
}

export function Act({
  children,
  onPress,
  next = false,
  disabled = false,
  quiet = false,
  label,
  expanded,
}: Props) {
  return (
    <Button
      className={`act${next ? ' next' : ''}${quiet ? ' quiet' : ''}`}
      isDisabled={disabled}
      onPress={onPress}
      {...(label === undefined ? {} : { 'aria-label': label })}
      {...(expanded === undefined ? {} : { 'aria-expanded': expanded })}
    >
      {children}
    </Button>
  )
}
