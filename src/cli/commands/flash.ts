import { loadShot } from '../../engine/document.js'
import { flashOfShot } from '../../engine/flash.js'
import type { Outcome } from '../outcome.js'
import { table } from '../table.js'

/** Which rows of which frames a flash lights. */
export async function flash(path: string, o: { readonly at: number; readonly ms: number }): Promise<Outcome> {
  const { shot, folder } = await loadShot(path)
  const found = await flashOfShot(shot, folder, o.at, o.ms)
  const rows = (r: readonly [first: number, last: number] | undefined) =>
    r === undefined ? 'none' : `${r[0]} to ${r[1]}`
  const share = (v: number) => `${(100 * v).toFixed(0)} %`
  const { framesPerSecond: fps, shutterAngleDeg: angle, angleAssumed } = found
  const text = [
    `${found.lengthMs} ms of light at ${found.atMs} ms: ${found.rows} rows read in ${found.readoutMs} ms, ${Number(fps.toFixed(3))} frames a second, ${angle}°${angleAssumed ? ' (assumed)' : ''}`,
    found.bands.length === 0
      ? 'No row sees it: it falls while the shutter is closed.'
      : table([
          ['frame', 'lit rows', 'whole rows', 'brightest row', 'of all light'],
          ...found.bands.map((b) => [
            String(b.frame),
            rows(b.lit),
            rows(b.whole),
            share(b.peak),
            share(b.mean),
          ]),
        ]),
  ].join('\n\n')
  return { text, json: found }
}
