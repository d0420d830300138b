#!/usr/bin/env python3
"""The published and derived values the rooms are tested against, counted by room and by how they are known.

Prints the table and fails when a room has fewer rows than written here, or more from memory than read and derived together. To add rows
is welcome: raise the numbers in the same commit.
"""
import csv
import pathlib
import sys

LEAST = {"circuit": 2, "coil": 166, "duty": 5, "fault": 22, "filament": 142, "leads": 1, "mains": 4, "meters": 4, "protection": 58, "supply": 209, "valve": 339, "water": 41, "work": 572}
HERE = pathlib.Path(__file__).resolve().parent


def count(folder):
    known = {"read": 0, "derived": 0, "memory": 0}
    for path in sorted(folder.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(line for line in file if not line.startswith("#")):
                status = row.get("status")
                if status not in known:
                    sys.exit(f"{path.relative_to(HERE)}: row '{row.get('case')}': status '{status}' is none of {', '.join(known)}")
                for field in ("where", "why", "tol"):
                    if not row.get(field):
                        sys.exit(f"{path.relative_to(HERE)}: row '{row.get('case')}' has no '{field}'")
                known[status] += 1
    return known


def main():
    total, bad = 0, []
    print(f"{'room':12} {'read':>6} {'derived':>8} {'memory':>7} {'all':>6}")
    for room, least in LEAST.items():
        known = count(HERE / room)
        rows = sum(known.values())
        total += rows
        print(f"{room:12} {known['read']:6} {known['derived']:8} {known['memory']:7} {rows:6}")
        if rows < least:
            bad.append(f"{room} has {rows} rows, {least} are written here")
        if known["memory"] > known["read"] + known["derived"]:
            bad.append(f"{room} rests on memory more than on what is read or derived")
    print(f"{'':12} {'':6} {'':8} {'':7} {total:6}")
    if total < 900:
        bad.append(f"{total} rows in all, 900 are written here")
    for line in bad:
        print("FAIL", line)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
