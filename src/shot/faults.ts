import { z } from 'zod'
import type { ProblemDetail } from '../core/index.js'
import { nearest } from './nearest.js'
import { type Path, pathText, shown, valueAt } from './path.js'
import { shotSchema } from './schema.js'

type Issue = z.core.$ZodIssue

/** The part of a JSON Schema that says which keys are allowed where. */
interface Node {
  readonly properties?: Readonly<Record<string, Node>>
  readonly items?: Node
  readonly anyOf?: readonly Node[]
  readonly oneOf?: readonly Node[]
}

/** Every fault that the schema found in `input`, each with the path of the value, what was expected and what stood there. */
export function schemaFaults(issues: readonly Issue[], input: unknown): ProblemDetail[] {
  return issues.flatMap((issue) => faultsOf(issue, [], input))
}

function faultsOf(issue: Issue, base: Path, input: unknown): ProblemDetail[] {
  const path = [...base, ...issue.path]
  const received = valueAt(input, path)
  if (issue.code === 'unrecognized_keys') return issue.keys.map((key) => unknownKey(path, key))
  if (issue.code === 'invalid_union' && issue.errors.length > 0) {
    const meant = likeliest(issue.errors, received)
    return meant.flatMap((inner) => faultsOf(inner, path, input))
  }
  if (received === undefined) {
    return [
      {
        code: 'shot.missing',
        what: 'A value is missing',
        where: pathText(path),
        expected: expectation(issue),
      },
    ]
  }
  return [
    {
      code: 'shot.wrong-value',
      what: 'This value does not fit',
      where: pathText(path),
      expected: expectation(issue),
      received: shown(received),
      ...meantWord(issue, received),
    },
  ]
}

function meantWord(issue: Issue, received: unknown): Pick<ProblemDetail, 'remedy'> {
  if (issue.code !== 'invalid_value' || typeof received !== 'string') return {}
  if (isLogC3Beyond(received))
    return { remedy: 'LogC3 beyond EI 800 is not known: export it as linear OpenEXR.' }
  const words = issue.values.map(String)
  const begun = received.length > 2 ? words.find((w) => w.startsWith(received)) : undefined
  const near = begun ?? nearest(received, words)
  return near === undefined ? {} : { remedy: `Did you mean "${near}"?` }
}

/** The nearest known index would be another curve: there is nothing that it could be meant as. */
function isLogC3Beyond(received: string): boolean {
  const [, index] = /^logc3-ei(\d+)$/i.exec(received) ?? []
  return index !== undefined && Number(index) > 800
}

function unknownKey(path: Path, key: string): ProblemDetail {
  const known = knownKeys(path)
  const near = nearest(key, known)
  return {
    code: 'shot.unknown-key',
    what: `The key "${key}" is not known here`,
    where: pathText([...path, key]),
    expected: near === undefined ? known.join(', ') : `"${near}"`,
    received: `"${key}"`,
    remedy: near === undefined ? 'Take the key out.' : `Did you mean "${near}"?`,
  }
}

/** Of a union's branches the one that the writer most likely meant: right kind of value first, then fewest faults. */
function likeliest(branches: readonly (readonly Issue[])[], received: unknown): readonly Issue[] {
  const isObject = typeof received === 'object' && received !== null
  const cost = (issues: readonly Issue[]) =>
    issues.reduce((sum, issue) => {
      if (issue.path.length > 0) return sum + (issue.code === 'invalid_type' ? 2 : 1)
      if (issue.code === 'unrecognized_keys') return sum + 10 * issue.keys.length
      return sum + (issue.code === 'invalid_value' && !isObject ? 10 : 100)
    }, 0)
  return [...branches].sort((a, b) => cost(a) - cost(b))[0] ?? []
}

function expectation(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      return issue.expected === 'int' ? 'a whole number' : article(issue.expected)
    case 'invalid_value':
      return listed(issue.values.map(shown))
    case 'invalid_union':
      return listed(('options' in issue ? (issue.options as unknown[]) : []).map(shown))
    case 'invalid_format':
      return issue.message
    case 'too_small':
      return bound(
        issue.origin,
        issue.minimum,
        issue.exact ?? false,
        issue.inclusive ?? true,
        'at least',
        'more than',
      )
    case 'too_big':
      return bound(
        issue.origin,
        issue.maximum,
        issue.exact ?? false,
        issue.inclusive ?? true,
        'at most',
        'less than',
      )
    default:
      return issue.message
  }
}

function bound(
  origin: string,
  limit: number | bigint,
  exact: boolean,
  inclusive: boolean,
  at: string,
  beyond: string,
) {
  const unit = origin === 'array' ? ' values' : origin === 'string' ? ' letters' : ''
  return exact ? `exactly ${limit}${unit}` : `${inclusive ? at : beyond} ${limit}${unit}`
}

function article(kind: string): string {
  const name = kind === 'record' ? 'object' : kind === 'array' || kind === 'tuple' ? 'list' : kind
  return `${/^[aeiou]/.test(name) ? 'an' : 'a'} ${name}`.replace('an list', 'a list')
}

function listed(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words[words.length - 1]}`
}

let rootNode: Node | undefined

/** Keys that the schema allows at `path`, over all branches of a union. */
function knownKeys(path: Path): string[] {
  rootNode ??= z.toJSONSchema(shotSchema, { io: 'input' }) as Node
  let nodes = branches(rootNode)
  for (const step of path) {
    nodes = nodes.flatMap((n) => {
      const next = typeof step === 'number' ? n.items : n.properties?.[String(step)]
      return next === undefined ? [] : branches(next)
    })
  }
  return [...new Set(nodes.flatMap((n) => Object.keys(n.properties ?? {})))]
}

function branches(n: Node): Node[] {
  const under = [...(n.anyOf ?? []), ...(n.oneOf ?? [])]
  return under.length === 0 ? [n] : under.flatMap((u) => branches(u))
}
