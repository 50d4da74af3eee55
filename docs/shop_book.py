"""Reads a shop book from a folder of CSV files, for check_plan.py: formulas, open time, people, changeovers, trucks.

Written from formats.md alone. Formulas may use numbers, options, attributes, conditions, min, max, ceil, floor and int.
"""
import ast, bisect, csv, math, os, re
from collections import Counter, defaultdict
from datetime import datetime, timedelta, timezone
from zoneinfo import ZoneInfo


def table(folder, name):
    path = os.path.join(folder, name + ".csv")
    if not os.path.exists(path):
        return []
    with open(path, encoding="utf-8-sig", newline="") as f:
        return list(csv.DictReader(f))

# ---- formulas: what cannot be read gives None ----

def python_of(text):
    """The formula in Python's words. Texts with ? or : in them are not foreseen."""
    text = re.sub(r"\(([^()]*\?[^()]*)\)", lambda m: "(" + python_of(m[1]) + ")", text)
    if "?" in text:
        ask, rest = text.split("?", 1)
        yes, no = rest.split(":", 1)
        return f"(({yes}) if ({python_of(ask)}) else ({python_of(no)}))"
    for cel, python in (("&&", " and "), ("||", " or "), ("true", "True"), ("false", "False")):
        text = text.replace(cel, python)
    return re.sub(r"!(?!=)", " not ", text)

KNOWN = {"min": min, "max": max, "ceil": math.ceil, "floor": math.floor, "int": int}


def value(text, opt, item, qty):
    if not text:
        return None
    try:
        tree = ast.parse(python_of(text).strip(), mode="eval")
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute):
                if not isinstance(node.value, ast.Name) or node.value.id not in ("opt", "item"):
                    return None
            elif isinstance(node, ast.Call) and not (isinstance(node.func, ast.Name) and node.func.id in KNOWN):
                return None
        names = {"opt": Names(opt), "item": Names(item), "qty": qty, "__builtins__": {}, **KNOWN}
        return eval(compile(tree, text, "eval"), names)
    except (SyntaxError, KeyError, TypeError, AttributeError, NameError, ZeroDivisionError):
        return None


class Names:
    def __init__(self, values):
        self.__dict__.update(values)


def written(v):
    if isinstance(v, bool):
        return "yes" if v else "no"
    return f"{v:.6f}".rstrip("0").rstrip(".") if isinstance(v, (int, float)) else str(v)


def pattern(text, *env):
    parts = [value(p[1:-1], *env) if p.startswith("{") else p for p in re.split(r"(\{[^{}]*\})", text or "")]
    return None if None in parts else "".join(map(written, parts))

# ---- time: seconds since 1970 in UTC; open time is a list of (from, to) ----

def instant(text):
    return int(datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()) if text else None


def wall(text, zone):
    t = datetime.fromisoformat(text.replace("Z", "+00:00"))
    return int((t if t.tzinfo else t.replace(tzinfo=zone)).timestamp())


def merged(spans):
    out = []
    for a, b in sorted(s for s in spans if s[1] > s[0]):
        if out and a <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def without(spans, a, b):
    return [(x, y) for s in spans for x, y in ((s[0], min(s[1], a)), (max(s[0], b), s[1])) if x < y]


def common(one, two):
    out, i, j = [], 0, 0
    while i < len(one) and j < len(two):
        a, b = max(one[i][0], two[j][0]), min(one[i][1], two[j][1])
        if a < b:
            out.append((a, b))
        i, j = (i + 1, j) if one[i][1] < two[j][1] else (i, j + 1)
    return out


def inside(spans, a, b):
    """The parts of spans within [a, b)."""
    out, i = [], max(0, bisect.bisect(spans, (a, math.inf)) - 1)
    while i < len(spans) and spans[i][0] < b:
        if spans[i][1] > a:
            out.append((max(a, spans[i][0]), min(b, spans[i][1])))
        i += 1
    return out


def first(spans, work):
    """The first `work` seconds of spans; None is all of them."""
    out = []
    for a, b in spans:
        if work is not None:
            b = min(b, a + work)
            work -= b - a
        if b > a:
            out.append((a, b))
    return out


def length(spans):
    return sum(b - a for a, b in spans)

DAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


def weekdays(text):
    out = set()
    for part in text.replace(" ", "").lower().split(","):
        if part == "all":
            return set(range(7))
        a, _, b = part.partition("-")
        a, b = DAYS.index(a[:3]), DAYS.index((b or a)[:3])
        out |= {(a + k) % 7 for k in range((b - a) % 7 + 1)}
    return out


class Book:
    def __init__(self, folder, begin, end):
        for name in ("plants settings calendars shifts exceptions centres stations setups pools people qualifications absences "
                     "transits items attributes options parts operations crews able classes orders lines work receipts "
                     "pins forbids priorities").split():
            setattr(self, name, table(folder, name))
        self.begin, self.end, self.cache = begin - 8 * 86400, end + 8 * 86400, {}
        self.zone = {p["plant"]: ZoneInfo(p["time_zone"]) for p in self.plants}
        self.home = {c["calendar"]: c["plant"] for c in self.calendars}
        self.centre = {c["centre"]: c for c in self.centres}
        self.station = {s["station"]: s for s in self.stations}
        self.item = {i["item"]: i for i in self.items}
        self.ops = defaultdict(list)
        for o in sorted(self.operations, key=lambda o: int(o["op"])):
            self.ops[o["item"]].append(o)
        self.attribute = defaultdict(dict)
        for a in self.attributes:
            try:
                self.attribute[a["item"]][a["attribute"]] = float(a["value"])
            except ValueError:
                self.attribute[a["item"]][a["attribute"]] = a["value"]
        self.heads = {p["pool"]: self.present(p) for p in self.pools}

    def days(self, zone):
        day = datetime.fromtimestamp(self.begin, zone).date()
        while day <= datetime.fromtimestamp(self.end, zone).date():
            yield day
            day += timedelta(days=1)

    def changed(self, spans, column, name, zone):
        rows = [e for e in self.exceptions if e.get(column) == name]
        at = lambda e: (wall(e["from"], zone), wall(e["to"], zone))
        for e in rows:
            spans = merged(spans + [at(e)]) if e["kind"] == "overtime" else without(spans, *at(e))
        return spans

    def calendar(self, name):
        if ("calendar", name) not in self.cache:
            zone, spans = self.zone[self.home[name]], []
            for s in self.shifts:
                if s["calendar"] != name:
                    continue
                days = weekdays(s["days"])
                for day in self.days(zone):
                    if day.weekday() in days:
                        a = clock(day, s["from"], zone)
                        b = clock(day, s["to"], zone)
                        spans.append((a, b if b > a else clock(day + timedelta(days=1), s["to"], zone)))
            self.cache["calendar", name] = self.changed(merged(spans), "calendar", name, zone)
        return self.cache["calendar", name]

    def open(self, station, crew=()):
        """When the station is open while each pool has the heads needed."""
        key = (station, crew)
        if key not in self.cache:
            row = self.station[station]
            spans = self.calendar(row["calendar"])
            spans = self.changed(spans, "station", station, self.zone[self.centre[row["centre"]]["plant"]])
            for pool, heads in crew:
                spans = common(spans, [(a, b) for a, b, n in self.heads[pool] if n >= heads])
            self.cache[key] = merged(spans)
        return self.cache[key]

    def present(self, pool):
        zone, steps = self.zone[pool["plant"]], Counter()
        count = lambda spans, n: [steps.update({a: n, b: -n}) for a, b in spans]
        if int(pool["extra_heads"] or 0):
            count(self.calendar(pool["extra_calendar"]), int(pool["extra_heads"]))
        for p in (p for p in self.people if p["pool"] == pool["pool"]):
            spans = self.calendar(p["calendar"])
            for a in (a for a in self.absences if a["person"] == p["person"]):
                spans = without(spans, wall(a["from"], zone), wall(a["to"], zone))
            if pool["qualification"]:
                held = [q for q in self.qualifications
                        if (q["person"], q["qualification"]) == (p["person"], pool["qualification"])]
                if not held:
                    continue
                if held[0]["expires"]:
                    last = datetime.fromisoformat(held[0]["expires"]).date() + timedelta(days=1)
                    spans = without(spans, clock(last, "00:00", zone), self.end + 86400 * 365)
            count(spans, 1)
        times, n, out = sorted(steps), 0, []
        for a, b in zip(times, times[1:]):
            n += steps[a]
            out.append((a, b, n))
        return out

    def changeover(self, centre, before, after):
        if not after or not before:
            return 0
        fits = lambda s: s["centre"] == centre and s["from_family"] in ("*", before) and s["to_family"] in ("*", after)
        rows = [s for s in self.setups if fits(s) and (before != after or (s["from_family"], s["to_family"]) == (before, after))]
        if not rows:
            return 0 if before == after else seconds(float(self.centre[centre]["setup_default"] or 0))
        stars = lambda s: ((s["from_family"] + " " + s["to_family"]).split().count("*"), s["from_family"] == "*")
        return seconds(float(min(rows, key=stars)["minutes"]))

    def arrives(self, t, here, there):
        """When pieces that are ready at t in one plant are there in the other."""
        if here == there:
            return t
        best = None
        for row in self.transits:
            if (row["from_plant"], row["to_plant"]) == (here, there):
                zone = self.zone[here]
                for day in self.days(zone):
                    leaves = clock(day, row["departs"], zone)
                    if day.weekday() in weekdays(row["days"]) and leaves >= t:
                        there_at = leaves + int(float(row["transit_hours"]) * 3600)
                        best = there_at if best is None else min(best, there_at)
                        break
        return best if best is not None else math.inf


def clock(day, text, zone):
    h, m = map(int, text.split(":")[:2])
    return int((datetime(day.year, day.month, day.day) + timedelta(hours=h, minutes=m)).replace(tzinfo=zone).timestamp())


def seconds(minutes):
    return None if minutes is None else math.floor(minutes * 60 + 0.5)


def slower(run, speed):
    return math.ceil(run / speed - 1e-6)


def stamp(t):
    return datetime.fromtimestamp(t, timezone.utc).isoformat()
