import { once } from 'node:events'
import { expect, it } from 'vitest'
import { standBy, threadFor } from './threads.js'

it('a thread that stood by is the one that is given next, and still answers', async () => {
  const first = threadFor('preview/worker.js')
  let current = first
  try {
    for (let i = 0; i < 3; i++) {
      current.postMessage({ kind: 'none' })
      expect(await once(current, 'message')).toHaveLength(1)
      standBy('preview/worker.js', current)
      current = threadFor('preview/worker.js')
      expect(current).toBe(first)
    }
  } finally {
    await current.terminate()
  }
})
