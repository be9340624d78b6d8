import { once } from 'node:events'
import open from 'open'
import type { Job } from '../../engine/types.js'
import { startServer } from '../../server/server.js'
import type { Outcome } from '../outcome.js'

export interface ServeOptions {
  readonly port: number
  readonly open: boolean
  readonly json?: boolean
}

/** Serves the page until it is interrupted. */
export async function serve(path: string, o: ServeOptions, job: Job): Promise<Outcome> {
  const server = await startServer(path, o.port)
  const { url, port, folder } = server
  const where = { url, port, folder, ...(server.shot === undefined ? {} : { shot: server.shot }) }
  process.stdout.write(
    o.json === true
      ? `${JSON.stringify(where)}\n`
      : `${folder}\n  ${url}\n  Only this machine reaches it. Ctrl-C ends it; nothing is lost.\n`,
  )
  // A machine without a browser has the address.
  if (o.open)
    await open(url).then(
      (p) => p.on('error', () => {}),
      () => {},
    )
  try {
    if (job.signal?.aborted !== true) await once(job.signal as AbortSignal, 'abort')
  } finally {
    await server.close()
  }
  return { text: '', json: undefined }
}
