/** Text that is already markup; made by `html` alone, so that nothing else gets into a page unescaped. */
export class Html {
  readonly text: string
  constructor(text: string) {
    this.text = text
  }
}

type Part = Html | string | number | false | undefined | readonly Part[]

/** Template tag: every value is escaped unless it is `Html`; lists are joined, `false` and `undefined` are nothing. */
export function html(strings: TemplateStringsArray, ...parts: Part[]): Html {
  let text = strings[0] ?? ''
  parts.forEach((part, i) => {
    text += markup(part) + (strings[i + 1] ?? '')
  })
  return new Html(text)
}

function markup(part: Part): string {
  if (part === undefined || part === false) return ''
  if (part instanceof Html) return part.text
  if (typeof part === 'string' || typeof part === 'number') return escapeHtml(String(part))
  return part.map(markup).join('')
}

/** For text and for attribute values in double quotes. Control characters that HTML forbids are dropped. */
export function escapeHtml(text: string): string {
  return (
    text
      // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what must go
      .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f]/g, '')
      .replace(/&/g, '&amp;')
      .replace(/</g, '&lt;')
      .replace(/>/g, '&gt;')
      .replace(/"/g, '&quot;')
      .replace(/'/g, '&#39;')
  )
}
