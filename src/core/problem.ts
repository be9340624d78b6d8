/** What a person needs to know about something that went wrong: errors are data. */
export interface ProblemDetail {
  /** Stable machine-readable name, `room.what`: `media.file-missing`. */
  readonly code: string
  /** One sentence: what is wrong. */
  readonly what: string
  /** File, document path (`elements[0].scale`) or frame at fault. */
  readonly where?: string
  readonly expected?: string
  readonly received?: string
  /** What to do about it. */
  readonly remedy?: string
  /** 2: wrong use or input (default). 3: work that failed although the input was right. */
  readonly exit?: 2 | 3
  /** The single faults, where one reading found several. */
  readonly faults?: readonly ProblemDetail[]
}

/** The only error that the rooms throw on purpose. Everything else is a defect. */
export class Problem extends Error {
  readonly detail: ProblemDetail

  constructor(detail: ProblemDetail) {
    super(sentence(detail))
    this.name = 'Problem'
    this.detail = detail
  }

  get code(): string {
    return this.detail.code
  }

  get exit(): 2 | 3 {
    return this.detail.exit ?? 2
  }
}

function sentence(d: ProblemDetail): string {
  const parts = [d.where === undefined ? d.what : `${d.where}: ${d.what}`]
  if (d.expected !== undefined) parts.push(`expected ${d.expected}`)
  if (d.received !== undefined) parts.push(`received ${d.received}`)
  const head = parts.join('; ')
  const whole = d.remedy === undefined ? head : `${head}. ${d.remedy}`
  return [whole, ...(d.faults ?? []).map((f) => `  ${sentence(f)}`)].join('\n')
}
