#!/usr/bin/env python3
"""Builds and runs the benchmarks in the release build, prints what they found and what moved against the last run kept.

Each bench_*.c prints one JSON object a line. Its members up to the first measure (a member with 'second' or 'ratio' in its name) say what
was run; the rest is what was found. Kept in build/bench/last.jsonl; the run before it in build/bench/before.jsonl.
"""
import json
import os
import pathlib
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[1]
MOVED = 0.05
SECONDS_MAX = 300


def is_measure(key):
    return "second" in key or "ratio" in key


def split(row):
    """What was run, as text, and the dict of what was found."""
    keys = list(row)
    first = next((at for at, key in enumerate(keys) if is_measure(key)), len(keys))
    return " ".join(f"{key}={row[key]}" if not isinstance(row[key], str) else row[key] for key in keys[:first]), {key: row[key] for key in keys[first:]}


def read(path):
    return dict(split(json.loads(line)) for line in path.read_text().splitlines()) if path.exists() else {}


def told(key, value, old):
    change = value / old - 1.0 if is_measure(key) and old else 0.0
    return f"{key} {value:.6g}" + (f" ({100 * change:+.0f} %)" if abs(change) > MOVED else "") if isinstance(value, (int, float)) else f"{key} {value}"


def main():
    names = sorted(path.stem for path in (ROOT / "bench").glob("bench_*.c"))
    if not names:
        print("bench: there is none yet")
        return 0
    subprocess.run(["tools/build", "release", "all", *(f"bench/{name}" for name in names)], cwd=ROOT, check=True)
    env = {**os.environ, "RFWRIGHT_DATA": str(ROOT / "data"), "LC_ALL": "C.UTF-8"}
    lines = []
    for name in names:
        done = subprocess.run([ROOT / "build/release/bench" / name], cwd=ROOT, env=env, text=True, stdout=subprocess.PIPE, timeout=SECONDS_MAX, check=True)
        lines += done.stdout.splitlines()
    folder = ROOT / "build/bench"
    folder.mkdir(parents=True, exist_ok=True)
    before = read(folder / "last.jsonl")
    if before:
        (folder / "last.jsonl").replace(folder / "before.jsonl")
    (folder / "last.jsonl").write_text("".join(line + "\n" for line in lines))
    for what, found in map(split, map(json.loads, lines)):
        print(f"{what}: " + ", ".join(told(key, value, before.get(what, {}).get(key)) for key, value in found.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
