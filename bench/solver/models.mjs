#!/usr/bin/env node
// Solves models written by another program. Reads a JSON object a line from standard input:
//   {"name": "a", "seconds": 10, "workers": 1, "seed": 1, "model": {"variables": [{"domain": [0, 9]}], "constraints": [...], "objective": {...}}}
// where model is the solver's protocol message with names in camel case, and writes one a line:
//   {"name": "a", "status": "OPTIMAL", "objective": 3, "bound": 3, "solution": [3], "seconds": 0.01}
import { inputLines, solve } from './solver.mjs'

for await (const line of inputLines()) {
  const { name, model, ...limits } = JSON.parse(line)
  process.stdout.write(JSON.stringify({ name, ...(await solve(model, limits)) }) + '\n')
}
process.exit(0)
