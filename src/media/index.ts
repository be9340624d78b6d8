export { fromAvFrame, toAvFrame } from './avframe.js'
export { openSource } from './read/open.js'
export { encodeStill } from './still.js'
export * from './types.js'
