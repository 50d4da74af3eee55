#!/usr/bin/env node
// Measures the search on the published sets and keeps the results in bench/measured. Needs a build.
//   node bench/run.mjs [--full] [--only SET,SET] [--seconds N] [--solver]
// --full: all instances and the comparison with the constraint solver, else a subset that takes less than an hour; --solver: that comparison too;
// --only: these sets only; --seconds: in place of the seconds of each set.
import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, extname, join } from 'node:path'
import { createInterface } from 'node:readline'
import { parseArgs } from 'node:util'
import { boundsOf, filesOf, here, keep, referenceFolder, root } from './files.mjs'
import { sets, sideBySide } from './sets.mjs'
import { check, readers } from './shops.mjs'

const { values: flags } = parseArgs({
  options: { full: { type: 'boolean', default: false }, solver: { type: 'boolean', default: false }, only: { type: 'string' }, seconds: { type: 'string' } },
})
const reference = referenceFolder()
if (reference === '') {
  console.log('SKIPPED: no folder of research instances at ../shared/reference or in TACKLINE_REFERENCE')
  process.exit(0)
}
const only = flags.only?.split(',')
const workers = 2

for (const set of sets) {
  if (only && !only.includes(set.id)) continue
  const files = [...filesOf(set, reference)].filter(([instance]) => flags.full || set.subset.includes(instance)).map(([, file]) => file)
  const more = (flags.full ? set.flags : set.subsetFlags ?? set.flags) ?? []
  const plans = mkdtempSync(join(tmpdir(), 'tackline-bench-'))
  const lines = await run(set, [join(root, 'bin/tackline'), 'bench', set.kind, ...more], files, plans)
  if (readers[set.kind]) prove(set, files, lines, plans)
  rmSync(plans, { recursive: true })
}
for (const set of sideBySide) {
  if (only ? !only.includes(set.id) : !flags.full && !flags.solver) continue
  if (!existsSync(join(here, 'solver/node_modules'))) {
    console.log(`${set.id}: SKIPPED: the constraint solver is not installed (npm ci in bench/solver)`)
    continue
  }
  await run(set, [process.execPath, join(here, 'solver/shop.mjs'), set.kind], [...filesOf(set, reference).values()])
}

/** Runs a command on the files of a set, one after the other, and keeps each line it prints. Plans of shops are checked. */
async function run(set, command, files, plans = '') {
  if (files.length === 0) return []
  const seconds = Number(flags.seconds ?? set.seconds)
  const bounds = boundsOf(set, reference)
  const args = [...command.slice(1), ...files, '--json', '--seconds', String(seconds), '--workers', String(workers)]
  if (bounds) args.push('--bounds', bounds)
  if (plans !== '') args.push('--schedule', plans)
  console.log(`${set.id}: ${files.length} files, ${seconds} s an instance`)
  const child = spawn(command[0], args, { stdio: ['ignore', 'pipe', 'inherit'] })
  const lines = []
  let used = 0
  const ended = new Promise((resolve) => child.on('close', resolve))
  for await (const line of createInterface({ input: child.stdout })) {
    const found = JSON.parse(line)
    lines.push(found)
    const now = processorSeconds(child.pid)
    if (now !== undefined) found.processor_seconds ??= Math.round((now - used) * 10) / 10
    used = now ?? used
    keep(set.id, { ...found, limit: seconds, workers, day: new Date().toISOString().slice(0, 10) })
    console.log(`  ${found.instance} ${found.value ?? '-'} ${found.gap_percent?.toFixed(2) ?? '-'} %`)
  }
  const code = await ended
  if (code !== 0) console.log(`${set.id}: ended with code ${code}`)
  return lines
}

/** The processor time that a running process has used, where the system tells: on a busy machine it is less than was asked for. */
function processorSeconds(pid) {
  try {
    const cells = readFileSync(`/proc/${pid}/stat`, 'utf8').replace(/^.*\) /, '').split(' ')
    return (Number(cells[11]) + Number(cells[12])) / 100
  } catch {
    return undefined // not this system, or over
  }
}

/** Checks the schedules of a set of shops with code that shares nothing with the program. */
function prove(set, files, lines, plans) {
  for (const file of files) {
    const instance = basename(file, extname(file))
    const line = lines.find((l) => l.instance === instance)
    const plan = join(plans, instance + '.csv')
    if (!line) continue
    const { makespan, wrong } = check(readers[set.kind](file), readFileSync(plan, 'utf8'))
    if (wrong.length > 0 || makespan !== line.value) {
      console.log(`${instance}: WRONG: makespan ${makespan}, printed ${line.value}; ${wrong.join('; ')}`)
      process.exitCode = 1
    }
  }
}
