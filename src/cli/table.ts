/** Rows of cells as aligned columns, two spaces between them, no space at a line's end. */
export function table(rows: readonly (readonly string[])[]): string {
  const widths: number[] = []
  for (const row of rows) {
    row.forEach((cell, i) => {
      widths[i] = Math.max(widths[i] ?? 0, cell.length)
    })
  }
  return rows
    .map((row) =>
      row
        .map((cell, i) => cell.padEnd(widths[i] ?? 0))
        .join('  ')
        .trimEnd(),
    )
    .join('\n')
}

/** Words that were set for a page, for a terminal: plain spaces, and a minus that a shell takes back. */
export function plain(text: string): string {
  return text.replaceAll(/[\u00a0\u2002]/g, ' ').replaceAll('−', '-')
}

/** A unit as the shot document has it: light counts from diffuse white. */
export function documentUnit(unit: string): string {
  return unit === '–' ? '' : unit.replace('linear', 'white = 1')
}

/** Numbers for reading: up to four significant digits. */
export function numbers(values: readonly number[] | undefined): string {
  if (values === undefined) return '–'
  const text = values.map((v) => String(Number(v.toPrecision(4))))
  return text.length > 9 ? `${text.slice(0, 6).join(' ')} … (${text.length})` : text.join(' ')
}

/** `1 frame`, `2 frames`. */
export function counted(n: number, what: string): string {
  return `${n} ${what}${n === 1 ? '' : 's'}`
}
