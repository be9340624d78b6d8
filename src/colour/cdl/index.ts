export * from './document.js'
export * from './model.js'
export * from './read.js'
export * from './write.js'
