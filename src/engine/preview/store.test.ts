import { describe, expect, it } from 'vitest'
import { allocateFrame } from '../../core/index.js'
import { Store } from './store.js'

const layout = { family: 'rgb', bits: 8, float: false, subX: 0, subY: 0, alpha: false } as const
/** 300 bytes. */
const picture = async () => ({ frame: allocateFrame(layout, 10, 10) })

describe('the store of small pictures', () => {
  it('makes a picture once, as long as there is room', async () => {
    const store = new Store(600)
    const first = await store.get('a', picture)
    expect(await store.get('a', picture)).toBe(first)
  })

  it('lets the one go that was used longest ago', async () => {
    const store = new Store(600)
    const a = await store.get('a', picture)
    const b = await store.get('b', picture)
    await store.get('a', picture)
    await store.get('c', picture)
    expect(await store.get('a', picture)).toBe(a)
    expect(await store.get('b', picture)).not.toBe(b)
  })

  it('keeps the newest, however large', async () => {
    const store = new Store(1)
    const a = await store.get('a', picture)
    expect(await store.get('a', picture)).toBe(a)
  })

  it('forgets a picture that could not be made', async () => {
    const store = new Store(600)
    await expect(store.get('a', () => Promise.reject(new Error('no')))).rejects.toThrow('no')
    expect(await store.get('a', picture)).toBeDefined()
  })
})
