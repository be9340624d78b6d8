import { Problem } from '../core/index.js'

/** Work that writes frames was cancelled. @param kept frames that the same call goes on after */
export function stopped(kept: number, total: number): Problem {
  const none = { what: 'Stopped; nothing unfinished was left under a final name' }
  const some = {
    what: `Stopped; ${kept} of ${total} frames are whole and kept, nothing unfinished was left under a final name`,
    remedy: 'The same call goes on after them; --fresh starts over.',
  }
  return new Problem({ code: 'engine.stopped', ...(kept === 0 ? none : some), exit: 3 })
}
