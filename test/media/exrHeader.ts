/** A reader of OpenEXR headers for tests, from the published file layout; shares no code with the writer. */
export function exrHeader(file: Buffer): Map<string, { type: string; value: Buffer }> {
  if (file.readUInt32LE(0) !== 20000630) throw new Error('no OpenEXR magic')
  const found = new Map<string, { type: string; value: Buffer }>()
  let at = 8
  const word = () => {
    const end = file.indexOf(0, at)
    const text = file.toString('latin1', at, end)
    at = end + 1
    return text
  }
  for (let name = word(); name !== ''; name = word()) {
    const type = word()
    const size = file.readInt32LE(at)
    found.set(name, { type, value: file.subarray(at + 4, at + 4 + size) })
    at += 4 + size
  }
  return found
}
