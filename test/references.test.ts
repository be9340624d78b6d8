/** Every source that a comment or a parameter cites by a key stands in the bibliography. */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, it } from 'vitest'

const root = fileURLToPath(new URL('..', import.meta.url))

function sources(folder: string): string[] {
  return readdirSync(join(root, folder), { withFileTypes: true }).flatMap((e) => {
    const path = `${folder}/${e.name}`
    return e.isDirectory() ? sources(path) : path.endsWith('.ts') ? [path] : []
  })
}

/** Keys as `[pharr2023 §5.2.3]` in comments, and as a parameter's or a curve's `source`. */
function cited(text: string): string[] {
  const comments = text.split('\n').filter((line) => /^\s*(\/?\*|\/\/)/.test(line))
  const inComments = [...comments.join('\n').matchAll(/\[([a-z]+[a-z-]*\d[a-z0-9-]{2,})(?: [^\]]*)?\]/g)]
  const asSource = [...text.matchAll(/\bsource: '([a-z0-9-]+)'/g)]
  return [...inComments, ...asSource].map((m) => m[1] as string)
}

it('every cited key is in REFERENCES.bib', () => {
  const bibliography = readFileSync(join(root, 'REFERENCES.bib'), 'utf8')
  const known = new Set([...bibliography.matchAll(/^@\w+\{([^,\s]+),/gm)].map((m) => m[1]))
  const used = [...sources('src'), ...sources('test')].flatMap((path) =>
    cited(readFileSync(join(root, path), 'utf8')).map((key) => ({ key, path })),
  )
  expect(used.length).toBeGreaterThan(50)
  expect(used.filter(({ key }) => !known.has(key))).toEqual([])
})
