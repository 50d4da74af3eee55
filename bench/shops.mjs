// Readers of the published shop formats and a check of plans of them, written apart from the program that is measured.
import { readFileSync } from 'node:fs'

/**
 * A shop: operations with the ways to do them and what they come after.
 * @typedef {{machine: number, worker?: number, time: number}} Option machine and worker from 0
 * @typedef {{job: number, place: number, options: Option[], after: number[]}} Operation
 * @typedef {{jobs: number, machines: number, workers: number, operations: Operation[]}} Shop
 */

/** Readers by kind, as in `tackline bench`. */
export const readers = { jobshop: readJobShop, flexible: readFlexible, assembly: readAssembly, workers: readWorkers }

function rowsOf(file) {
  return readFileSync(file, 'utf8').split('\n').map((line) => line.trim()).filter((line) => line !== '').map((line) => line.split(/\s+/).map(Number))
}

/** @returns {Shop} */
function readJobShop(file) {
  return readRoutes(file, (row, operation) => {
    while (!row.done()) operation([{ machine: row.next(), time: row.next() }])
  })
}

/** @returns {Shop} */
function readFlexible(file) {
  return readRoutes(file, (row, operation) => {
    for (let k = row.next(); k > 0; k--) operation(times(row.next(), () => ({ machine: row.next() - 1, time: row.next() })))
  })
}

/** @returns {Shop} */
function readWorkers(file) {
  return readRoutes(file, (row, operation) => {
    for (let k = row.next(); k > 0; k--) {
      operation(times(row.next(), () => {
        const machine = row.next() - 1
        return times(row.next(), () => ({ machine, worker: row.next() - 1, time: row.next() }))
      }).flat())
    }
  })
}

const times = (n, make) => Array.from({ length: n }, make)

/** Reads jobs, a line each, whose operations follow each other. */
function readRoutes(file, readJob) {
  const [[jobs, machines, workers], ...rows] = rowsOf(file)
  const operations = []
  rows.slice(0, jobs).forEach((numbers, job) => {
    let at = 0, place = 0
    const row = { next: () => numbers[at++], done: () => at >= numbers.length }
    readJob(row, (options) => {
      operations.push({ job, place, options, after: place > 0 ? [operations.length - 1] : [] })
      place++
    })
  })
  return { jobs, machines, workers: operations.some((o) => o.options[0].worker !== undefined) ? workers : 0, operations }
}

/** Operations that hang together are a job. @returns {Shop} */
function readAssembly(file) {
  const [[count, precedences, machines], ...rows] = rowsOf(file)
  const operations = times(count, () => ({ job: -1, place: 0, options: [], after: [] }))
  for (const [before, after] of rows.slice(0, precedences)) operations[after].after.push(before)
  rows.slice(precedences, precedences + count).forEach((row, o) => {
    operations[o].options = times(row[0], (_, i) => ({ machine: row[1 + 2 * i], time: row[2 + 2 * i] }))
  })
  const beside = operations.map(() => [])
  operations.forEach(({ after }, o) => after.forEach((b) => (beside[o].push(b), beside[b].push(o))))
  let jobs = 0
  operations.forEach((_, o) => {
    if (operations[o].job >= 0) return
    const group = [o]
    operations[o].job = jobs
    for (const x of group) for (const y of beside[x]) if (operations[y].job < 0) (operations[y].job = jobs), group.push(y)
    group.sort((a, b) => a - b).forEach((x, place) => (operations[x].place = place))
    jobs++
  })
  return { jobs, machines, workers: 0, operations }
}

/**
 * Proves a plan of a shop: every operation once, on a machine that can do it, as long as it takes there, after what it waits for,
 * and nothing at the same time on a machine or with a worker.
 * @param {Shop} shop
 * @param {string} csv job, operation, machine, start, end and, where there are workers, worker
 * @returns {{makespan: number, wrong: string[]}}
 */
export function check(shop, csv) {
  const [, ...lines] = csv.trim().split('\n')
  const slots = new Map(lines.map((line) => line.split(',').map(Number)).map((row) => [`${row[0]},${row[1]}`, row]))
  const wrong = []
  if (slots.size !== shop.operations.length || lines.length !== shop.operations.length) wrong.push(`${lines.length} lines for ${shop.operations.length} operations`)
  const used = new Map()
  const plan = shop.operations.map(({ job, place, options }) => {
    const [, , machine, start, end, worker] = slots.get(`${job},${place}`) ?? []
    if (start === undefined || start < 0 || !options.some((x) => x.machine === machine && x.worker === worker && x.time === end - start)) {
      wrong.push(`job ${job}, operation ${place}: no such way to do it: machine ${machine}, ${start} to ${end}`)
    }
    for (const key of [`machine ${machine}`, ...(worker === undefined ? [] : [`worker ${worker}`])]) {
      if (end > start) used.set(key, [...(used.get(key) ?? []), { job, place, start, end }])
    }
    return { start, end }
  })
  shop.operations.forEach(({ job, place, after }, o) => {
    for (const before of after) if (!(plan[before].end <= plan[o].start)) wrong.push(`job ${job}, operation ${place}: begins before what it waits for has ended`)
  })
  for (const [key, list] of used) {
    list.sort((a, b) => a.start - b.start)
    list.slice(1).forEach((x, i) => {
      if (x.start < list[i].end) wrong.push(`${key}: job ${x.job}, operation ${x.place} overlaps job ${list[i].job}, operation ${list[i].place}`)
    })
  }
  return { makespan: plan.reduce((latest, { end }) => Math.max(latest, end), 0), wrong }
}
