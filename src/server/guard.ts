/**
 * Who may talk to the server: the page that it served itself, in the browser of who started it.
 *
 *   Host       must be this server's own, else a foreign name could point here (DNS rebinding)
 *   Origin     and fetch metadata, where a browser sends them, must be the page's own
 *   cookie     everything but the page's own files needs the token of this start
 *
 * Source: [fetch-metadata], common practice.
 */
import { randomBytes, timingSafeEqual } from 'node:crypto'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { Problem } from '../core/index.js'
import { answerFailure } from './failure.js'

/** Cookies know no ports: another server on this machine has another name. */
const cookieName = (port: number) => `platefit-${port}`

const PAGE_POLICY = [
  "default-src 'none'",
  ...["script-src 'self'", "style-src 'self' 'unsafe-inline'", "img-src 'self' blob: data:"],
  ...["connect-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"],
].join('; ')

/** A file of the folder may hold scripts (a report does): it runs them away from the page. */
export const FILE_POLICY = `sandbox allow-scripts; ${PAGE_POLICY.replace("script-src 'self'", "script-src 'unsafe-inline'").replace("connect-src 'self'", "connect-src 'none'")}`

export class Guard {
  readonly token = randomBytes(32).toString('base64url')
  #port = 0

  listensOn(port: number): void {
    this.#port = port
  }

  get url(): string {
    return `http://127.0.0.1:${this.#port}/?token=${this.token}`
  }

  /**
   * @param page whether there is one: a clone may not have built it yet
   * @param shot that the page opens, relative to the folder; undefined leaves it to the page
   */
  install(app: FastifyInstance, page: boolean, shot: string | undefined): void {
    const start = shot === undefined ? '/' : `/#${encodeURIComponent(shot)}`
    app.addHook('onRequest', async (request, reply) => {
      reply.headers({
        'content-security-policy': PAGE_POLICY,
        'x-content-type-options': 'nosniff',
        'referrer-policy': 'no-referrer',
        'cross-origin-resource-policy': 'same-origin',
        'cross-origin-opener-policy': 'same-origin',
      })
      const refused = this.#refusal(request)
      if (refused !== undefined) return answerFailure(reply, refused)
    })
    app.get('/', (request, reply) => this.#enter(request, reply, page, start))
  }

  #refusal(request: FastifyRequest): Problem | undefined {
    const hosts = [`127.0.0.1:${this.#port}`, `localhost:${this.#port}`]
    const { host, origin, 'sec-fetch-site': site } = request.headers
    if (host === undefined || !hosts.includes(host)) return notAllowed('another host', host)
    if (origin !== undefined && !hosts.some((h) => origin === `http://${h}`))
      return notAllowed('another page', origin)
    // By the route that was found, not by the address: `/%61pi/…` and `http://any/api/…` lead to the same one.
    const route = request.routeOptions.url ?? ''
    const own = route.startsWith('/api/') || route.startsWith('/files/')
    if (own && (site === 'cross-site' || site === 'same-site')) return notAllowed('another page', site)
    if (own && !this.#knows(request.cookies[cookieName(this.#port)])) {
      return new Problem({
        code: 'server.not-allowed',
        what: 'This browser has not opened the page with the address that `platefit serve` printed',
        remedy: 'Open that address, with its token, once.',
      })
    }
    return undefined
  }

  /** The page itself; with the right token it is set as a cookie first, and goes out of the address. */
  #enter(request: FastifyRequest, reply: FastifyReply, page: boolean, start: string): FastifyReply {
    const { token } = request.query as { token?: unknown }
    if (token === undefined && page) return reply.sendFile('index.html')
    if (token === undefined) {
      return answerFailure(
        reply,
        new Problem({
          code: 'server.nothing-there',
          what: 'The page is not built',
          where: '/',
          remedy: 'Run `npm run setup`.',
        }),
      )
    }
    if (typeof token !== 'string' || !this.#knows(token)) {
      return answerFailure(
        reply,
        new Problem({
          code: 'server.not-allowed',
          what: 'This address is of a server that has ended',
          remedy: 'Open the address that the running one printed.',
        }),
      )
    }
    reply.setCookie(cookieName(this.#port), token, { path: '/', httpOnly: true, sameSite: 'strict' })
    return reply.redirect(start, 303)
  }

  #knows(said: string | undefined): boolean {
    const [a, b] = [Buffer.from(said ?? ''), Buffer.from(this.token)]
    return a.length === b.length && timingSafeEqual(a, b)
  }
}

function notAllowed(who: string, received: string | undefined): Problem {
  return new Problem({
    code: 'server.not-allowed',
    what: `The request comes from ${who}`,
    ...(received === undefined ? {} : { received }),
    remedy: 'Open the address that `platefit serve` printed.',
  })
}
