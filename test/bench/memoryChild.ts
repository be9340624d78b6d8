/** Renders a shot and prints the most memory that this process ever held, in MiB. Arguments: document, movie, workers. */
import { readFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import { loadShot } from '../../src/engine/document.js'
import { renderShot } from '../../src/engine/index.js'

const [path = '', out = '', workers = ''] = process.argv.slice(2)
const { shot } = await loadShot(path)
await renderShot(shot, dirname(path), { out, format: 'prores-422-hq' }, { workers: Number(workers) })
console.log((await peakKibibytes()) / 1024)

/** What the system counted where it tells; there the other figure may be that of the process which started this one. */
async function peakKibibytes(): Promise<number> {
  const status = await readFile('/proc/self/status', 'utf8').catch(() => '')
  return Number(/VmHWM:\s+(\d+)/.exec(status)?.[1] ?? process.resourceUsage().maxRSS)
}
