/** The loopback server of the page. */
import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import fastifyCookie from '@fastify/cookie'
import fastifyStatic from '@fastify/static'
import fastify from 'fastify'
import { Problem } from '../core/index.js'
import { BUILT } from '../engine/built.js'
import { answerFailure } from './failure.js'
import { Guard } from './guard.js'
import { Room } from './room.js'
import { addRoutes } from './routes.js'
import { Shots } from './shots.js'
import { sweep } from './upload.js'

/** An edit or an ask is a few hundred letters; a polygon some thousands. */
const BODY_BYTES = 2 ** 20

/** The built page. */
const PAGE = fileURLToPath(new URL('web/', BUILT))

export interface Server {
  /** Holds the token: to open the page with, once a browser. */
  readonly url: string
  readonly port: number
  /** Absolute. */
  readonly folder: string
  /** Relative path of the shot that was named. */
  readonly shot: string | undefined
  close(): Promise<void>
}

/**
 * Listens on 127.0.0.1 alone.
 *
 * @param path a folder or a shot document; @param port 0 takes any that is free
 * @throws Problem `server.nothing-there`, `server.not-a-shot`, `server.port-taken`
 */
export async function startServer(path: string, port = 0): Promise<Server> {
  const room = await Room.open(path)
  await sweep(room).catch(() => {})
  const shots = new Shots(room)
  const guard = new Guard()
  const app = fastify({
    bodyLimit: BODY_BYTES,
    forceCloseConnections: true,
    routerOptions: { maxParamLength: 4096 },
  })
  app.setErrorHandler((e, _, reply) => answerFailure(reply, e))
  app.setNotFoundHandler((request, reply) =>
    answerFailure(
      reply,
      new Problem({ code: 'server.nothing-there', what: 'There is nothing here', where: request.url }),
    ),
  )
  await app.register(fastifyCookie)
  const page = existsSync(PAGE)
  if (page) await app.register(fastifyStatic, { root: PAGE, index: false })
  const shot = room.trusted && room.relative(room.trusted)
  guard.install(app, page, shot)
  addRoutes(app, room, shots)
  try {
    await app.listen({ host: '127.0.0.1', port })
  } catch (e) {
    throw portProblem(port, e)
  }
  const address = app.server.address()
  const own = typeof address === 'object' && address !== null ? address.port : port
  guard.listensOn(own)
  return {
    url: guard.url,
    port: own,
    folder: room.root,
    shot,
    async close() {
      await shots.close()
      await app.close()
    },
  }
}

function portProblem(port: number, e: unknown): unknown {
  const { code } = e as NodeJS.ErrnoException
  if (code !== 'EADDRINUSE' && code !== 'EACCES') return e
  return new Problem({
    code: 'server.port-taken',
    what: code === 'EACCES' ? 'This port needs other rights' : 'Somebody else listens on this port',
    where: `--port ${port}`,
    remedy: 'Leave --port out: any free one is taken.',
  })
}
