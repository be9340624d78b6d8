import { useEffect } from 'react'
import { scrubByKey } from './ruler/Ruler.js'
import { bringDrop } from './start/bring.js'
import { Start } from './start/Start.js'
import { sendOff, step } from './state/acts.js'
import { session } from './state/session.js'
import { useStore } from './state/store.js'
import { Notices } from './top/Notices.js'
import { Work } from './Work.js'

/** The whole page: the first screen, or the shot at work. A drop anywhere brings a file. */
export function Page() {
  const shot = useStore(session, (s) => s.shot)
  useEffect(listen, [])
  return (
    <>
      <Notices />
      {shot === undefined ? <Start /> : <Work shot={shot} />}
    </>
  )
}

function listen(): () => void {
  const off = new AbortController()
  const { signal } = off
  addEventListener('dragover', (e) => e.preventDefault(), { signal })
  addEventListener(
    'drop',
    (e) => {
      e.preventDefault()
      // What a place of its own has taken is not brought twice.
      if (e.dataTransfer !== null && !(e.target instanceof Element && e.target.closest('.drop-place')))
        void bringDrop(e.dataTransfer)
    },
    { signal },
  )
  addEventListener('keydown', onKey, { signal })
  addEventListener('pagehide', sendOff, { signal })
  return () => off.abort()
}

/** Keys that mean the same wherever nothing else takes them. */
function onKey(e: KeyboardEvent): void {
  const { shot } = session.get()
  if (shot === undefined || e.defaultPrevented) return
  const typing =
    e.target instanceof HTMLInputElement && e.target.type !== 'range' && e.target.type !== 'radio'
  const letter = e.key.toLowerCase()
  if ((e.ctrlKey || e.metaKey) && !typing && (letter === 'z' || letter === 'y')) {
    e.preventDefault()
    void step(letter === 'y' || e.shiftKey ? 'redo' : 'undo')
  } else if (e.target === document.body) scrubByKey(e, shot.plate.frames)
}
