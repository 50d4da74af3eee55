#!/usr/bin/env python3
"""Checks a plan against its shop book with plain arithmetic; Python 3.9 or newer, nothing else.

    tackline import FILE --data DATA && tackline export BOOK --data DATA     # or any book that is a folder of CSV files
    tackline plan BOOK --out PLAN
    python3 docs/check_plan.py BOOK PLAN

Written from formats.md and planning.md alone, beside the program, as an example of how anyone can check a plan with a
script of his own. shop_book.py reads the book. Where a formula uses a function that shop_book.py does not know, the script
says how many times it could not check; `tackline verify` checks everything. Exit code 1: something is broken.
"""
import math, re, sys
from collections import Counter, defaultdict
from shop_book import Book, first, inside, instant, length, pattern, seconds, slower, stamp, table, value, wall

PHASES = ["setup_start", "start", "run", "unload", "end"]
faults, done, skipped = [], Counter(), Counter()


def expect(ok, check, text):
    done[check] += 1
    if not ok:
        faults.append(f"{check}: {text}")


class Row:
    """One operation of the plan with its times, its work and the people it needs."""

    def __init__(self, book, r, options):
        self.__dict__.update(r)
        self.book = book
        self.key, self.at = f"{r['job']} op {r['op']}", [instant(r[p]) for p in PHASES]
        self.free, self.pieces = r["state"] == "", float(r["pieces"])
        self.what = next(o for o in book.ops[self.item] if o["op"] == self.op)
        self.env = (options.get(self.unit, {}), book.attribute[self.item], self.pieces)
        self.centre = book.centre[self.what["centre"]]
        self.takes, self.plant = self.centre["takes"], self.centre["plant"]
        self.family, self.batch_key = (pattern(self.what[c], *self.env) for c in ("setup_family", "batch_key"))
        size = self.number("size", 1)
        self.size = None if size is None else size * self.pieces
        able = {a["station"]: float(a["speed"] or 1) for a in book.able if (a["item"], a["op"]) == (self.item, self.op)}
        self.able = able or {s["station"]: 1 for s in book.stations if s["centre"] == self.what["centre"]}
        self.times()

    def times(self):
        """Work of setup, load, run and unload on its station, and of the load crew beside the run."""
        station = self.book.station.get(self.station, {})
        speed, q = float(station.get("speed") or 1) * self.able.get(self.station, 1), int(self.pieces)
        setup, load, run, unload = (seconds(self.number(c)) for c in ("setup", "load", "run", "unload"))
        nature, beside = self.what["nature"], 0
        if nature == "attended":
            load, run, unload = 0, None if None in (load, run, unload) else q * (load + unload) + slower(q * run, speed), 0
        elif nature == "tended":
            run = None if run is None else slower(q * run, speed)
            if int(station.get("pallets") or 1) > 1 and load is not None and unload is not None:
                beside = (q - 1) * (load + unload)
            else:
                load, unload = (None if t is None else q * t for t in (load, unload))
        else:
            run = None if run is None else slower(run, speed)
            if nature in ("dwell", "away"):
                setup, load, unload = 0, 0, 0
        self.work, self.beside = [setup, load, run, unload], beside
        self.closed = "through" if nature == "dwell" else self.what["closed"] or "pause"
        alone = nature in ("dwell", "away")
        crews = [c for c in self.book.crews if (c["item"], c["op"]) == (self.item, self.op) and not alone]
        always = lambda kind: ("both", "", kind, "load" if nature == "attended" else "")
        needs = lambda kind: tuple(sorted((c["pool"], int(c["heads"] or 1)) for c in crews if c["for"] in always(kind)))
        run_crew = () if self.closed == "through" else needs("run")
        self.crew = [needs("load"), needs("load"), run_crew, needs("load")]

    def number(self, column, empty=0):
        v = value(self.what[column], *self.env) if self.what[column] else empty
        if v is None:
            skipped[f"{column} of an operation"] += 1
        return v

    def passes_on(self, book):
        """When its first transfer lot is through, or the whole job."""
        lot = int(self.what["transfer_quantity"] or 0)
        if not 0 < lot < self.pieces or self.work[2] is None:
            return self.at[4]
        spans = inside(book.open(self.station, self.crew[2]), self.at[2], self.at[4])
        return first(spans, self.work[2] * lot // int(self.pieces))[-1][1]


def check_phases(book, r, work):
    """Every phase begins and works in open time; each has time for its work."""
    for i in range(4):
        a, b, need = r.at[i], r.at[i + 1], work[i]
        expect(a <= b, "order of phases", f"{r.key}: {PHASES[i + 1]} before {PHASES[i]}")
        if need == 0:
            expect(a == b, "duration", f"{r.key} {PHASES[i]}: it has no work, and takes {b - a} s")
        if a >= b and not need:
            continue
        spans = inside(book.open(r.station, r.crew[i]), a, b)
        through = i == 2 and r.closed == "through"
        expect(spans and spans[0][0] == a, "begins in open time", f"{r.key} {PHASES[i]} at {r.__dict__[PHASES[i]]}")
        have = b - a if through else spans[0][1] - a if spans and i == 2 and r.closed == "whole" else length(spans)
        if need is not None:
            expect(have >= need, "duration", f"{r.key} {PHASES[i]}: {have} s of open time, {need} s of work")


def check_station(book, name, rows):
    station, takes = book.station[name], rows[0].takes
    groups = defaultdict(list)
    for r in rows:
        groups[r.batch if takes == "batch" and r.batch else r.key].append(r)
    groups = sorted(groups.values(), key=lambda g: g[0].at[2])  # changeovers go by the order of runs
    family = station["initial_family"]
    for g in groups:
        r = g[0]
        if len(g) > 1:
            expect(all((m.at, m.batch_key, m.family, m.closed) == (r.at, r.batch_key, r.family, r.closed) for m in g),
                   "batch is one", f"{name} batch {r.batch}")
        if takes == "batch" and r.free and all(m.size is not None for m in g):
            expect(sum(m.size for m in g) <= float(station["capacity"]) + 1e-6, "batch capacity", f"{name} batch {r.batch} {r.key}")
        columns = list(zip(*(m.work for m in g)))
        work = [None if None in c else f(c) for c, f in zip(columns, (max, sum, max, sum))]
        if takes in ("one", "batch") and work[0] is not None:
            work[0] += book.changeover(r.what["centre"], family, r.family)
        family = r.family or family
        if r.free:
            check_phases(book, r, work)
        r.spent = work
    pallets, busy = int(station["pallets"] or 1), []
    for g in groups if takes in ("one", "batch") else []:
        t = g[0].at
        busy += [(t[0], t[4], g[0])] if pallets < 2 else [(*worked(book, g[0], i), g[0]) for i in (0, 2)]
    busy = sorted((b for b in busy if b[1] > b[0]), key=lambda b: b[:2])
    for one, two in zip(busy, busy[1:]):
        expect(one[1] <= two[0] or not (one[2].free or two[2].free), "one at a time", f"{name}: {one[2].key} and {two[2].key}")
    if pallets > 1:
        level("pallets", name, [(g[0].at[1], g[0].at[4], 1, g[0].free) for g in groups], pallets)
    if takes == "places":
        level("places", name, [(r.at[2], r.at[4], r.size, r.free) for r in rows if r.size is not None], float(station["capacity"]))
    return groups


def worked(book, r, i):
    """From the begin of a phase to the end of its work; work that is not known counts as a second."""
    if r.free and r.spent[i] is None:
        return r.at[i], r.at[i] + 1
    if not r.free or r.closed == "through":
        return r.at[i], r.at[i + 1]
    spans = first(inside(book.open(r.station, r.crew[i]), r.at[i], r.at[i + 1]), r.spent[i])
    return r.at[i], spans[-1][1] if spans else r.at[i]


def level(check, name, uses, most):
    """Uses (from, to, how much, free) never exceed most; a number, or spans (from, to, number)."""
    steps = defaultdict(lambda: [0, 0, 0])
    for a, b, n, free in uses:
        for t, sign in ((a, 1), (b, -1)):
            steps[t][0] += sign * n
            steps[t][1] += sign * free
    spans = [] if isinstance(most, float) or isinstance(most, int) else most
    for a, b, n in spans:
        steps[a][2] += n
        steps[b][2] -= n
    used = free = have = 0
    for t in sorted(steps):
        used, free, have = used + steps[t][0], free + steps[t][1], have + steps[t][2]
        expect(used <= (have if spans else most) + 1e-6 or not free, check, f"{name}: {used} in use at {stamp(t)}")


def check_crews(book, groups):
    uses = defaultdict(list)
    for g in groups:
        r = g[0]
        for i in range(4):
            spans = inside(book.open(r.station, r.crew[i] if r.free else ()), r.at[i], r.at[i + 1])
            spans = first(spans, r.spent[i]) if r.free else spans
            heads = Counter()
            for m in g:
                for pool, n in m.crew[i]:
                    heads[pool] = max(heads[pool], n)
            for pool, n in heads.items():
                uses[pool] += [(a, b, n, r.free) for a, b in spans]
        beside = first(inside(book.open(r.station, r.crew[1]), r.at[2], r.at[4]), r.beside) if r.free else []
        for pool, n in r.crew[1]:
            uses[pool] += [(a, b, n, True) for a, b in beside]
    for pool, u in uses.items():
        level("crew", pool, u, book.heads[pool])


def options_of(book, line):
    out = {}
    given = dict(map(str.strip, p.split("=", 1)) for p in (line["options"] or "").split(";") if p.strip())
    for o in (o for o in book.options if o["product"] == line["product"]):
        v = given.get(o["option"], o["default"])
        out[o["option"]] = float(v) if o["kind"] == "number" else v in ("yes", "true", "1", "x") if o["kind"] == "yes-no" else v
    return out


def check_jobs(book, rows, kits, options, products):
    """Every operation is there; in order within its job; parts come before the operation that consumes them."""
    jobs = defaultdict(list)
    for r in rows:
        jobs[r.job].append(r)
    covered = {(k["job"], k["op"], k["item"]) for k in kits if not k["source"].startswith("job ")}
    for unit, product in products.items():
        expect(f"{unit}/{product}" in jobs, "every unit", f"{unit} has no job")
    for job, ops in jobs.items():
        env = ops[0].env
        want = [o["op"] for o in book.ops[ops[0].item] if value(o["when"], *env) is not False]
        expect([r.op for r in ops] == want, "every operation", f"{job}: {[r.op for r in ops]}, wanted {want}")
        for a, b in zip(ops, ops[1:]):
            joins(book, a, b)
        for p in (p for p in book.parts if p["parent"] == ops[0].item):
            part, op = pattern(p["component"], *env), next((r for r in ops if r.op == p["op"]), ops[0])
            if value(p["when"], *env) is False or part is None or book.item[part]["kind"] != "made":
                continue
            if book.item[part]["policy"] != "stock" and ops[0].unit:
                made = f"{ops[0].unit}/{part}"
                children = [c for j, c in jobs.items() if j == made or j.startswith(made + "+")]  # parts of a lot: +2, +b
                expect(children or (job, op.op, part) in covered, "every part", f"{op.key} needs {part}, and nothing makes it")
                if not children or made + "#2" in jobs:  # with #2 it is not said which of them goes where
                    continue
                for c in children:
                    joins(book, c[-1], op)
                each, pieces = value(p["quantity"], *env), sum(c[0].pieces for c in children)
                if each is not None and (job, op.op, part) not in covered:
                    expect(pieces >= each * ops[0].pieces, "pieces of a job", f"{made}: {pieces}")
    return jobs


def joins(book, a, b):
    if not b.free or not b.station or not a.station:
        return
    lot = a.passes_on(book)
    expect(b.at[1] >= book.arrives(lot, a.plant, b.plant), "order and joins", f"{b.key} begins before {a.key} is there")
    expect(b.at[4] >= book.arrives(a.at[4], a.plant, b.plant), "order and joins", f"{b.key} ends before {a.key} is there")


def check_hands(book, rows):
    """What is planned by hand, for work that the floor has not fixed."""
    at = {(r.job, r.op): r for r in rows if r.free}
    forbidden = lambda r: {f["station"] for f in book.forbids if (f["job"], f["op"]) == (r.job, r.op)}
    for p in book.pins + book.forbids:
        r, begin = at.get((p["job"], p["op"])), p.get("begin") or p.get("not_before")
        if r and begin:
            expect(r.at[1] >= wall(begin, book.zone[r.plant]), "by hand: not before", f"{r.key} before {begin}")
        if r and p["station"] and "begin" in p:
            expect(r.station == p["station"], "by hand: pinned", f"{r.key} on {r.station}, not {p['station']}")
        elif r and p["station"] and set(r.able) - forbidden(r):
            expect(r.station != p["station"], "by hand: forbidden", f"{r.key} on {r.station}")


def factor(book, unit):
    """How many times what its class says a late day of a unit costs; None if a job says it, as its pegs are not read here."""
    rows = {(p["of"], p["name"]): float(p["factor"]) for p in book.priorities}
    if any(of == "job" for of, _ in rows):
        return None
    line = unit.rsplit("-", 1)[0]
    names = (("unit", unit), ("line", line), ("order", line.rsplit("-", 1)[0]))
    return next((rows[n] for n in names if n in rows), 1)


def check_files(book, folder, jobs, now, kits, rows):
    byday, units = {c["class"]: float(c["late_per_day"] or 400) for c in book.classes}, table(folder, "units")
    why = defaultdict(list)
    for w in table(folder, "why"):
        why[w["unit"]].append(w)
    for u in units:
        if not u["ship"]:
            continue
        due, ship = instant(u["due"]), instant(u["ship"])
        slack = (due - ship) / 3600
        expect(ship == jobs[f"{u['unit']}/{u['product']}"][-1].at[4], "ship date", u["unit"])
        expect(abs(slack - float(u["slack_hours"])) < .001, "slack", f"{u['unit']}: {slack}")
        expect(abs(max(0, -slack) / 24 - float(u["late_days"])) < .001, "late days", u["unit"])
        times = factor(book, u["unit"])
        if times is None:
            skipped["late cost of a unit"] += 1
        else:
            expect(abs(max(0, -slack) / 24 * byday[u["class"]] * times - float(u["late_cost"])) < .01, "late cost", u["unit"])
        at = now
        for w in why[u["unit"]]:
            a, b = instant(w["from"]), instant(w["to"])
            fits = a == at and b > a and abs((b - a) / 3600 - float(w["hours"])) < .0001
            expect(fits, "why adds up", f"{u['unit']} segment {w['segment']}")
            at = b
        expect(at == max(ship, now), "why adds up", f"{u['unit']} ends at {stamp(at)}")
    late = lambda s: not s["comes"] or instant(s["comes"]) > instant(s["wanted"])
    short = {(s["job"], s["op"], s["item"]) for s in table(folder, "shortages") if late(s)}
    receipts, whole = {r["receipt"] for r in book.receipts}, defaultdict(list)
    by_key = {r.key: r for r in rows}
    for k in kits:
        comes, due, row = instant(k["comes"]), instant(k["due"]), by_key.get(f"{k['job']} op {k['op']}")
        if row is None:  # the operation found no place
            continue
        missed = comes is None or (k["job"], k["op"], k["item"]) in short
        lies_here = comes is not None and comes <= now and not any(s.split(",")[0] in receipts for s in k["source"].split("; "))
        state = "short" if missed else "complete" if lies_here else "planned"
        expect(state == k["state"], "state of a part", f"{row.key} {k['item']}: {k['state']}, {state} by its times")
        expect(due == row.at[1] and k["station"] == row.station, "kit is for the operation", row.key)
        whole[row.key].append(k)
        made = [jobs[j][-1] for j in re.findall(r"job ([^,;]+)", k["source"]) if j in jobs]
        if made and len(made) == len(k["source"].split("; ")):
            there = max(book.arrives(r.at[4], r.plant, row.plant) for r in made)
            expect(comes == there, "part comes from its job", f"{row.key} {k['item']}: {stamp(there)}")
    for key, parts in whole.items():
        states = {k["state"] for k in parts}
        worst = next(s for s in ("short", "planned", "complete") if s in states)
        expect({k["kit"] for k in parts} == {worst}, "state of a kit", key)


def main(book_dir, plan_dir):
    plan, kits = table(plan_dir, "plan"), table(plan_dir, "kits")
    now = instant(next(a["value"] for a in table(plan_dir, "about") if a["name"] == "now"))
    times = [instant(r[p]) for r in plan for p in PHASES if r[p]]
    book = Book(book_dir, min(times), max(times))
    options, products = {}, {}
    for line in book.lines:
        if line["state"] in ("", "open"):
            for n in range(1, int(line["quantity"]) + 1):
                unit = f"{line['order']}-{line['line']}-{n}"
                options[unit], products[unit] = options_of(book, line), line["product"]
    rows = [Row(book, r, options) for r in plan]
    jobs = check_jobs(book, rows, kits, options, products)
    rows = [r for r in rows if r.station]
    by_station, groups = defaultdict(list), []
    for r in rows:
        expect(r.station in r.able, "stations can do it", f"{r.key} on {r.station}")
        expect(not r.free or r.at[0] >= now, "nothing in the past", r.key)
        by_station[r.station].append(r)
    check_hands(book, rows)
    for name, on in by_station.items():
        groups += check_station(book, name, on)
    check_crews(book, groups)
    check_files(book, plan_dir, jobs, now, kits, rows)
    for check, n in sorted(done.items()):
        broken = sum(f.startswith(check + ":") for f in faults)
        print(f"{n:8} {check:26} {'holds' if not broken else f'BROKEN {broken} times'}")
    for what, n in sorted(skipped.items()):
        print(f"{n:8} {what:26} not checked: its formula uses a trade function, or a job has a priority")
    for f in faults[:40]:
        print(f, file=sys.stderr)
    return 1 if faults else 0

if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]) if len(sys.argv) == 3 else __doc__)
