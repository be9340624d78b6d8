/** Who is kept out: other hosts, other pages, other folders. */
import { mkdir, mkdtemp, readdir, rm, symlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { smallFiles } from '../small.js'
import { dropped, type Serving, serving } from './serving.js'

let outer: string
let folder: string
let server: Serving

const document = (plate: string) =>
  JSON.stringify({ platefit: 1, plate: { file: plate }, elements: [], meant: [] })

beforeAll(async () => {
  outer = await mkdtemp(join(tmpdir(), 'platefit-guard-'))
  folder = join(outer, 'open')
  await mkdir(folder)
  await smallFiles(folder, 2)
  await smallFiles(join(outer), 2)
  await writeFile(join(outer, 'secret.txt'), 'secret')
  await writeFile(join(outer, 'outer.shot.json'), document('plate'))
  await writeFile(join(folder, 'own.shot.json'), document('plate'))
  await writeFile(join(folder, 'leads-out.shot.json'), document('../plate'))
  await writeFile(join(folder, 'absolute.shot.json'), document(join(outer, 'plate')))
  await writeFile(join(folder, 'links-out.shot.json'), document('linked/plate.####.png'))
  await symlink(join(outer, 'secret.txt'), join(folder, 'linked.txt'))
  await symlink(join(outer, 'outer.shot.json'), join(folder, 'linked.shot.json'))
  await symlink(join(outer, 'plate'), join(folder, 'linked'))
  server = await serving(folder)
})
afterAll(async () => {
  await server.end()
  await rm(outer, { recursive: true, force: true })
})

describe('requests', () => {
  it('are answered with the cookie of this start', async () => {
    expect((await server.ask('GET', '/api/folder')).status).toBe(200)
    const entered = await server.ask('GET', server.url.slice(server.url.indexOf('/?')))
    expect(entered.headers['set-cookie']?.[0]).toMatch(/HttpOnly; SameSite=Strict/)
    expect(entered.headers.location).toBe('/')
  })

  it.each([
    ['no cookie', { cookie: undefined }],
    ['a cookie of another name', { cookie: `platefit-0=${'a'.repeat(43)}` }],
    ['a cookie of another start', { cookie: `platefit-PORT=${'a'.repeat(43)}` }],
    ['a foreign host', { host: 'evil.test' }],
    ['a foreign host with our port', { host: 'evil.test:PORT' }],
    ['a host that only begins like ours', { host: '127.0.0.1.evil.test:PORT' }],
    ['no host', { host: '' }],
    ['a foreign origin', { origin: 'http://evil.test' }],
    ['no origin to speak of', { origin: 'null' }],
    ['our origin on another port', { origin: 'http://127.0.0.1:1' }],
    ['our origin over another scheme', { origin: 'https://127.0.0.1:PORT' }],
    ['another site, as the browser says', { 'sec-fetch-site': 'cross-site' }],
    ['another port of this machine, as the browser says', { 'sec-fetch-site': 'same-site' }],
  ])('with %s are refused', async (_, said) => {
    const headers = Object.fromEntries(
      Object.entries(said).map(([k, v]) => [k, v?.replace('PORT', String(server.port))]),
    )
    for (const [method, path, body] of [
      ['GET', '/api/folder', undefined],
      ['POST', '/api/shot', { plate: 'plate', elements: [] }],
      ['GET', '/files/own.shot.json', undefined],
      ['GET', '/api/events', undefined],
      ['GET', '/%61pi/folder', undefined],
      ['GET', '/fil%65s/own.shot.json', undefined],
      ['GET', `http://127.0.0.1:${server.port}/api/folder`, undefined],
    ] as const) {
      expect((await server.ask(method, path, body, headers)).status).toBeGreaterThanOrEqual(400)
    }
    expect((await readdir(folder)).filter((f) => f.endsWith('.shot.json')).length).toBe(5)
  })

  it.each(['', 'a', 'a'.repeat(43)])('with the token "%s" get no cookie', async (token) => {
    const answer = await server.ask('GET', `/?token=${token}`, undefined, { cookie: undefined })
    expect(answer.status).toBe(403)
    expect(answer.headers['set-cookie']).toBeUndefined()
  })

  it('from the page itself are welcome', async () => {
    const origin = `http://127.0.0.1:${server.port}`
    const headers = { origin, 'sec-fetch-site': 'same-origin' }
    expect((await server.ask('GET', '/api/folder', undefined, headers)).status).toBe(200)
  })

  it('hold a page that runs no foreign script and stands in no frame', async () => {
    const { headers } = await server.ask('GET', '/api/folder')
    expect(headers['content-security-policy']).toMatch(
      /default-src 'none'.*script-src 'self'.*frame-ancestors 'none'/,
    )
    const file = await server.ask('GET', '/files/own.shot.json')
    expect(file.headers['content-security-policy']).toMatch(/^sandbox allow-scripts/)
    expect(file.headers['x-content-type-options']).toBe('nosniff')
  })
})

const out = [
  '../secret.txt',
  '..%2fsecret.txt',
  '%2e%2e/secret.txt',
  '%2e%2e%2fsecret.txt',
  '%252e%252e%252fsecret.txt',
  '.%2e/secret.txt',
  '..%5csecret.txt',
  '..\\secret.txt',
  'plate/../../secret.txt',
  'plate/%2e%2e/%2e%2e/secret.txt',
  '%2fetc%2fpasswd',
  '/etc/passwd',
  'secret.txt%00.png',
  '..%c0%afsecret.txt',
  '%c0%ae%c0%ae/secret.txt',
  'linked.txt',
  'linked/plate.0001.png',
]

describe('paths that lead out of the folder', () => {
  it.each(out)('a file: %s', async (path) => {
    const answer = await server.ask('GET', `/files/${path}`)
    expect(answer.status).toBeGreaterThanOrEqual(400)
    expect(answer.bytes.toString()).not.toBe('secret')
  })

  it.each(out)('a shot: %s', async (path) => {
    const answer = await server.ask('GET', `/api/shot?path=${path.replace('secret.txt', 'outer.shot.json')}`)
    expect(answer.status).toBeGreaterThanOrEqual(400)
  })

  it('a shot that is a link', async () => {
    expect((await server.ask('GET', '/api/shot?path=linked.shot.json')).status).toBe(403)
  })

  it.each([
    ...[
      '../new.mov',
      '..\\new.mov',
      'a/../../new.mov',
      '/tmp/new.mov',
      'linked/new.mov',
      'linked/sub/new.mov',
      'linked.txt/new.mov',
      'a//b.mov',
      'a\0b.mov',
    ],
    ...['%2e%2e/new.mov', '.', '..', ''],
  ])('a dropped file: %j', async (name) => {
    const before = await readdir(outer, { recursive: true })
    const answer = await server.ask('PUT', '/api/files', dropped([name, Buffer.from('x')]))
    const after = (await readdir(outer, { recursive: true })).filter((f) => !f.startsWith('open/%2e%2e'))
    expect(after).toEqual(before)
    // A name of percent signs is a name.
    if (!name.startsWith('%')) expect(answer.status).toBeGreaterThanOrEqual(400)
    await rm(join(folder, '%2e%2e'), { recursive: true, force: true })
  })

  it.each([
    ['../plate', []],
    ['linked/plate.####.png', []],
    ['linked/plate.0001.png', []],
    ['plate', ['../fire']],
    ['plate', ['linked/plate.####.png']],
  ])('a new shot of %j and %j', async (plate, elements) => {
    const answer = await server.ask('POST', '/api/shot', { plate, elements })
    expect(answer.status).toBe(403)
  })

  it.each(['leads-out', 'links-out', 'absolute'])('a document that names such files: %s', async (name) => {
    const path = `${name}.shot.json`
    const state = await server.ask('GET', `/api/shot?path=${path}`)
    expect(state.json).toMatchObject({ plate: { width: 0, problem: { code: 'server.outside' } } })
    const frame = { path, number: 0, view: 'plate', width: 100, stops: 0 }
    expect((await server.ask('POST', '/api/frame', frame)).status).toBe(403)
    expect((await server.ask('POST', '/api/job', { path, kind: 'fit' })).status).toBe(403)
  })

  it('but for the files of the very document that a person named', async () => {
    const named = await serving(outer, 'open/leads-out.shot.json')
    try {
      const entered = await named.ask('GET', named.url.slice(named.url.indexOf('/?')))
      expect(entered.headers.location).toBe('/#leads-out.shot.json')
      const state = await named.ask('GET', '/api/shot?path=leads-out.shot.json')
      expect(state.json).toMatchObject({ plate: { width: 160, height: 96 } })
      expect((await named.ask('GET', '/api/shot?path=links-out.shot.json')).json).toMatchObject({
        plate: { problem: { code: 'server.outside' } },
      })
    } finally {
      await named.end()
    }
  })
})

describe('bodies', () => {
  it.each([
    ['no JSON', Buffer.from('{"path":')],
    ['too much', { path: 'own.shot.json', edit: 'x'.repeat(2 ** 21) }],
    ['no edit', { path: 'own.shot.json', edit: { kind: 'nothing' } }],
    ['nothing', {}],
  ])('that are %s are refused in words', async (_, body) => {
    const type = { 'content-type': 'application/json' }
    const answer = await server.ask('POST', '/api/shot/edit', body, type)
    expect(answer.status).toBeGreaterThanOrEqual(400)
    expect(answer.status).toBeLessThan(500)
    expect(answer.json).toMatchObject({ code: expect.any(String), what: expect.any(String) })
  })
})
