export * from './apply.js'
export * from './read.js'
export * from './table.js'
