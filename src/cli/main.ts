#!/usr/bin/env node
import { main } from './run.js'

await main(process.argv.slice(2))
