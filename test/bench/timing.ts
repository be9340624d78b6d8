/** Wall and processor time of some work, in ms; all threads count. */
export async function timed(work: () => Promise<void>): Promise<{ wall: number; cpu: number }> {
  const before = process.cpuUsage()
  const start = performance.now()
  await work()
  const wall = performance.now() - start
  const { user, system } = process.cpuUsage(before)
  return { wall, cpu: (user + system) / 1000 }
}
