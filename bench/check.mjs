#!/usr/bin/env node
// Checks a schedule that `tackline bench ... --schedule DIR` wrote, from the instance and the schedule alone.
//   node bench/check.mjs jobshop|flexible|assembly|workers INSTANCE SCHEDULE.csv
import { readFileSync } from 'node:fs'
import { check, readers } from './shops.mjs'

const [kind, instance, schedule] = process.argv.slice(2)
if (!readers[kind] || !schedule) {
  console.error('usage: node bench/check.mjs jobshop|flexible|assembly|workers INSTANCE SCHEDULE.csv')
  process.exit(2)
}
const { makespan, wrong } = check(readers[kind](instance), readFileSync(schedule, 'utf8'))
console.log(wrong.length === 0 ? `right, makespan ${makespan}` : wrong.join('\n'))
process.exit(wrong.length === 0 ? 0 : 1)
