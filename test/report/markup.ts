/** A small check of HTML, enough for pages that are written with every tag closed and every attribute quoted. */

const VOID = new Set(['meta', 'img', 'input', 'br', 'link', 'rect'])
const TAG = /<(\/?)([a-z][a-z0-9]*)((?:\s+[a-zA-Z-]+(?:="[^"<]*")?)*)\s*(\/?)>/y

export interface Tag {
  readonly name: string
  readonly attributes: ReadonlyMap<string, string>
}

/** Every opening tag in order. @throws Error where the markup is not well formed */
export function parseMarkup(page: string): Tag[] {
  const head = '<!doctype html>'
  if (!page.startsWith(head)) throw new Error('no doctype')
  const tags: Tag[] = []
  const open: string[] = []
  let at = head.length
  for (;;) {
    const next = page.indexOf('<', at)
    if (next < 0) break
    TAG.lastIndex = next
    const match = TAG.exec(page)
    if (match === null) throw new Error(`stray < at ${page.slice(next, next + 60)}`)
    const [whole, closing, name = '', attributes = ''] = match
    at = next + whole.length
    if (closing) {
      const expected = open.pop()
      if (expected !== name)
        throw new Error(`</${name}> closes <${expected}> at ${page.slice(next - 60, at)}`)
      continue
    }
    tags.push({ name, attributes: attributesOf(attributes) })
    if (!VOID.has(name)) open.push(name)
    if (name === 'script' || name === 'style') {
      at = page.indexOf(`</${name}>`, at)
      if (at < 0) throw new Error(`<${name}> is never closed`)
    }
  }
  if (open.length > 0) throw new Error(`left open: ${open.join(', ')}`)
  return tags
}

function attributesOf(text: string): Map<string, string> {
  const found = new Map<string, string>()
  for (const [, name = '', value = ''] of text.matchAll(/([a-zA-Z-]+)(?:="([^"]*)")?/g)) {
    if (found.has(name)) throw new Error(`attribute ${name} twice in ${text.slice(0, 80)}`)
    found.set(name, value)
  }
  return found
}

/** Everything in a page that would reach out of it. */
export function outside(page: string, tags: readonly Tag[]): string[] {
  const found: string[] = []
  for (const { name, attributes } of tags) {
    for (const key of ['src', 'href', 'srcset', 'action', 'data', 'poster']) {
      const value = attributes.get(key)
      if (value !== undefined && !/^data:image\/(png|jpeg);base64,[A-Za-z0-9+/=]+$/.test(value))
        found.push(`${name} ${key}`)
    }
  }
  const css = page.slice(page.indexOf('<style>'), page.indexOf('</style>'))
  if (/url\(|@import/.test(css)) found.push('style')
  if (/https?:|fetch\(|XMLHttp|import\(/.test(page.replace(/base64,[A-Za-z0-9+/=]+/g, ''))) found.push('text')
  return found
}
