// Where measurements are kept: a file of JSON lines for each set, one line for each instance, the newest run counts.
import { existsSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs'
import { extname, join } from 'node:path'

export const here = new URL('.', import.meta.url).pathname
export const root = join(here, '..')

/** The folder of research instances: beside the project, or where TACKLINE_REFERENCE says; empty if there is none. */
export function referenceFolder() {
  const places = [process.env.TACKLINE_REFERENCE ?? '', join(root, '../shared/reference')]
  return places.find((place) => place !== '' && existsSync(join(place, 'jobshop'))) ?? ''
}

/** The files of a set by instance. */
export function filesOf(set, reference) {
  const found = new Map()
  for (const file of readdirSync(join(reference, set.folder)).sort()) {
    const instance = file.slice(0, file.length - extname(file).length)
    const chosen = set.instances ? set.instances.includes(instance) : set.files.test(instance)
    if (extname(file) !== '.tsv' && chosen) found.set(instance, join(reference, set.folder, file))
  }
  return found
}

/** The table of best known values of a set, if it is not measured against another measurement. */
export function boundsOf(set, reference) {
  if (set.against) return undefined
  return ['bounds.tsv', 'optima.tsv', 'best.tsv'].map((name) => join(reference, set.folder, name)).find(existsSync)
}

/** What was measured of a set, by instance. */
export function measured(id) {
  const file = join(here, 'measured', id + '.jsonl')
  const lines = existsSync(file) ? readFileSync(file, 'utf8').split('\n').filter(Boolean) : []
  return new Map(lines.map((line) => JSON.parse(line)).map((record) => [record.instance, record]))
}

/** The measurements of a set; those against another measurement get its values as best known. */
export function recordsOf(set) {
  const records = [...measured(set.id).values()]
  if (!set.against) return records
  const other = measured(set.against)
  return records.map(({ gap_percent, ...record }) => {
    const best = other.get(record.instance)?.value
    return best ? { ...record, best_known: best, gap_percent: (100 * (record.value - best)) / best } : record
  })
}

/** Keeps a measurement in the place of the older one of that instance. */
export function keep(id, record) {
  const all = measured(id).set(record.instance, record)
  mkdirSync(join(here, 'measured'), { recursive: true })
  const sorted = [...all.values()].sort((a, b) => a.instance.localeCompare(b.instance, 'en', { numeric: true }))
  writeFileSync(join(here, 'measured', id + '.jsonl'), sorted.map((r) => JSON.stringify(r) + '\n').join(''))
}

/** The rows of a table with tabs, as objects by column name. */
export function table(file) {
  const [head, ...rows] = readFileSync(file, 'utf8').trimEnd().split('\n').map((line) => line.split('\t'))
  return rows.map((row) => Object.fromEntries(head.map((name, i) => [name, row[i] ?? ''])))
}
