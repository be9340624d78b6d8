import { DOMParser, type Element, ParseError } from '@xmldom/xmldom'
import { Problem } from '../../core/index.js'

const NAMESPACE = /^urn:ASC:CDL:v\d/i

/** An element with the file's name, for messages that say the line. */
export interface Place {
  readonly element: Element
  readonly file: string
}

/** Root element of an XML text. @throws Problem `colour.cdl-xml` with the line where it is not well formed */
export function parseXml(text: string, file: string): Place {
  const source = text.startsWith('\ufeff') ? text.slice(1) : text
  // The library wraps what it reports in words of its own.
  let said: string | undefined
  try {
    const parser = new DOMParser({
      onError: (_level, message) => {
        said ??= message
        throw new Error(message)
      },
    })
    const element = parser.parseFromString(source, 'text/xml').documentElement
    if (element === null) throw new Error('no element')
    return { element, file }
  } catch (error) {
    if (!(error instanceof Error)) throw error
    const line: unknown = error instanceof ParseError ? error.locator?.lineNumber : undefined
    throw new Problem({
      code: 'colour.cdl-xml',
      what: 'this is not well-formed XML',
      where: typeof line === 'number' && line > 0 ? `${file}, line ${line}` : file,
      expected: 'ASC CDL as XML (.cc, .ccc or .cdl)',
      received: (said ?? error.message).replace(/\s+/g, ' ').trim(),
    })
  }
}

/** `grade.cc, line 4, <Slope>`. */
export function placeWords({ element, file }: Place): string {
  return `${file}, line ${element.lineNumber ?? 1}, <${element.nodeName}>`
}

/** A fault of the content at a place. */
export function contentProblem(place: Place, what: string, expected: string, received: string): Problem {
  return new Problem({ code: 'colour.cdl-content', what, where: placeWords(place), expected, received })
}

/**
 * The child elements by name. Elements of another namespace are extensions of whoever wrote the file and are passed
 * over; one of CDL's own that does not belong here is a fault, and so is more than one where `many` does not name it.
 */
export function childrenOf(
  place: Place,
  once: readonly string[],
  many: readonly string[] = [],
): (name: string) => readonly Place[] {
  const found = new Map<string, Place[]>()
  for (const element of place.element.children) {
    if (element.namespaceURI !== null && !NAMESPACE.test(element.namespaceURI)) continue
    const child = { element, file: place.file }
    const name = nameOf(child)
    if (!once.includes(name) && !many.includes(name)) {
      throw contentProblem(
        child,
        `<${name}> does not belong into <${nameOf(place)}>`,
        [...once, ...many].join(', ') || 'no element',
        name,
      )
    }
    const same = found.get(name) ?? []
    if (same.length > 0 && once.includes(name)) {
      throw contentProblem(child, `there is a second <${name}>`, 'one', 'two')
    }
    found.set(name, [...same, child])
  }
  return (name) => found.get(name) ?? []
}

/** Name without prefix; the older spelling `SATNode` counts as `SatNode`. */
export function nameOf({ element }: Place): string {
  const name = element.localName ?? element.nodeName
  return name === 'SATNode' ? 'SatNode' : name
}

/** Fails where the element is of a namespace that is not CDL's. */
export function demandNamespace(place: Place): void {
  const { namespaceURI } = place.element
  if (namespaceURI === null || NAMESPACE.test(namespaceURI)) return
  throw contentProblem(
    place,
    'this namespace is not that of the ASC CDL',
    'urn:ASC:CDL:v1.01 or none',
    namespaceURI,
  )
}

/** Words of an element, to the letter. */
export function textOf({ element }: Place): string {
  return element.textContent ?? ''
}
