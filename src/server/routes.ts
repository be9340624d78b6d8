/** The page's requests (`protocol.ts`). */
import { createReadStream } from 'node:fs'
import { lstat } from 'node:fs/promises'
import { basename, dirname, extname, join } from 'node:path'
import type { FastifyInstance, FastifyReply } from 'fastify'
import { z } from 'zod'
import { Problem } from '../core/index.js'
import { newShot } from '../engine/index.js'
import { editSchema, parseEdit } from '../shot/index.js'
import { FILE_POLICY } from './guard.js'
import { mediaFacts } from './media.js'
import type { Room } from './room.js'
import type { Shots } from './shots.js'
import { receive } from './upload.js'

const path = z.string().min(1).max(4096)
const pixels = z.number().int().min(1).max(16384)
const frame = z.number().int().nonnegative()

const spot = z.tuple([z.number(), z.number()])
const hand = z.strictObject({
  ...{ kind: z.literal('hand'), element: z.string(), number: frame },
  ...{ anchor: spot.optional(), corner: spot.optional(), scale: z.number().positive().optional() },
})
const handKey = z.strictObject({
  ...{ kind: z.literal('handKey'), shape: z.string(), number: frame },
  points: z.array(spot).min(3),
})
const byHand = z.union([hand, handKey])
const edit = z.union([byHand, editSchema])

const asks = {
  path: z.object({ path }),
  newShot: z.object({ plate: path, elements: z.array(path).max(64) }),
  element: z.object({ path, file: path }),
  edit: z.object({ path, edit: z.unknown() }),
  frame: z.object({
    path,
    number: frame,
    view: z.enum(['plate', 'plain', 'result']),
    width: pixels,
    stops: z.number().min(-12).max(12).default(0),
    page: z.string().max(64).default(''),
    edit: edit.optional(),
  }),
  places: z.object({ path, number: frame, edit: edit.optional() }),
  values: z.object({ path, number: frame, x: z.number(), y: z.number(), width: pixels }),
  crop: z.object({ path, tell: z.coerce.number().int().nonnegative(), role: z.enum(['plate', 'result']) }),
  job: z.intersection(
    z.object({ path }),
    z.discriminatedUnion('kind', [
      z.object({ kind: z.literal('fit') }),
      z.object({
        kind: z.literal('render'),
        format: z.enum(['prores-422-hq', 'prores-4444', 'dnxhr-hqx', 'h264-preview', 'exr-half', 'png-16']),
      }),
      z.object({ kind: z.enum(['check', 'report']), rendered: path }),
    ]),
  ),
} as const

/** @throws Problem `server.bad-request` */
function asked<T>(schema: z.ZodType<T>, input: unknown): T {
  const parsed = schema.safeParse(input)
  if (parsed.success) return parsed.data
  const [issue] = parsed.error.issues
  throw new Problem({
    code: 'server.bad-request',
    what: 'The request says something that the server does not understand',
    where: issue?.path.join('.') ?? '',
    expected: issue?.message ?? '',
  })
}

export function addRoutes(app: FastifyInstance, room: Room, shots: Shots): void {
  app.get('/api/folder', () => room.list())

  // Dropped files stream: nothing holds them whole.
  app.addContentTypeParser('application/octet-stream', (_, body, done) => done(null, body))
  app.put('/api/files', { bodyLimit: Number.MAX_SAFE_INTEGER }, async ({ raw }) => {
    const stored = await receive(room, raw)
    shots.folderChanged()
    return { path: stored }
  })

  app.get('/api/media', async ({ query }) => mediaFacts(await room.source(asked(asks.path, query).path)))

  app.post('/api/shot', async ({ body }) => {
    const { plate, elements } = asked(asks.newShot, body)
    const files = await Promise.all([plate, ...elements].map((file) => room.source(file)))
    const out = await freeName(room, plate)
    await newShot({ plate: files[0] as string, elements: files.slice(1), out })
    const made = room.relative(out)
    const open = await shots.get(made)
    shots.folderChanged()
    void open.begin()
    return { path: made }
  })
  app.get('/api/shot', async ({ query }) => {
    const shot = await shots.get(asked(asks.path, query).path)
    void shot.refresh()
    return shot.state()
  })
  app.post('/api/shot/edit', async ({ body }) => {
    const ask = asked(asks.edit, body)
    const shot = await shots.get(ask.path)
    const drawn = byHand.safeParse(ask.edit)
    await shot.edit(drawn.success ? drawn.data : parseEdit(ask.edit))
    return shot.state()
  })
  app.post('/api/shot/element', async ({ body }) => {
    const ask = asked(asks.element, body)
    const shot = await shots.get(ask.path)
    await shot.add(ask.file)
    return shot.state()
  })
  for (const [name, step] of [
    ['undo', -1],
    ['redo', 1],
  ] as const) {
    app.post(`/api/shot/${name}`, async ({ body }) => {
      const shot = await shots.get(asked(asks.path, body).path)
      await shot.document.go(step)
      return shot.state()
    })
  }

  app.post('/api/frame', async ({ body }, reply) => {
    const { path: of, edit, ...ask } = asked(asks.frame, body)
    const shot = await shots.look(of)
    const made = await shot.frame(ask, await shot.with(edit))
    if (made === undefined) return reply.code(204).send()
    const { rgb, width, height } = made
    return reply
      .headers({ 'x-width': width, 'x-height': height, 'cache-control': 'no-store' })
      .type('application/octet-stream')
      .send(Buffer.from(rgb.buffer, rgb.byteOffset, rgb.byteLength))
  })
  app.post('/api/places', async ({ body }) => {
    const { path: of, number, edit } = asked(asks.places, body)
    const shot = await shots.look(of)
    return shot.places(number, await shot.with(edit))
  })
  app.post('/api/values', async ({ body }) => {
    const { path: of, ...ask } = asked(asks.values, body)
    return (await shots.look(of)).values(ask)
  })
  app.get('/api/crop', async ({ query }, reply) => {
    const { path: of, tell, role } = asked(asks.crop, query)
    const png = await (await shots.get(of)).crop(tell, role)
    if (png === undefined) throw new Problem({ code: 'server.nothing-there', what: 'There is no such tell' })
    return reply.type('image/png').send(Buffer.from(png))
  })

  app.post('/api/job', async ({ body }) => {
    const ask = asked(asks.job, body)
    return (await shots.get(ask.path)).start(ask)
  })
  app.delete(
    '/api/job',
    async ({ query }) => (await shots.get(asked(asks.path, query).path)).cancel() ?? null,
  )
  app.get('/api/events', async ({ query }, reply) => {
    const of = (query as { path?: string }).path
    if (of !== undefined) await shots.get(of)
    shots.events.listen(reply, of)
  })

  app.get('/files/*', async ({ params }, reply) => {
    const full = await room.inside((params as { '*': string })['*'])
    return sendFile(full, reply)
  })
}

/** `plates/shore.####.exr` → `shore.shot.json` in the opened folder, or with a number where that is taken. */
async function freeName(room: Room, plate: string): Promise<string> {
  const name = basename(plate).replace(/\.[^.]+$/, '')
  const stem = name.replace(/[._-]?(#+|\d{3,})$/, '') || basename(dirname(plate)) || 'shot'
  for (let n = 1; ; n++) {
    const out = join(room.root, `${stem}${n === 1 ? '' : `-${n}`}.shot.json`)
    if ((await lstat(out).catch(() => undefined)) === undefined) return out
  }
}

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.mov': 'video/quicktime',
  '.mp4': 'video/mp4',
  '.png': 'image/png',
}

async function sendFile(full: string, reply: FastifyReply): Promise<FastifyReply> {
  const found = await lstat(full)
  if (!found.isFile())
    throw new Problem({ code: 'server.nothing-there', what: 'This is no file', where: basename(full) })
  return reply
    .headers({ 'content-security-policy': FILE_POLICY, 'content-length': found.size })
    .type(TYPES[extname(full).toLowerCase()] ?? 'application/octet-stream')
    .send(createReadStream(full))
}
