#!/usr/bin/env node
// Runs the general-purpose constraint solver on published shops, as `tackline bench` runs the search: same files, same limits,
// same line for each instance.
//   node shop.mjs jobshop|flexible|assembly FILE... [--seconds N] [--workers N] [--seed N] [--bounds FILE] [--json]
import { readFileSync } from 'node:fs'
import { basename, extname } from 'node:path'
import { parseArgs } from 'node:util'
import { CpModel, solve } from './solver.mjs'

// Each reader gives {jobs, machines, operations: [{options: [{machine, time}], after: [operation]}]}.
const readers = { jobshop: readJobShop, flexible: readFlexible, assembly: readAssembly }

function readRows(file) {
  return readFileSync(file, 'utf8').split('\n').map((line) => line.trim().split(/\s+/).map(Number)).filter((row) => !(row.length === 1 && row[0] === 0))
}

function pairsOf(row, from, count, first) {
  const options = []
  for (let i = 0; i < count; i++) options.push({ machine: row[from + 2 * i] - first, time: row[from + 2 * i + 1] })
  return options
}

function readJobShop(file) {
  const [[jobs, machines], ...rows] = readRows(file)
  const operations = []
  for (const row of rows.slice(0, jobs)) {
    for (let k = 0; k < row.length / 2; k++) operations.push({ options: pairsOf(row, 2 * k, 1, 0), after: k > 0 ? [operations.length - 1] : [] })
  }
  return { jobs, machines, operations }
}

function readFlexible(file) {
  const [[jobs, machines], ...rows] = readRows(file)
  const operations = []
  for (const row of rows.slice(0, jobs)) {
    let at = 1
    for (let k = 0; k < row[0]; k++) {
      const count = row[at]
      operations.push({ options: pairsOf(row, at + 1, count, 1), after: k > 0 ? [operations.length - 1] : [] })
      at += 1 + 2 * count
    }
  }
  return { jobs, machines, operations }
}

function readAssembly(file) {
  const words = readFileSync(file, 'utf8').trim().split(/\s+/).map(Number)
  const [count, precedences, machines] = words
  const operations = Array.from({ length: count }, () => ({ options: [], after: [] }))
  let at = 3
  for (let i = 0; i < precedences; i++, at += 2) operations[words[at + 1]].after.push(words[at])
  for (const operation of operations) {
    operation.options = pairsOf(words, at + 1, words[at], 0)
    at += 1 + 2 * words[at]
  }
  return { jobs: count, machines, operations }
}

/**
 * The usual model: a start for each operation, an interval for each machine that can do it, no overlap on a machine, and the
 * makespan not before any end (Laborie, Rogerie, Shaw and Vilim, Constraints 23, 2018, in the form that needs no option
 * where there is one machine).
 */
function modelOf(shop) {
  const model = new CpModel()
  const horizon = shop.operations.reduce((sum, o) => sum + Math.max(...o.options.map((x) => x.time)), 0)
  const on = Array.from({ length: shop.machines }, () => [])
  const span = model.newIntVar(0, horizon, 'makespan')
  const starts = [], ends = []
  for (const { options } of shop.operations) {
    const start = model.newIntVar(0, horizon)
    starts.push(start)
    if (options.length === 1) {
      on[options[0].machine].push(model.newFixedSizeIntervalVar(start, options[0].time))
      ends.push(start.plus(options[0].time))
      continue
    }
    const end = model.newIntVar(0, horizon)
    const chosen = options.map(({ machine, time }) => {
      const here = model.newBoolVar()
      on[machine].push(model.newOptionalIntervalVar(start, time, end, here))
      return here
    })
    model.addExactlyOne(chosen)
    ends.push(end)
  }
  shop.operations.forEach(({ after }, o) => {
    for (const before of after) model.add(starts[o].ge(ends[before]))
    model.add(span.ge(ends[o]))
  })
  for (const intervals of on) model.addNoOverlap(intervals)
  model.minimize(span)
  return model
}

function readBounds(file) {
  const known = new Map()
  if (!file) return known
  const [head, ...rows] = readFileSync(file, 'utf8').trim().split('\n').map((line) => line.split('\t'))
  const upper = ['upper_bound', 'reported_optimum', 'best_known_makespan'].map((name) => head.indexOf(name)).find((at) => at >= 0)
  for (const row of rows) if (row[upper]) known.set(row[0], Number(row[upper]))
  return known
}

const { values: flags, positionals: [kind, ...files] } = parseArgs({
  allowPositionals: true,
  options: {
    seconds: { type: 'string', default: '60' }, workers: { type: 'string', default: '2' }, seed: { type: 'string', default: '1' },
    bounds: { type: 'string' }, json: { type: 'boolean', default: false },
  },
})
if (!readers[kind] || files.length === 0) {
  console.error('usage: node shop.mjs jobshop|flexible|assembly FILE... [--seconds N] [--workers N] [--seed N] [--bounds FILE] [--json]')
  process.exit(2)
}
const known = readBounds(flags.bounds)
if (!flags.json) {
  console.log('instance           jobs machines operations      value     bound     known   gap %  seconds')
}
for (const file of files) {
  const shop = readers[kind](file)
  const before = process.cpuUsage()
  const found = await solve(modelOf(shop), { seconds: Number(flags.seconds), workers: Number(flags.workers), seed: Number(flags.seed) })
  const line = { instance: basename(file, extname(file)), jobs: shop.jobs, machines: shop.machines, operations: shop.operations.length,
    value: found.objective, lower_bound: found.bound, seconds: Math.round(found.seconds * 10) / 10 }
  const used = process.cpuUsage(before)
  line.processor_seconds = Math.round((used.user + used.system) / 1e6) // of all its threads: less than it asked for on a busy machine
  const best = known.get(line.instance)
  if (best !== undefined) line.best_known = best
  const against = best ?? found.bound
  if (found.objective !== null && against > 0) line.gap_percent = (100 * (found.objective - against)) / against
  console.log(flags.json ? JSON.stringify(line) : textOf(line))
}
process.exit(0)

function textOf(line) {
  const cells = [[line.jobs, 6], [line.machines, 8], [line.operations, 10], [line.value ?? '-', 10], [line.lower_bound ?? '-', 9], [line.best_known ?? '-', 9],
    [line.gap_percent?.toFixed(2) ?? '-', 7], [line.seconds.toFixed(1), 8]]
  return line.instance.padEnd(16) + cells.map(([value, width]) => ' ' + String(value).padStart(width)).join('')
}
