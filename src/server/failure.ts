/** Errors as answers. */
import type { FastifyReply } from 'fastify'
import { Problem, type ProblemDetail } from '../core/index.js'

const STATUS: Readonly<Record<string, number>> = {
  'server.outside': 403,
  'server.not-allowed': 403,
  'server.nothing-there': 404,
  'engine.document-missing': 404,
  'server.busy': 409,
  'engine.document-busy': 409,
}

export function detailOf(e: unknown): ProblemDetail {
  if (e instanceof Problem) return e.detail
  const { statusCode, message } = e as { statusCode?: number; message?: string }
  // What the library refuses by itself: too large a body, JSON that is none.
  if (statusCode !== undefined && statusCode < 500) return { code: 'server.bad-request', what: message ?? '' }
  return {
    code: 'server.defect',
    what: e instanceof Error ? `${e.name}: ${e.message}` : String(e),
    remedy: 'This is a defect of Platefit. Nothing was lost: go on, and report it.',
    exit: 3,
  }
}

export function answerFailure(reply: FastifyReply, e: unknown): FastifyReply {
  const detail = detailOf(e)
  const said = e instanceof Problem ? undefined : (e as { statusCode?: number }).statusCode
  const status = STATUS[detail.code] ?? said ?? (detail.exit === 3 ? 500 : 400)
  return reply.code(status).send(detail)
}

/** Of work that nobody waits for: a problem is told where it stands, a defect where the server was started; neither hinders anybody. */
export function sayDefect(e: unknown): void {
  if (!(e instanceof Problem)) process.stderr.write(`platefit: ${e instanceof Error ? e.stack : e}\n`)
}
