// The rules of a plan as constraints on whole hours; see small.mjs.
import { LinearExpr } from 'or-tools-wasm/cp-sat'
import { CpModel } from './solver.mjs'

const ONE = 0, BATCH = 1, PLACES = 2
const PAUSE = 0, WHOLE = 1, THROUGH = 2
const ON_LOAD = 1, ON_RUN = 2

export class SmallModel {
  constructor(plant) {
    this.p = plant
    this.H = plant.horizon
    this.cp = new CpModel()
    this.cost = [] // [coefficient, expression]
    this.uses = plant.pools.map(() => Array.from({ length: this.H }, () => [])) // by pool and hour: [heads, literal]
    this.hoursOpen = plant.stations.map((s) => this.hours(s.open))
    this.hoursOver = plant.stations.map((s) => this.hours(s.overtime))
    this.heads = plant.pools.map((steps) => this.step(steps))
    this.windows()
    this.ops = plant.ops.map((o, i) => this.op(o, i))
    this.pairs()
    this.ops.forEach((v, i) => this.batchWork(v, i))
    this.ops.forEach((v, i) => this.setupWork(v, i))
    this.ops.forEach((v) => this.phases(v))
    this.sequences()
    plant.stations.forEach((s, i) => this.station(s, i))
    plant.links.forEach((l) => this.link(l))
    this.crews()
    this.objective()
  }

  hours(spans) {
    const open = new Array(this.H).fill(false)
    for (const [a, b] of spans) for (let h = Math.max(0, a); h < Math.min(b, this.H); h++) open[h] = true
    return open
  }

  step(steps) {
    const n = new Array(this.H).fill(0)
    for (const [at, heads] of steps) for (let h = Math.max(0, at); h < this.H; h++) n[h] = heads
    return n
  }

  time() { return this.cp.newIntVar(0, this.H) }
  when(literals, expression) { this.cp.add(expression).onlyEnforceIf(literals) }

  /** The needs of an operation in some phases, summed by pool. */
  needs(o, when) {
    const by = new Map()
    for (const [pool, heads, w] of o.needs ?? []) if (w & when) by.set(pool, (by.get(pool) ?? 0) + heads)
    return [...by]
  }

  /** The hours in which a phase makes progress on a station with a crew. */
  site(station, needs) {
    return this.hoursOpen[station].map((open, h) => open && needs.every(([pool, heads]) => this.heads[pool][h] >= heads))
  }

  /**
   * When operations can be: they load after what comes before, and end before their units are so late that the plan is dearer
   * than one that is known. The last unit that needs an operation sets the end.
   */
  windows() {
    const n = this.p.ops.length
    this.soonest = this.p.ops.map((o) => o.earliest)
    this.latest = new Array(n).fill(this.H)
    for (const u of this.p.units) this.latest[u.last] = Math.min(this.H, Math.max(u.due, 0) + Math.floor(this.p.atMost / u.late))
    const least = (i) => Math.min(...this.p.ops[i].can.map((a) => a[1] + a[2] + a[3]))
    for (let round = 0; round < n; round++) {
      for (const l of this.p.links) {
        const overlap = l.transfer > 0 && l.pieces > l.transfer
        this.soonest[l.to] = Math.max(this.soonest[l.to], this.soonest[l.from] + (overlap ? 1 : least(l.from)) + l.lag)
        this.latest[l.from] = Math.min(this.latest[l.from], this.latest[l.to] - (overlap ? 1 : least(l.to)) - l.lag)
      }
    }
  }

  op(o, i) {
    const m = this.cp
    const v = { o, i, from: this.soonest[i], to: this.latest[i] }
    v.setup = m.newIntVar(0, v.to)
    for (const x of ['load', 'run', 'unload', 'end']) v[x] = m.newIntVar(v.from, v.to)
    v.stations = o.can.map((a) => a[0])
    v.on = new Map(v.stations.map((s) => [s, m.newBoolVar()]))
    m.addExactlyOne([...v.on.values()])
    v.takes = this.p.stations[v.stations[0]].takes
    v.sets = v.takes === ONE || v.takes === BATCH
    return v
  }

  /** Orders of two operations on a station: i first, j first, or together in a batch. */
  pairs() {
    const m = this.cp
    this.before = new Map()
    this.together = new Map()
    const key = (i, j) => i * 100 + j
    this.first = (i, j) => this.before.get(key(i, j))
    this.joint = (i, j) => this.together.get(key(Math.min(i, j), Math.max(i, j)))
    for (let i = 0; i < this.ops.length; i++) {
      for (let j = i + 1; j < this.ops.length; j++) {
        const a = this.ops[i], b = this.ops[j]
        const common = a.stations.filter((s) => b.on.has(s))
        if (common.length === 0 || !a.sets) continue
        const ab = m.newBoolVar(), ba = m.newBoolVar()
        this.before.set(key(i, j), ab)
        this.before.set(key(j, i), ba)
        const ways = [ab, ba]
        if (a.takes === BATCH && a.o.key === b.o.key && a.o.family === b.o.family && a.o.closed === b.o.closed) {
          const t = m.newBoolVar()
          this.together.set(key(i, j), t)
          ways.push(t)
          for (const x of ['setup', 'load', 'run', 'unload', 'end']) this.when([t], a[x].eq(b[x]))
        }
        m.addAtMostOne(ways)
        for (const s of common) m.addBoolOr([...ways, a.on.get(s).not(), b.on.get(s).not()])
        for (const w of ways) { // either way they are on one station
          for (const s of a.stations) if (!b.on.has(s)) m.addBoolOr([w.not(), a.on.get(s).not()])
          for (const s of b.stations) if (!a.on.has(s)) m.addBoolOr([w.not(), b.on.get(s).not()])
          for (const s of common) m.addBoolOr([w.not(), a.on.get(s).not(), b.on.get(s)])
        }
      }
    }
    for (let i = 0; i < this.ops.length; i++) for (let j = i + 1; j < this.ops.length; j++) for (let k = j + 1; k < this.ops.length; k++) {
      const x = this.joint(i, j), y = this.joint(j, k), z = this.joint(i, k)
      if (x && y && z) for (const [p, q, r] of [[x, y, z], [x, z, y], [y, z, x]]) m.addBoolOr([p.not(), q.not(), r])
    }
  }

  /** Work of load, run and unload: of the operation, or of its batch; and whether it speaks for the batch. */
  batchWork(v, i) {
    const m = this.cp
    const mates = this.ops.map((w, j) => [w, this.joint(i, j)]).filter(([, t]) => t)
    v.leads = null // always
    v.own = v.sets ? v.o.setup : 0
    v.loadWork = v.runWork = v.unloadWork = null // as the station says
    if (v.takes !== BATCH) return
    const at = (o) => o.can[0] // the same on all stations of a booth
    m.addLinearConstraint(sum([v.o.size, ...mates.map(([w, t]) => t.times(w.o.size))]), 0, this.p.stations[v.stations[0]].capacity)
    if (mates.length === 0) return
    v.loadWork = this.total(at(v.o)[1], mates.map(([w, t]) => [t, at(w.o)[1]]))
    v.unloadWork = this.total(at(v.o)[3], mates.map(([w, t]) => [t, at(w.o)[3]]))
    v.runWork = this.largest(at(v.o)[2], mates.map(([w, t]) => [t, at(w.o)[2]]))
    v.own = this.largest(v.o.setup, mates.map(([w, t]) => [t, w.o.setup]))
    const earlier = mates.filter(([w]) => w.i < i).map(([, t]) => t)
    if (earlier.length === 0) return
    v.leads = m.newBoolVar()
    m.addBoolOr([v.leads, ...earlier])
    for (const t of earlier) m.addImplication(t, v.leads.not())
  }

  /** Work that is own, plus that of those who take part; with the values it can have. */
  total(own, others) {
    const parts = others.filter(([, n]) => n > 0)
    if (parts.length === 0) return own
    const most = own + parts.reduce((s, [, n]) => s + n, 0)
    const w = this.cp.newIntVar(own, most)
    this.cp.add(w.eq(sum([own, ...parts.map(([t, n]) => t.times(n))])))
    w.values = range(own, most)
    return w
  }

  /** The largest of own work and that of those who take part. */
  largest(own, others) {
    const parts = others.filter(([, n]) => n > own)
    if (parts.length === 0) return own
    const w = this.cp.newIntVar(own, Math.max(...parts.map(([, n]) => n)))
    this.cp.addMaxEquality(w, [this.cp.newConstant(own), ...parts.map(([t, n]) => t.times(n))])
    w.values = [...new Set([own, ...parts.map(([, n]) => n)])]
    return w
  }

  changeover(centre, a, b) { return this.p.changeover[centre]?.[a]?.[b] ?? 0 }

  /** Setup work: own, and the changeover from the last family before on the station. */
  setupWork(v, i) {
    const m = this.cp
    const centre = this.p.stations[v.stations[0]].centre
    v.setupWork = v.own
    if (!v.sets || v.o.family === 0 || (this.p.changeover[centre] ?? []).length === 0) return
    const others = this.ops.filter((w) => w !== v && w.o.family > 0 && this.first(w.i, i))
    const from = []
    const terms = [], changes = []
    const change = (literal, hours) => {
      terms.push(literal.times(hours))
      changes.push(hours)
    }
    for (const s of v.stations) {
      const x = m.newBoolVar()
      from.push(x)
      m.addImplication(x, v.on.get(s))
      for (const w of others) m.addBoolOr([x.not(), this.first(w.i, i).not()])
      change(x, this.changeover(centre, this.p.stations[s].family, v.o.family))
    }
    for (const w of others) {
      const x = m.newBoolVar()
      from.push(x)
      m.addImplication(x, this.first(w.i, i))
      for (const q of others) {
        if (q === w) continue
        const fine = [this.first(q.i, w.i), this.joint(q.i, w.i)].filter(Boolean)
        m.addBoolOr([x.not(), this.first(q.i, i).not(), ...fine])
      }
      change(x, this.changeover(centre, w.o.family, v.o.family))
    }
    m.addExactlyOne(from)
    const owns = typeof v.own === 'number' ? [v.own] : v.own.values
    v.setupWork = m.newIntVar(0, Math.max(...owns) + Math.max(...changes))
    v.setupWork.values = [...new Set(owns.flatMap((n) => changes.map((c) => n + c)))]
    m.add(v.setupWork.eq(sum([v.own, ...terms])))
  }

  /** The four phases, each a row of what it can be: station, work, begin, done. */
  phases(v) {
    const onLoad = this.needs(v.o, ON_LOAD), onRun = v.o.closed === THROUGH ? [] : this.needs(v.o, ON_RUN)
    const work = (n) => (a) => a[n]
    v.setupDone = this.phase(v, { begin: v.setup, next: v.load, work: v.setupWork, needs: onLoad, closed: PAUSE, setup: true })
    this.phase(v, { begin: v.load, next: v.run, work: v.loadWork ?? work(1), needs: onLoad, closed: PAUSE })
    v.runDone = this.phase(v, { begin: v.run, next: v.unload, work: v.runWork ?? work(2), needs: onRun, closed: v.o.closed })
    this.phase(v, { begin: v.unload, next: v.end, work: v.unloadWork ?? work(3), needs: onLoad, closed: PAUSE })
    const pallets = (s) => this.p.stations[s].takes === ONE && this.p.stations[s].pallets >= 2
    const beside = (a) => (pallets(a[0]) ? a[4] : 0)
    if (v.o.can.some((a) => beside(a) > 0)) {
      this.phase(v, { begin: v.run, next: v.end, work: beside, needs: onLoad, closed: PAUSE, beside: true })
    }
  }

  phase(v, x) {
    const m = this.cp
    const fixed = typeof x.work !== 'object' // a number, or by station; else a variable with its values
    const of = typeof x.work === 'function' ? x.work : () => x.work
    if (fixed && v.o.can.every((a) => of(a) === 0)) {
      if (!x.beside) m.add(x.begin.eq(x.next))
      return x.begin
    }
    const done = m.newIntVar(0, v.to)
    const rows = v.leads ? [v.leads.not()] : [] // what follows the lead of its batch has no row of its own
    for (const a of v.o.can) {
      const open = this.site(a[0], x.needs)
      const works = fixed ? [of(a)] : x.work.values
      for (const w of works) {
        if (w === 0) {
          const row = m.newBoolVar()
          rows.push(row)
          m.addImplication(row, v.on.get(a[0]))
          this.when([row], done.eq(x.begin))
          if (!x.beside) this.when([row], x.begin.eq(x.next))
          if (!fixed) this.when([row], x.work.eq(0))
          continue
        }
        for (let b = x.setup ? 0 : v.from; b < v.to; b++) {
          if (!open[b] && !x.beside) continue
          const d = this.done(open, b, w, x.closed)
          if (d > v.to) continue
          const row = m.newBoolVar()
          rows.push(row)
          m.addImplication(row, v.on.get(a[0]))
          this.when([row], x.begin.eq(b))
          this.when([row], done.eq(d))
          if (!fixed) this.when([row], x.work.eq(w))
          for (let h = b; h < d; h++) {
            if (!open[h] && x.closed !== THROUGH) continue
            for (const [pool, heads] of x.needs) this.uses[pool][h].push([heads, row])
          }
          let cents = x.setup ? w * this.p.weights.setup : 0
          if (!x.beside) for (let h = b; h < d; h++) if (this.hoursOver[a[0]][h]) cents += this.p.weights.overtime
          if (cents > 0) this.cost.push([cents, row])
        }
      }
    }
    m.addExactlyOne(rows)
    m.add(done.le(x.next))
    return done
  }

  /** The hour at which work begun at b is done, or a time after the horizon. */
  done(open, b, work, closed) {
    if (closed === THROUGH) return b + work
    let left = work
    for (let h = b; h < this.H; h++) {
      if (open[h]) left--
      else if (closed === WHOLE) return this.H + 1
      if (left === 0) return h + 1
    }
    return this.H + 1
  }

  /** What the order of two operations on a station means. */
  sequences() {
    for (const [key, lit] of this.before) {
      const a = this.ops[Math.floor(key / 100)], b = this.ops[key % 100]
      for (const s of a.stations) {
        if (!b.on.has(s)) continue
        const st = this.p.stations[s]
        if (st.takes !== ONE || st.pallets < 2) {
          this.when([lit, a.on.get(s)], a.end.le(b.setup))
          continue
        }
        this.when([lit, a.on.get(s)], a.runDone.le(b.run))
        if (typeof b.setupWork === 'number') {
          if (b.setupWork > 0) this.when([lit, a.on.get(s)], a.runDone.le(b.setup))
          continue
        }
        b.isSet ??= this.positive(b.setupWork)
        this.when([lit, a.on.get(s), b.isSet], a.runDone.le(b.setup))
      }
    }
  }

  positive(work) {
    const x = this.cp.newBoolVar()
    this.when([x], work.ge(1))
    this.when([x.not()], work.le(0))
    return x
  }

  /** Pallets and places: how much may be there at once. */
  station(st, s) {
    const m = this.cp
    const here = this.ops.filter((v) => v.on.has(s))
    const during = (v, a, b) => m.newOptionalIntervalVar(v[a], this.between(v[a], v[b]), v[b], v.on.get(s))
    if (st.takes === ONE && st.pallets >= 2) m.addCumulative(here.map((v) => during(v, 'load', 'end')), here.map(() => 1), st.pallets)
    if (st.takes === PLACES) m.addCumulative(here.map((v) => during(v, 'run', 'end')), here.map((v) => v.o.size), st.capacity)
    if (st.takes === ONE && st.pallets < 2 && here.length > 1) m.addNoOverlap(here.map((v) => during(v, 'setup', 'end')))
  }

  between(from, to) {
    const d = this.time()
    this.cp.add(to.eq(from.plus(d)))
    return d
  }

  /** What comes over a link when it leaves at a time: the lag, then the first truck. */
  arrival(l, leaves) {
    if (l.carrier < 0) return leaves.plus(l.lag)
    const c = this.p.carriers[l.carrier]
    const rows = []
    for (let t = 0; t <= this.H; t++) {
      const d = c.departures.find((x) => x >= t + l.lag)
      if (d !== undefined) rows.push([t, d + c.transit])
    }
    const at = this.cp.newIntVar(0, 2 * this.H)
    this.cp.addAllowedAssignments([leaves, at], rows)
    return at
  }

  /** The hours that pieces are under way on a link. They wait for the truck. */
  way(l) {
    return l.lag + (l.carrier < 0 ? 0 : this.p.carriers[l.carrier].transit)
  }

  link(l) {
    const m = this.cp
    const a = this.ops[l.from], b = this.ops[l.to]
    const lots = l.transfer > 0 && l.pieces > l.transfer ? Math.ceil(l.pieces / l.transfer) : 1
    for (let k = 1; k <= lots; k++) {
      const at = this.arrival(l, k === lots ? a.end : this.part(a, k * l.transfer, l.pieces, false))
      if (k === 1) m.add(b.load.ge(at))
      else m.add(this.part(b, (k - 1) * l.transfer, l.pieces, true).ge(at)) // until then the lots before are enough
      if (k === lots && l.wait > 0) {
        this.cost.push([l.wait, b.load])
        this.cost.push([-l.wait, a.end.plus(this.way(l))])
        this.hold(a, l.wait)
        this.beforeDwell(l.from, l.wait)
      }
    }
  }

  /** The terms, each a factor and a variable or a number, of the time from the load of an operation to its end in which nothing is done to it. */
  held(v) {
    const pallets = (s) => this.p.stations[s].takes === ONE && this.p.stations[s].pallets >= 2
    const terms = [[1, v.end], [-1, v.load]]
    const parts = [[v.loadWork, 1], [v.runWork, 2], [v.unloadWork, 3]]
    for (const [shared] of parts) if (typeof shared === 'object' && shared !== null) terms.push([-1, shared])
    for (const a of v.o.can) {
      const own = parts.map(([shared, n]) => (shared === null ? a[n] : typeof shared === 'number' ? shared : 0))
      const work = own[0] + Math.max(own[1] + own[2], pallets(a[0]) ? a[4] : 0)
      if (work > 0) terms.push([-work, v.on.get(a[0])])
    }
    return terms
  }

  /** What a branch costs from the load of its last operation to its end whenever nothing is done to it. */
  hold(v, wait) {
    for (const [times, x] of this.held(v)) this.cost.push([wait * times, x])
  }

  /**
   * What a branch costs while it waits before a dwell that ends it: from the arrival of the last of what comes before, and what that was kept
   * on its station.
   */
  beforeDwell(op, wait) {
    const v = this.ops[op]
    const into = this.p.links.filter((l) => l.to === op)
    if (into.length === 0 || this.p.stations[v.o.can[0][0]].takes !== PLACES) return
    const m = this.cp
    const waited = m.newIntVar(0, v.to)
    const held = (o) => {
      const h = m.newIntVar(0, o.to)
      m.add(h.eq(sum(this.held(o).map(([times, x]) => x.times(times)))))
      return h
    }
    const ready = [Math.max(0, v.o.earliest), ...into.map((l) => this.ops[l.from].end.plus(this.way(l)).minus(held(this.ops[l.from])))]
    m.addExactlyOne(
      ready.map((at) => {
        const last = m.newBoolVar()
        this.when([last], waited.ge(v.load.minus(at)))
        return last
      }),
    )
    this.cost.push([wait, waited])
  }

  /** The first hour (or the last, if latest) at which the run has done so many of its pieces and no more. */
  part(v, pieces, of, latest) {
    const rows = []
    const needs = v.o.closed === THROUGH ? [] : this.needs(v.o, ON_RUN)
    v.place ??= this.placeOf(v)
    v.o.can.forEach((a, n) => {
      const open = this.site(a[0], needs)
      const work = Math.floor((pieces * a[2]) / of)
      for (let b = v.from; b <= v.to; b++) {
        let t = work > 0 ? this.done(open, b, work, v.o.closed === THROUGH ? THROUGH : PAUSE) : b
        if (t > this.H) continue
        if (latest && v.o.closed !== THROUGH) while (t < this.H && !open[t]) t++
        rows.push([n, b, t])
      }
    })
    const at = this.time()
    this.cp.addAllowedAssignments([v.place, v.run, at], rows)
    return at
  }

  placeOf(v) {
    const n = this.cp.newIntVar(0, v.o.can.length - 1)
    v.o.can.forEach((a, k) => this.when([v.on.get(a[0])], n.eq(k)))
    return n
  }

  crews() {
    this.uses.forEach((hours, pool) => hours.forEach((use, h) => {
      if (use.length > 0) this.cp.addLinearConstraint(weighted(use), 0, this.heads[pool][h])
    }))
  }

  objective() {
    const m = this.cp
    for (const u of this.p.units) {
      const late = m.newIntVar(0, this.H)
      m.add(late.ge(this.ops[u.last].end.minus(u.due)))
      this.cost.push([u.late, late])
    }
    this.ops.forEach((v, i) => {
      if (v.o.pinned !== null) {
        const over = m.newIntVar(0, this.H)
        m.add(over.ge(v.load.minus(v.o.pinned)))
        this.cost.push([this.p.weights.pin, over])
      }
      const keep = this.p.keep[i]
      if (!keep) return
      const moved = m.newBoolVar()
      this.when([moved.not()], v.setup.eq(keep[1]))
      m.addBoolOr([moved, v.on.get(keep[0])])
      this.cost.push([this.p.weights.move, moved])
    })
    const total = weighted(this.cost)
    if (this.cost.length > 0) m.add(total.le(this.p.atMost))
    m.minimize(total)
  }

  /** The plan found, as text: an operation for each field, its numbers joined by commas. */
  plan(solution) {
    const value = (x) => solution[x.index]
    return this.ops.map((v, i) => {
      const station = v.stations.find((s) => value(v.on.get(s)) === 1)
      let batch = i + 1
      for (let j = i - 1; j >= 0; j--) if (this.joint(i, j) && value(this.joint(i, j)) === 1) batch = j + 1
      return [station, ...[v.setup, v.load, v.run, v.unload, v.end].map(value), v.takes === BATCH ? batch : 0].join(',')
    }).join(' ')
  }
}

/** A sum of numbers and expressions. */
function sum(terms) {
  const offset = terms.reduce((a, t) => a + (typeof t === 'number' ? t : 0), 0)
  const expressions = terms.filter((t) => typeof t !== 'number')
  return expressions.length === 0 ? offset : LinearExpr.sum(expressions).plus(offset)
}

/** A sum of [coefficient, expression]. */
function weighted(terms) {
  return LinearExpr.weightedSum(terms.map((t) => t[1]), terms.map((t) => t[0]))
}

function range(from, to) {
  return Array.from({ length: to - from + 1 }, (_, i) => from + i)
}
