/** Steps from the document's root to a value: keys and list positions. */
export type Path = readonly PropertyKey[]

/** `elements[0].treatments["light.exposure"].value`; the root is the empty string. */
export function pathText(path: Path): string {
  let text = ''
  for (const step of path) {
    if (typeof step === 'number') text += `[${step}]`
    else if (/^[A-Za-z_$][\w$]*$/.test(String(step))) text += text === '' ? String(step) : `.${String(step)}`
    else text += `[${JSON.stringify(String(step))}]`
  }
  return text
}

/** What stands at `path` in plain data, or undefined. */
export function valueAt(root: unknown, path: Path): unknown {
  let at = root
  for (const step of path) {
    if (typeof at !== 'object' || at === null) return undefined
    at = (at as Record<PropertyKey, unknown>)[step]
  }
  return at
}

/** A value as a short piece of JSON for a message. */
export function shown(value: unknown): string {
  if (value === undefined) return 'nothing'
  const text = JSON.stringify(value) ?? String(value)
  return text.length > 60 ? `${text.slice(0, 57)}…` : text
}
