export { isNote } from './read/notes.js'
/** @public */
export { seriesOf } from './read/numbered.js'
export { openSource } from './read/open.js'
export { samePictures } from './read/sequenceName.js'
export { encodeStill } from './still.js'
export * from './types.js'
export { deliveryEncoding, deliveryFindings, deliveryLayout } from './write/delivery.js'
export { createWriter } from './write/writer.js'
