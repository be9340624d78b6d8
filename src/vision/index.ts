/** Pictures compared with pictures: the only room that knows the vision library. */
export * from './align.js'
export * from './corners.js'
export * from './features.js'
export * from './flow.js'
export * from './match.js'
export * from './motion.js'
export { type Grey, openVision, type Place, type Vision } from './vision.js'
