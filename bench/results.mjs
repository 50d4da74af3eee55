#!/usr/bin/env node
// Writes bench/RESULTS.md from the parts in bench/parts and the measurements in bench/measured.
import { existsSync, readFileSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { filesOf, here, measured, recordsOf, referenceFolder, table } from './files.mjs'
import { sets, sideBySide } from './sets.mjs'

const reference = referenceFolder()
const parts = readdirSync(join(here, 'parts')).filter((name) => name.endsWith('.md')).sort()
const text = ['# Measured', '', 'Made by `make bench` and `make bench-full`. Figures of one run on one machine; quote them as such.', '',
  ...parts.flatMap((name) => [readFileSync(join(here, 'parts', name), 'utf8').trimEnd(), '']), ...published(), ...comparison(), ...yardstick(), ...instances()]
writeFileSync(join(here, 'RESULTS.md'), text.join('\n').trimEnd() + '\n')

/** What the records of a set come to. */
function stats(records) {
  const gaps = records.map((r) => r.gap_percent).filter((gap) => gap !== undefined)
  const known = records.filter((r) => r.best_known !== undefined)
  return { n: records.length, known: known.length, reached: known.filter((r) => r.value <= r.best_known).length,
    processor: average(records.map((r) => r.processor_seconds).filter((x) => x !== undefined)), mean: average(gaps), worst: Math.max(...gaps), gaps: gaps.length }
}

function average(list) {
  return list.reduce((sum, x) => sum + x, 0) / list.length
}

function published() {
  const lines = ['## Published instances', '',
    'Two workers, seed 1. Seconds each: the limit; many end before it. Processor seconds: the mean of what was used; two workers on a free machine use twice the seconds. Gap: per cent above the best known value. Reached: at or below it. A best known value of 0 that was not reached has no gap and is in no mean.', '',
    '| set | instances | seconds each | processor seconds | with best known | reached | mean gap % | worst % | to be reached | is it |', '|---|---|---|---|---|---|---|---|---|---|']
  for (const set of sets) {
    const records = recordsOf(set)
    if (records.length === 0) continue
    const s = stats(records)
    const size = reference && set.kind !== 'single' ? ` of ${filesOf(set, reference).size}` : ''
    const limits = [...new Set(records.map((r) => r.limit))].join(', ')
    lines.push(`| ${set.title} | ${s.n}${size} | ${limits} | ${digits(s.processor)} | ${s.known} | ${s.reached} | ${digits(s.gaps && s.mean)} | ${digits(s.gaps && s.worst)} | ${set.target?.text ?? ''} | ${set.target ? (set.target.met(s) ? 'yes' : 'no') : ''} |`)
  }
  return [...lines, '']
}

function digits(x) {
  return Number.isFinite(x) ? x.toFixed(2) : '-'
}

/** Same seconds, same machine: this search and the general-purpose constraint solver. */
function comparison() {
  const lines = []
  for (const set of sideBySide) {
    const own = new Map(set.own.flatMap((id) => [...measured(id)]))
    for (const [instance, solver] of measured(set.id)) {
      const ours = own.get(instance)
      if (!ours || ours.limit !== solver.limit) continue
      lines.push(`| ${instance} | ${ours.limit} | ${ours.value} | ${solver.value ?? '-'} | ${ours.best_known ?? '-'} | ${ours.value < (solver.value ?? Infinity) ? 'better' : ours.value === solver.value ? 'equal' : 'worse'} |`)
    }
  }
  if (lines.length === 0) return []
  return ['## Side by side with a general-purpose constraint solver', '',
    'OR-Tools CP-SAT as the npm package or-tools-wasm (WebAssembly), two workers, the usual model (bench/solver/shop.mjs). To be reached: better or equal on every one.', '',
    '| instance | seconds each | this search | constraint solver | best known | |', '|---|---|---|---|---|---|', ...lines, '']
}

/** That solver native, ten minutes on 8 threads, as published. */
function yardstick() {
  const file = join(reference, 'jobshop/cp-solver-published.tsv')
  if (reference === '' || !existsSync(file)) return []
  const solver = new Map(table(file).map((row) => [row.instance, Number(row.upper_bound)]))
  const lines = []
  for (const id of ['jobshop-classic', 'jobshop-ta01-50', 'jobshop-ta51-80']) {
    const records = [...measured(id).values()].filter((r) => r.best_known && solver.has(r.instance))
    if (records.length === 0) continue
    const gapOf = (value) => (r) => (100 * (value(r) - r.best_known)) / r.best_known
    const ours = average(records.map(gapOf((r) => r.value))), theirs = average(records.map(gapOf((r) => solver.get(r.instance))))
    const count = (test) => records.filter((r) => test(r.value - solver.get(r.instance))).length
    lines.push(`| ${sets.find((set) => set.id === id).title} | ${records.length} | ${digits(ours)} | ${digits(theirs)} | ${count((d) => d < 0)} | ${count((d) => d === 0)} | ${count((d) => d > 0)} | ${ours < theirs ? 'yes' : 'no'} |`)
  }
  return ['## Against the same solver native, ten times as long', '',
    'Published values of CP-SAT 9.15, native, 600 s, 8 threads of a 4-core laptop (ScheduleOpt/benchmarks, CC BY-SA 4.0). To be reached: a smaller mean gap.', '',
    '| set | instances | mean gap here % | mean gap there % | better | equal | worse | is it |', '|---|---|---|---|---|---|---|---|', ...lines, '']
}

/** Every measurement. */
function instances() {
  const lines = ['## All instances', '', '```', 'instance             jobs machines operations       value     bound     known   gap %  seconds processor  day']
  for (const set of sets) {
    const records = recordsOf(set)
    if (records.length > 0) lines.push('', set.title, ...records.map(textOf))
  }
  for (const set of sideBySide) {
    const records = [...measured(set.id).values()]
    if (records.length > 0) lines.push('', `Constraint solver: ${set.kind}`, ...records.map(textOf))
  }
  return [...lines, '```']
}

function textOf(r) {
  const cells = [[r.jobs, 6], [r.machines, 8], [r.operations, 10], [r.value ?? '-', 11], [r.lower_bound ?? '-', 9], [r.best_known ?? '-', 9], [r.gap_percent?.toFixed(2) ?? '-', 7],
    [r.seconds.toFixed(1), 8], [r.processor_seconds?.toFixed(1) ?? '-', 9]]
  return r.instance.padEnd(18) + cells.map(([value, width]) => ' ' + String(value).padStart(width)).join('') + '  ' + r.day
}
