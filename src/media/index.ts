export { fromAvFrame, toAvFrame } from './avframe.js'
export { openSource } from './read/open.js'
export * from './types.js'
