/** Server-sent events: pages hear of changes without asking. Source: [html-sse]. */
import type { ServerResponse } from 'node:http'
import type { FastifyReply } from 'fastify'

/** Browsers and what lies between give up on a silent connection. */
const PULSE_MS = 15_000

export class Events {
  readonly #listeners = new Map<ServerResponse, string | undefined>()
  readonly #pulse = setInterval(() => {
    for (const to of this.#listeners.keys()) to.write(': \n\n')
  }, PULSE_MS).unref()

  /** @param of the shot that is listened to; all when absent */
  listen(reply: FastifyReply, of: string | undefined): void {
    const headers = reply.getHeaders()
    reply.hijack()
    const to = reply.raw
    to.writeHead(200, {
      ...(headers as Record<string, string>),
      'content-type': 'text/event-stream',
      'cache-control': 'no-store',
    })
    to.write('retry: 500\n\n')
    this.#listeners.set(to, of)
    to.on('close', () => this.#listeners.delete(to))
  }

  /** Whether a page listens to this very shot. */
  hears(shot: string): boolean {
    return [...this.#listeners.values()].includes(shot)
  }

  /** @param of the shot that it is about; for everybody when absent */
  tell(event: string, data: unknown, of?: string): void {
    const text = `event: ${event}\ndata: ${JSON.stringify(data)}\n\n`
    for (const [to, shot] of this.#listeners)
      if (of === undefined || shot === undefined || shot === of) to.write(text)
  }

  close(): void {
    clearInterval(this.#pulse)
    for (const to of this.#listeners.keys()) to.end()
  }
}
