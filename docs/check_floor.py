#!/usr/bin/env python3
"""Proves the chain of the record of the floor from the database alone, sharing no code with the program. See floor.md.

    python3 check_floor.py data/tackline.db

Prints number and hash of the last event of each plant. Exit code 0: every chain is whole; 1: the first broken event of a plant is
named; 2: the file cannot be read.
"""
import hashlib
import sqlite3
import sys
from pathlib import Path


def main(place):
    if not Path(place).is_file():
        print(f"{place}: there is no such file", file=sys.stderr)
        return 2
    db = sqlite3.connect(Path(place).resolve().as_uri() + "?mode=ro", uri=True)
    last, broken = {}, {}
    for plant, number, got, body, seal in db.execute("SELECT plant, number, got, body, hash FROM floor_events ORDER BY plant, number"):
        if plant in broken:
            continue
        before_number, before = last.get(plant, (0, ""))
        expected = hashlib.sha256(f"{before}\n{number}\n{got}\n{body}\n".encode()).hexdigest()
        if number != before_number + 1:
            broken[plant] = f"event {number} comes after event {before_number}"
        elif seal != expected:
            broken[plant] = f"event {number} is not what was recorded"
        last[plant] = (number, seal)
    for plant, number, seal in db.execute("SELECT plant, number, hash FROM floor_chains"):
        if plant not in broken and last.get(plant, (0, "")) != (number, seal):
            broken[plant] = f"the record ends before event {number}, the last that was recorded"
    for plant in sorted(last.keys() | broken.keys()):
        number, seal = last.get(plant, (0, ""))
        print(f"plant {plant}: " + (f"broken: {broken[plant]}" if plant in broken else f"event {number} is the last, hash {seal}"))
    return 1 if broken else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    try:
        sys.exit(main(sys.argv[1]))
    except sqlite3.Error as e:
        print(f"{sys.argv[1]}: {e}", file=sys.stderr)
        sys.exit(2)
