#!/usr/bin/env node
// Turns the output of Go benchmarks on standard input into the part of the results that tells of plants: plans against dispatching
// rules, planning again after an event, the inner loops.
import { readFileSync } from 'node:fs'

const runs = new Map()
let folder = ''
for (const line of readFileSync(0, 'utf8').split('\n')) {
  if (line.startsWith('pkg: ')) folder = line.slice('pkg: tackline/'.length)
  const cells = line.trim().split(/\s+/)
  if (!cells[0].startsWith('Benchmark') || cells.length < 4 || Number.isNaN(Number(cells[1]))) continue
  const figures = {}
  for (let i = 2; i + 1 < cells.length; i += 2) figures[cells[i + 1]] = Number(cells[i])
  runs.set(folder + ' ' + cells[0].replace(/-\d+$/, ''), figures)
}

const rows = (pattern, cells) => [...runs].flatMap(([name, figures]) => {
  const match = name.match(pattern)
  return match ? [`| ${cells(match, figures).join(' | ')} |`] : []
})
const number = (x) => (x === undefined ? '-' : Math.round(x).toLocaleString('en'))
const yes = (is) => (is ? 'yes' : 'no')
const section = (title, about, head, lines) => (lines.length === 0 ? [] : [title, '', about, '', `| ${head.join(' | ')} |`, '|' + '---|'.repeat(head.length), ...lines, ''])

const limits = { 2000: 300, 20000: 2000 }
console.log([
  '## Plants', '',
  ...section('### Total cost against dispatching rules', 'Generated plants, 60 s, two workers; the best of six rules of the literature. To be reached: 25 % below.',
    ['operations', 'best rule', 'search', 'bound', 'per cent below the rule', 'is it'],
    rows(/AgainstRules\/(\d+)$/, ([, n], f) => [number(n), number(f['rule-cost']), number(f['search-cost']), number(f.bound), f['%below']?.toFixed(1), yes(f['%below'] >= 25)])),
  ...section('### Memory', 'Peak of the process that planned all of these, problems included. To be reached: 1 GiB.', ['MiB', 'is it'],
    rows(/BenchmarkPeak$/, (_, f) => [number(f.MiB), yes(f.MiB < 1024)])),
  ...section('### Planning again after one event',
    'Generated plants and the demo plant. To be reached: 300 ms for 2,000 operations, 2 s for 20,000; 15 operations moved inside the freeze window in the median.',
    ['plant', 'median ms', 'worst ms', 'moved in the median', 'is it'],
    rows(/Replan(?:Demo$|\/(\d+)$)/, ([, n], f) => [n ? number(n) + ' operations' : `demo, ${number(f.operations)} operations`, number(f['median-ms']), number(f['worst-ms']), number(f.moved),
      yes(f.moved <= 15 && f['median-ms'] <= (limits[n] ?? 300))])),
  ...section('### Inner loops', 'One change of a plan, kept or taken back. To be reached: no allocation.', ['search', 'ns a step', 'allocations', 'is it'],
    rows(/^(\S+) BenchmarkSteps(\/\S+)?$/, ([, pkg, sub], f) => [pkg + (sub ?? ''), number(f['ns/op']), number(f['allocs/op']), yes(f['allocs/op'] === 0)])),
].join('\n').trimEnd())
