import type { Tell } from '../../engine/types.js'
import { view } from '../state/view.js'

/** Where on the ruler something would give the effect away. */
export function TellMark({ tell, index, frames }: { tell: Tell; index: number; frames: number }) {
  if (tell.meant) return null
  const [first, last] = tell.frames
  return (
    <button
      type="button"
      className="tell-mark"
      title={tell.sentence}
      aria-label={`Tell on frame ${first}: ${tell.sentence}`}
      style={{ left: `${(first / frames) * 100}%`, width: `${((last - first + 1) / frames) * 100}%` }}
      onClick={() => view.set({ frame: first, tell: index })}
    />
  )
}
