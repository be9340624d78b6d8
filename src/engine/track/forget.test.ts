import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { forgetFiles } from './forget.js'

const folder = mkdtempSync(join(tmpdir(), 'platefit-forget-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const document = join(folder, 'go.shot.json')
mkdirSync(join(folder, 'go.tracks'))

function written(id: string, text = `{"id":"${id}"}`): string {
  const file = `go.tracks/${id}-${createHash('sha256').update(text).digest('hex').slice(0, 8)}.json`
  writeFileSync(join(folder, file), text)
  return file
}
const naming = (...files: string[]) => JSON.stringify({ tracks: files.map((file) => ({ data: { file } })) })

it('removes what nothing names, and keeps what a document or its undo names', async () => {
  const [now, old, undone, elsewhere] = ['now', 'old', 'undone', 'elsewhere'].map((id) => written(id))
  writeFileSync(document, naming(now!))
  writeFileSync(join(folder, 'copy.shot.json'), naming(elsewhere!))
  const gone = await forgetFiles(document, [now!, old!, undone!, elsewhere!], [naming(undone!)])
  expect(gone).toEqual([old])
  expect([now, old, undone, elsewhere].map((f) => existsSync(join(folder, f!)))).toEqual([
    true,
    false,
    true,
    true,
  ])
})

it('leaves alone what was not written so', async () => {
  const changed = written('changed')
  writeFileSync(join(folder, changed), 'by another hand')
  writeFileSync(join(folder, 'go.tracks', 'mine.json'), '{}')
  const out = 'notes-00000000.json'
  writeFileSync(join(folder, out), '{}')
  expect(
    await forgetFiles(document, [changed, 'go.tracks/mine.json', out, 'go.tracks/none-12345678.json'], []),
  ).toEqual([])
  expect(existsSync(join(folder, out))).toBe(true)
})
