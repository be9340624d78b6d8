/** The only script of the page: the wipe. Everything else works without. */
export const SCRIPT = `for (const handle of document.querySelectorAll('.handle')) {
  handle.hidden = false
  const stage = handle.parentElement
  const set = () => {
    stage.style.setProperty('--cut', handle.value / 10 + '%')
    handle.setAttribute('aria-valuetext', Math.round(handle.value / 10) + ' per cent from the left')
  }
  handle.addEventListener('input', set)
  handle.addEventListener('keydown', (e) => {
    const step = { ArrowLeft: -20, ArrowRight: 20, PageDown: -100, PageUp: 100 }[e.key]
    if (step === undefined) return
    e.preventDefault()
    handle.value = Number(handle.value) + step
    set()
  })
  set()
}`
