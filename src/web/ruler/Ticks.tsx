/** Numbers at most so many; the step is 1, 2 or 5 times a power of ten. */
const MOST = 16

export function Ticks({ frames }: { frames: number }) {
  const step = stepOf(frames)
  const marks = Array.from({ length: Math.ceil(frames / step) }, (_, i) => i * step)
  return (
    <>
      {marks.map((m) => (
        <span key={m} className="tick" style={{ left: `${((m + 0.5) / frames) * 100}%` }}>
          {m}
        </span>
      ))}
      {frames <= 200 &&
        Array.from({ length: frames }, (_, m) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the frame's number
          <i key={m} className="notch" style={{ left: `${((m + 0.5) / frames) * 100}%` }} />
        ))}
    </>
  )
}

function stepOf(frames: number): number {
  for (let power = 1; ; power *= 10)
    for (const first of [1, 2, 5]) if (frames / (first * power) <= MOST) return first * power
}
