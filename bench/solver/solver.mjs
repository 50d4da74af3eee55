// The general-purpose constraint solver that plans are compared with, behind one function. It knows nothing of plants or shops.
import { CpModel, CpSolver } from 'or-tools-wasm/cp-sat'

export { CpModel }

/**
 * Solves a model within a wall time.
 * @param {CpModel | object} model a model, or its protocol message as an object (variables, constraints, objective)
 * @param {{seconds?: number, workers?: number, seed?: number}} [limits] 60 s, 2 workers and seed 1 unless said
 * @returns {Promise<{status: string, objective: number | null, bound: number | null, solution: number[], seconds: number}>}
 *   status is OPTIMAL, FEASIBLE, INFEASIBLE, UNKNOWN or MODEL_INVALID; objective is null if no solution was found; solution has
 *   one value for each variable
 */
export async function solve(model, limits = {}) {
  const { seconds = 60, workers = 2, seed = 1 } = limits
  const asked = model instanceof CpModel ? model : new CpModel(model)
  const solver = new CpSolver()
  const began = performance.now()
  const status = solver.statusName(await solver.solve(asked, { maxTimeInSeconds: seconds, numSearchWorkers: workers, randomSeed: seed }))
  const answer = solver.response_proto ?? {}
  const found = status === 'OPTIMAL' || status === 'FEASIBLE'
  return {
    status,
    objective: found ? Number(answer.objectiveValue ?? 0) : null,
    bound: answer.bestObjectiveBound === undefined ? null : Number(answer.bestObjectiveBound),
    solution: (answer.solution ?? []).map(Number),
    seconds: (performance.now() - began) / 1000,
  }
}

/** Gives the lines of standard input one by one. */
export async function* inputLines() {
  let rest = ''
  for await (const part of process.stdin.setEncoding('utf8')) {
    const lines = (rest + part).split('\n')
    rest = lines.pop() ?? ''
    yield* lines.filter((line) => line.trim() !== '')
  }
  if (rest.trim() !== '') yield rest
}
