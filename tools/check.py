#!/usr/bin/env python3
"""The quick tiers: builds each variant, runs its groups of tests, prints the seconds of each and what was left out.

usage: check.py [PART_OF_A_NAME]     with a part of a name: only the tests whose name contains it, in the debug build

Counted are single cases: those of a cmocka program, of a script that ends with 'counted: N passed, M failed', or the program as one. The
last line is 'N passed, M failed'; the exit code is 1 when one failed or none ran.
"""
import json
import os
import pathlib
import re
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parents[1]
TIERS = ["unit", "reference", "law", "accept", "fuzz"]
# Variant, whether all of it is built, and its groups: name, and which tests (name, suites) belong. Laws of the source text run once.
PLAN = [
    ("debug", True, [(tier, lambda name, suites, tier=tier: tier in suites) for tier in TIERS]),
    ("san", True, [(tier, lambda name, suites, tier=tier: tier in suites and "source" not in suites) for tier in TIERS]),
    ("tsan", False, [("thread", lambda name, suites: "source" not in suites and ("thread" in name or "law" in suites))]),
    ("clang", True, [("unit", lambda name, suites: "unit" in suites)]),
    ("release", True, [("sets", lambda name, suites: name in ("worked_set", "computed_sets"))]),     # what make demo builds
]
SLOWER = {"debug": 1, "san": 4, "tsan": 10, "clang": 1, "release": 1}       # factor on the time limits


def run(command, **more):
    return subprocess.run(command, cwd=ROOT, text=True, errors="replace", **more)


def tests_of(variant):
    done = run(["meson", "introspect", "--tests", f"build/{variant}"], capture_output=True, check=True)
    return [(test["name"], {suite.split(":")[-1] for suite in test["suite"]}, test["cmd"][0]) for test in json.loads(done.stdout)]


def counts_of(record):
    """passed, failed, skipped of one test program."""
    text = (record.get("stdout") or "") + "\n" + (record.get("stderr") or "")
    good = record["result"] in ("OK", "EXPECTEDFAIL")
    if record["result"] == "SKIP":
        return 0, 0, 1
    cases = {word: sum(int(n) for n in re.findall(rf"^\[  {word} *\] (?:.*?: )?(\d+) test\(s\)", text, re.M)) for word in ("PASSED", "FAILED", "SKIPPED")}
    counted = re.findall(r"^counted: (\d+) passed, (\d+) failed", text, re.M)
    if any(cases.values()):
        passed, failed, skipped = cases["PASSED"], cases["FAILED"], cases["SKIPPED"]
    elif counted:
        passed, failed, skipped = int(counted[-1][0]), int(counted[-1][1]), 0
    else:
        passed, failed, skipped = int(good), 0, 0
    if not good and failed == 0:
        failed = 1                         # crashed, hung, or a sanitizer spoke
    return passed, failed, skipped


def run_group(variant, group, names):
    log = f"check-{group}"
    path = ROOT / f"build/{variant}/meson-logs/{log}.json"
    path.unlink(missing_ok=True)
    command = ["meson", "test", "-C", f"build/{variant}", "--no-rebuild", "--logbase", log, "-t", str(SLOWER[variant]), *names]
    done = run(command, capture_output=True)
    if not path.exists():
        print(done.stdout[-3000:], done.stderr[-3000:], sep="\n")
        return 0, 1, 0
    totals, seen = [0, 0, 0], set()
    for line in path.read_text(encoding="utf-8", errors="replace").splitlines():
        record = json.loads(line)
        name = record["name"].split(" / ")[-1]
        seen.add(name)
        counts = counts_of(record)
        totals = [total + count for total, count in zip(totals, counts)]
        if counts[1]:
            show(variant, name, record)
    for name in set(names) - seen:
        print(f"--- build/{variant}: {name} did not run")
        totals[1] += 1
    return totals


def show(variant, name, record):
    print(f"--- build/{variant}: {name}: {record['result']} (exit code {record['returncode']}); again: meson test -C build/{variant} -v {name}")
    for stream in ("stdout", "stderr"):
        lines = [line for line in (record.get(stream) or "").splitlines() if not re.match(r"\[( RUN  |   OK|       OK)", line)]
        print("\n".join(lines[-60:]))


def main(part):
    passed, failed, skipped = 0, 0, 0
    begin = time.monotonic()
    plan = [PLAN[0]] if part else PLAN
    for variant, build_all, groups in plan:
        start = time.monotonic()
        built = run(["tools/build", variant], env={**os.environ, **({} if build_all else {"JOBS": "0"})}, stdin=subprocess.DEVNULL)
        tests = tests_of(variant) if built.returncode == 0 else []
        tests = [test for test in tests if part in test[0]]
        if built.returncode == 0 and not build_all:
            wanted = sorted({os.path.relpath(test[2], ROOT / "build" / variant) for test in tests
                             if any(belongs(test[0], test[1]) for _, belongs in groups)})
            if wanted:
                built = run(["tools/build", variant, *wanted], stdin=subprocess.DEVNULL)
        if built.returncode != 0:
            print(f"{variant:8} the build failed")
            failed += 1
            continue
        print(f"{variant:8} {'build':10} {time.monotonic() - start:31.1f} s", flush=True)
        for group, belongs in groups:
            start = time.monotonic()
            names = [name for name, suites, _ in tests if belongs(name, suites)]
            if not names:
                print(f"{variant:8} {group:10}  none")
                continue
            counts = run_group(variant, group, names)
            passed, failed, skipped = passed + counts[0], failed + counts[1], skipped + counts[2]
            print(f"{variant:8} {group:10} {counts[0]:5} good {counts[1]:4} bad {counts[2]:4} skipped {time.monotonic() - start:7.1f} s", flush=True)
    print(f"all in {time.monotonic() - begin:.1f} s")
    if part:
        print(f"left out: tests without '{part}' in their name; the variants " + ", ".join(entry[0] for entry in PLAN[1:]))
    print("left out: check-long (fuzzing, valgrind, long forms of tests, bare root); browser (none yet)")
    if passed + failed == 0:
        print("no test ran")
    print(f"{passed} passed, {failed} failed", flush=True)
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1] if len(sys.argv) > 1 else ""))
