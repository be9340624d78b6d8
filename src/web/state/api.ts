/** The server's contract (`server/protocol.ts`) as functions. */
import type { ProblemDetail } from '../../core/index.js'
import type { Places } from '../../engine/places.js'
import type {
  AddElementAsk,
  Dropped,
  EditAsk,
  Folder,
  FrameAsk,
  JobAsk,
  JobState,
  MediaFacts,
  NewShotAsk,
  PageEdit,
  PlacesAsk,
  ShotState,
  UploadHead,
  Values,
  ValuesAsk,
} from '../../server/protocol.js'

/** What the server refused or could not do. */
export class Refused extends Error {
  readonly detail: ProblemDetail
  constructor(detail: ProblemDetail) {
    super(detail.what)
    this.detail = detail
  }
}

/** The server does not answer at all. */
export class Away extends Error {}

export interface Picture {
  readonly width: number
  readonly height: number
  readonly rgb: Uint8Array
}

/** Another page may look at the same shot: the server gives up only what this one asked before. */
const page = crypto.randomUUID()

export const api = {
  folder: () => json<Folder>('GET', '/api/folder'),
  media: (path: string) => json<MediaFacts>('GET', `/api/media?path=${encodeURIComponent(path)}`),
  newShot: (ask: NewShotAsk) => json<{ path: string }>('POST', '/api/shot', ask),
  shot: (path: string) => json<ShotState>('GET', `/api/shot?path=${encodeURIComponent(path)}`),
  edit: (path: string, edit: PageEdit) =>
    json<ShotState>('POST', '/api/shot/edit', { path, edit } satisfies EditAsk, true),
  addElement: (path: string, file: string) =>
    json<ShotState>('POST', '/api/shot/element', { path, file } satisfies AddElementAsk),
  step: (path: string, way: 'undo' | 'redo') => json<ShotState>('POST', `/api/shot/${way}`, { path }),
  places: (ask: PlacesAsk) => json<Places>('POST', '/api/places', ask),
  values: (ask: ValuesAsk) => json<Values>('POST', '/api/values', ask),
  job: (ask: JobAsk) => json<JobState>('POST', '/api/job', ask),
  cancel: (path: string) => json<JobState | null>('DELETE', `/api/job?path=${encodeURIComponent(path)}`),
  /** What belongs together. @param told is called with the share that has gone; @returns the file, or the sequence's pattern */
  async put(
    files: readonly { readonly name: string; readonly file: File }[],
    told: (share: number) => void,
  ): Promise<string> {
    const head: UploadHead = files.map(({ name, file }) => ({ name, bytes: file.size }))
    const body = new Blob([`${JSON.stringify(head)}\n`, ...files.map(({ file }) => file)])
    return (await upload(body, told)).path
  },
  /** Undefined when a later ask came before this one was done. */
  async frame(of: FrameAsk): Promise<Picture | undefined> {
    const answer = await ask('POST', '/api/frame', { ...of, page } satisfies FrameAsk)
    if (answer.status === 204) return undefined
    return {
      width: Number(answer.headers.get('x-width')),
      height: Number(answer.headers.get('x-height')),
      rgb: new Uint8Array(await answer.arrayBuffer()),
    }
  },
  crop: (path: string, tell: number, role: 'plate' | 'result') =>
    `/api/crop?path=${encodeURIComponent(path)}&tell=${tell}&role=${role}`,
  file: (path: string) => `/files/${path.split('/').map(encodeURIComponent).join('/')}`,
  events: (path: string | undefined) =>
    new EventSource(`/api/events${path === undefined ? '' : `?path=${encodeURIComponent(path)}`}`),
}

async function json<T>(method: string, url: string, body?: unknown, outlive = false): Promise<T> {
  return (await (await ask(method, url, body, outlive)).json()) as T
}

/** @param outlive sends it although the page goes before the answer is there; for a few bytes */
async function ask(method: string, url: string, body?: unknown, outlive = false): Promise<Response> {
  const init: RequestInit = {
    method,
    keepalive: outlive,
    ...(body === undefined
      ? {}
      : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) }),
  }
  const answer = await fetch(url, init).catch(() => {
    throw new Away()
  })
  if (answer.ok) return answer
  const said = (await answer.json().catch(() => undefined)) as ProblemDetail | undefined
  throw refused(said, answer.status)
}

function refused(said: ProblemDetail | null | undefined, status: number): Refused {
  return new Refused(said ?? { code: 'server.failed', what: `The server answered ${status}` })
}

/** `fetch` does not say how far a body has gone. */
function upload(body: Blob, told: (share: number) => void): Promise<Dropped> {
  return new Promise((done, fail) => {
    const request = new XMLHttpRequest()
    request.open('PUT', '/api/files')
    request.setRequestHeader('content-type', 'application/octet-stream')
    request.responseType = 'json'
    request.upload.addEventListener('progress', ({ loaded, total }) => told(loaded / total))
    request.addEventListener('error', () => fail(new Away()))
    request.addEventListener('load', () => {
      if (request.status < 300) done(request.response as Dropped)
      else fail(refused(request.response as ProblemDetail | null, request.status))
    })
    request.send(body)
  })
}
