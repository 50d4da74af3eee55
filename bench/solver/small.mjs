// Proves the optimum of small plants. Reads the plants as lines of JSON (cmd/smallplants writes them), writes
// schedule/search/testdata/small-optima.tsv: a line each, with seed, cost in cents, proved or not, and the plan.
//
//   go run ./cmd/smallplants > plants.jsonl    (scripts/optima.sh does both)
//   node bench/solver/small.mjs < plants.jsonl > schedule/search/testdata/small-optima.tsv
//
// Options: --from N, --to N (seeds), --seconds N (each, 200 unless said), --workers N. All 500 take about eight minutes.
// Times are whole hours. The rules are those of docs/planning.md and the package comment of schedule, written anew as
// constraints; nothing is shared with the program.
import { inputLines, solve } from './solver.mjs'
import { SmallModel } from './small-model.mjs'

const option = (name, otherwise) => {
  const i = process.argv.indexOf('--' + name)
  return i < 0 ? otherwise : Number(process.argv[i + 1])
}
const from = option('from', 0)
const to = option('to', Infinity)
const seconds = option('seconds', 200)

console.log('# Small plants (scheduletest.Small) with their optima, proved by a general-purpose constraint solver; bench/solver/small.mjs makes this.')
console.log('# seed\tcents\tproved\tplan by operation: station, setup, load, run, unload, end (hours), batch')

for await (const line of inputLines()) {
  const plant = JSON.parse(line)
  if (plant.seed < from || plant.seed >= to) continue
  const model = new SmallModel(plant)
  const answer = await solve(model.cp, { seconds, workers: option('workers', 1) })
  const cost = answer.objective === null ? '-' : Math.round(answer.objective)
  const plan = answer.objective === null ? '' : model.plan(answer.solution)
  console.log([plant.seed, cost, answer.status === 'OPTIMAL' ? 'proved' : answer.status, plan].join('\t'))
}
process.exit(0)
