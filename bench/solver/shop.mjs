#!/usr/bin/env node
// Runs the general-purpose constraint solver on published shops, as `tackline bench` runs the search: same files, same limits,
// same line for each instance.
//   node shop.mjs jobshop|flexible|assembly|workers FILE... [--seconds N] [--workers N] [--seed N] [--bounds FILE] [--json]
import { readFileSync } from 'node:fs'
import { basename, extname } from 'node:path'
import { parseArgs } from 'node:util'
import { readers } from '../shops.mjs'
import { CpModel, solve } from './solver.mjs'

/**
 * The usual model: a start for each operation, an interval for each machine that can do it, no overlap on a machine (nor of a worker), and the
 * makespan not before any end (Laborie, Rogerie, Shaw and Vilim, Constraints 23, 2018, in the form that needs no option
 * where there is one machine).
 */
function modelOf(shop) {
  const model = new CpModel()
  const horizon = shop.operations.reduce((sum, o) => sum + Math.max(...o.options.map((x) => x.time)), 0)
  const on = Array.from({ length: shop.machines + shop.workers }, () => [])
  const span = model.newIntVar(0, horizon, 'makespan')
  const starts = [], ends = []
  for (const { options } of shop.operations) {
    const start = model.newIntVar(0, horizon)
    starts.push(start)
    if (options.length === 1 && shop.workers === 0) {
      on[options[0].machine].push(model.newFixedSizeIntervalVar(start, options[0].time))
      ends.push(start.plus(options[0].time))
      continue
    }
    const end = model.newIntVar(0, horizon)
    const chosen = options.map(({ machine, worker, time }) => {
      const here = model.newBoolVar()
      const interval = model.newOptionalIntervalVar(start, time, end, here)
      on[machine].push(interval)
      if (worker !== undefined) on[shop.machines + worker].push(interval)
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
  console.error('usage: node shop.mjs jobshop|flexible|assembly|workers FILE... [--seconds N] [--workers N] [--seed N] [--bounds FILE] [--json]')
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
