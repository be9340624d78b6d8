/**
 * The known word that a mistyped one most likely stands for, or undefined when none is close.
 *
 * Distance: restricted Damerau-Levenshtein (insert, delete, replace, swap of neighbours, each 1), letters compared
 * without case. Close: at most a third of the longer word, at least 2; a word begun with at least four letters counts 2.
 *
 * Source: [damerau1964].
 */
export function nearest(word: string, known: Iterable<string>): string | undefined {
  let best: string | undefined
  let least = Number.POSITIVE_INFINITY
  for (const candidate of known) {
    const d = apart(word.toLowerCase(), candidate.toLowerCase())
    if (d < least && d <= Math.max(2, Math.floor(Math.max(word.length, candidate.length) / 3))) {
      best = candidate
      least = d
    }
  }
  return best
}

function apart(word: string, candidate: string): number {
  const begun = word.length >= 4 && candidate.startsWith(word)
  return begun ? Math.min(2, distance(word, candidate)) : distance(word, candidate)
}

function distance(a: string, b: string): number {
  let before: number[] = []
  let last = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const differs = a[i - 1] === b[j - 1] ? 0 : 1
      let d = Math.min((last[j] ?? 0) + 1, (row[j - 1] ?? 0) + 1, (last[j - 1] ?? 0) + differs)
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        d = Math.min(d, (before[j - 2] ?? 0) + 1)
      }
      row.push(d)
    }
    before = last
    last = row
  }
  return last[b.length] ?? 0
}
