/** A server in a process of its own, as a person starts it, and requests with any headers. */
import type { ChildProcess } from 'node:child_process'
import { once } from 'node:events'
import { type IncomingHttpHeaders, request } from 'node:http'
import { platefit } from '../platefit.js'

export interface Answer {
  readonly status: number
  readonly headers: IncomingHttpHeaders
  readonly bytes: Buffer
  /** Of the bytes, where they are JSON. */
  readonly json: unknown
}

/** Files as the page sends them. */
export function dropped(...files: readonly (readonly [name: string, bytes: Buffer])[]): Buffer {
  const head = files.map(([name, bytes]) => ({ name, bytes: bytes.length }))
  return Buffer.concat([Buffer.from(`${JSON.stringify(head)}\n`), ...files.map(([, bytes]) => bytes)])
}

export interface Serving {
  readonly child: ChildProcess
  readonly url: string
  readonly port: number
  readonly cookie: string
  /** `path` as it goes over the wire: nothing is made tidy. Headers given go before the usual ones; undefined leaves one out. */
  ask(
    method: string,
    path: string,
    body?: unknown,
    headers?: Readonly<Record<string, string | undefined>>,
  ): Promise<Answer>
  /** Ends it, as Ctrl-C does or at once; resolves when it is gone, to its exit code. */
  end(signal?: 'SIGINT' | 'SIGKILL'): Promise<number | null>
}

/** Serves `path` from `folder`, on a free port unless one is named, and enters with the address that was printed. */
export async function serving(folder: string, path = '.', on = 0): Promise<Serving> {
  let child: ChildProcess | undefined
  const ended = platefit(folder, ['serve', path, '--no-open', '--json', '--port', String(on)], (c) => {
    child = c
  })
  const started = child as unknown as ChildProcess
  const line = await Promise.race([once(started.stdout as NodeJS.ReadableStream, 'data'), ended])
  if (!Array.isArray(line)) throw new Error(`the server did not start: ${line.out}${line.err}`)
  const { url, port } = JSON.parse(String(line[0])) as { url: string; port: number }
  const entered = await send(port, 'GET', url.slice(url.indexOf('/?')), undefined, {})
  const cookie = entered.headers['set-cookie']?.[0]?.split(';')[0] ?? ''
  return {
    child: started,
    url,
    port,
    cookie,
    ask: (method, to, body, headers) => send(port, method, to, body, { cookie, ...headers }),
    async end(signal = 'SIGINT') {
      started.kill(signal)
      return (await ended).code
    },
  }
}

function send(
  port: number,
  method: string,
  path: string,
  body: unknown,
  headers: Readonly<Record<string, string | undefined>>,
): Promise<Answer> {
  const own = { host: `127.0.0.1:${port}`, ...typeOf(body), ...headers }
  const said = Object.fromEntries(Object.entries(own).filter(([, v]) => v !== undefined)) as Record<
    string,
    string
  >
  return new Promise((resolve, reject) => {
    const sent = request(
      { host: '127.0.0.1', port, method, path, headers: said, setHost: false },
      (answer) => {
        const parts: Buffer[] = []
        answer.on('data', (part: Buffer) => parts.push(part))
        answer.on('error', reject)
        answer.on('end', () => {
          const bytes = Buffer.concat(parts)
          const isJson = (answer.headers['content-type'] ?? '').includes('json')
          resolve({
            status: answer.statusCode ?? 0,
            headers: answer.headers,
            bytes,
            json: isJson ? JSON.parse(bytes.toString()) : undefined,
          })
        })
      },
    )
    sent.on('error', reject)
    sent.end(body === undefined ? undefined : Buffer.isBuffer(body) ? body : JSON.stringify(body))
  })
}

function typeOf(body: unknown): Record<string, string> {
  if (body === undefined) return {}
  return { 'content-type': Buffer.isBuffer(body) ? 'application/octet-stream' : 'application/json' }
}
