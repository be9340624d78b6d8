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
