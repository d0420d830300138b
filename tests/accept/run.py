#!/usr/bin/env python3
"""Runs acceptance tests: commands with the exit code and output they must have, as plain text.

usage: run.py PROGRAM FILE.test ...      in the source root

A file is a list of cases, apart by blank lines. The first character of a line says what it is:

    # text           a comment
    + FROM TO        before the case: copy a file of the source tree into the scratch folder, as TO
    $ COMMAND        starts a case. Words are split as a shell does, nothing is expanded. Programs: rfwright, cat, cmp, diff, test
    < text           a line of standard input
    ? N              the exit code; 0 when not given
    > text           a line of standard output, exactly
    ! text           a line of standard error, exactly
    >/REGEX/ !/REGEX/   a line that matches as a whole
    >... !...        any lines, or none
    = PATH VALUE TOLERANCE   standard output is JSON; the number at PATH is VALUE within TOLERANCE, relative to VALUE (absolute when VALUE
                     is 0). Without TOLERANCE: VALUE is JSON and equal. PATH is keys apart by '/'; in a list: an index, or NAME=TEXT for
                     the one element where NAME is TEXT

No output may hold an escape code, because none goes to a terminal. Output that is not named must not be there; with a line '=' standard output is only read as JSON. {tmp} in a command or an expected line is
the scratch folder, new for each file and pass; it is kept from case to case. All is run under the C locale and once more under one with a decimal comma.
"""
import json
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

SECONDS_MAX = 60
PROGRAMS = {"cat", "cmp", "diff", "test"}
COMMA_LOCALE = "de_DE"


class Case:
    def __init__(self, where, command, copies):
        self.where, self.command, self.copies = where, command, copies
        self.stdin, self.out, self.err, self.json, self.code = [], [], [], [], 0


def read_cases(path):
    cases, copies, case = [], [], None
    for number, line in enumerate(pathlib.Path(path).read_text(encoding="utf-8").split("\n"), 1):
        mark, rest = line[:1], line[1:].removeprefix(" ")
        where = f"{path}:{number}"
        if not line.strip():
            case = None
        elif mark == "#":
            continue
        elif mark == "+" and case is None:
            copies.append(shlex.split(rest))
        elif mark == "$":
            case = Case(where, rest, copies)
            cases.append(case)
            copies = []
        elif case is None:
            raise ValueError(f"{where}: no command yet: {line}")
        elif mark == "<":
            case.stdin.append(rest)
        elif mark == "?":
            case.code = int(rest)
        elif mark == ">":
            case.out.append(rest)
        elif mark == "!":
            case.err.append(rest)
        elif mark == "=":
            case.json.append(rest.split(None, 2))
        else:
            raise ValueError(f"{where}: a line cannot start with '{mark}'")
    return cases


def matches(expected, got):
    """Do the lines match, '...' standing for any number of them? Returns None, or the first expectation that found no line."""
    places = {0}
    for want in expected:
        if want == "...":
            places = set(range(min(places), len(got) + 1))
            continue
        if len(want) > 2 and want[0] == want[-1] == "/":
            pattern = re.compile(want[1:-1])
            places = {at + 1 for at in places if at < len(got) and pattern.fullmatch(got[at])}
        else:
            places = {at + 1 for at in places if at < len(got) and got[at] == want}
        if not places:
            return f"no line for: {want}"
    return None if len(got) in places else "more lines than expected"


def json_fault(root, path, value, tolerance=None):
    node = root
    for step in path.split("/"):
        try:
            if isinstance(node, list) and "=" in step:
                name, text = step.split("=", 1)
                found = [element for element in node if str(element.get(name)) == text]
                if len(found) != 1:
                    return f"{path}: {len(found)} elements with {step}"
                node = found[0]
            else:
                node = node[int(step) if isinstance(node, list) else step]
        except (KeyError, IndexError, ValueError, TypeError):
            return f"{path}: no '{step}'"
    if tolerance is None:
        want = json.loads(value)
        return None if node == want and type(node) is type(want) else f"{path}: is {json.dumps(node)}, want {value}"
    want, allowed = float(value), float(tolerance)
    if isinstance(node, bool) or not isinstance(node, (int, float)):
        return f"{path}: is {json.dumps(node)}, want a number"
    scale = abs(want) if want != 0 else 1.0
    if abs(node - want) <= allowed * scale:
        return None
    return f"{path}: is {node:.9g}, want {want:.9g} within {allowed:g} (off by {(node - want) / scale:.3g})"


def run_case(case, program, scratch, env):
    """Returns the list of faults."""
    put = lambda text: text.replace("{tmp}", scratch)
    for source, target in case.copies:
        shutil.copyfile(source, os.path.join(scratch, target))
    words = [put(word) for word in shlex.split(case.command)]
    if words[0] == "rfwright":
        words[0] = program
    elif words[0] not in PROGRAMS:
        return [f"'{words[0]}' is not among the programs of a test"]
    stdin = "".join(line + "\n" for line in case.stdin)
    try:
        done = subprocess.run(words, input=stdin.encode(), capture_output=True, timeout=SECONDS_MAX, env=env)
    except subprocess.TimeoutExpired:
        return [f"not done after {SECONDS_MAX} s"]
    out, err = done.stdout.decode("utf-8", "backslashreplace"), done.stderr.decode("utf-8", "backslashreplace")

    faults = [] if done.returncode == case.code else [f"exit code is {done.returncode}, want {case.code}"]
    if "\x1b" in out + err:
        faults.append("there is an escape code, and this is no terminal")
    texts = [("standard error", case.err, err)]
    if case.json:
        try:
            root = json.loads(out, parse_constant=lambda word: (_ for _ in ()).throw(ValueError(f"{word} in JSON")))
            faults += [fault for fault in (json_fault(root, *check) for check in case.json) if fault]
        except ValueError as error:
            faults.append(f"standard output is not JSON: {error}")
    if case.out or not case.json:
        texts.insert(0, ("standard output", case.out, out))
    for name, expected, text in texts:
        fault = matches([put(line) for line in expected], text.split("\n")[:-1] if text.endswith("\n") else text.split("\n") if text else [])
        if fault:
            faults.append(f"{name}: {fault}; it was:\n" + "".join(f"      {line}\n" for line in text.split("\n")[:40]))
    if faults and not any("standard error" in fault for fault in faults) and err:
        faults.append("standard error was:\n" + "".join(f"      {line}\n" for line in err.split("\n")[:20]))
    return faults


def comma_locale():
    """Environment of a locale with a decimal comma: the system's, or one made beside the build; None when neither can be had."""
    name = COMMA_LOCALE + ".UTF-8"
    if any(line.lower().replace("-", "") == name.lower().replace("-", "") for line in
           subprocess.run(["locale", "-a"], text=True, capture_output=True).stdout.split()):
        return {"LC_ALL": name}
    folder = pathlib.Path("build/locale").resolve()
    if not (folder / name).is_dir() and shutil.which("localedef"):
        folder.mkdir(parents=True, exist_ok=True)
        part = tempfile.mkdtemp(dir=folder)
        subprocess.run(["localedef", "-i", COMMA_LOCALE, "-f", "UTF-8", f"{part}/{name}"], capture_output=True)
        try:
            os.rename(f"{part}/{name}", folder / name)
        except OSError:
            pass                   # not made, or another run was first
        shutil.rmtree(part, ignore_errors=True)
    return {"LC_ALL": name, "LOCPATH": str(folder)} if (folder / name).is_dir() else None


def has_comma(locale):
    done = subprocess.run(["locale", "decimal_point"], text=True, capture_output=True, env={**os.environ, **locale})
    return done.stdout.strip() == ","


def run_file(path, program, locale, name):
    passed, failed = 0, 0
    base = {key: value for key, value in os.environ.items() if not key.startswith("LC_") and key not in ("LANG", "LANGUAGE")}
    cases = read_cases(path)
    with tempfile.TemporaryDirectory() as scratch:
        for case in cases:
            faults = run_case(case, program, scratch, {**base, **locale})
            passed, failed = passed + (not faults), failed + bool(faults)
            if faults:
                print(f"{case.where}: under {name}: $ {case.command}")
                print("".join(f"    {fault}\n" for fault in faults), end="")
    if not cases:
        print(f"{path}: no case")
        failed += 1
    return passed, failed


def main(program, paths):
    passed, failed = 0, 0
    passes = [("C", {"LC_ALL": "C"})]
    comma = comma_locale()
    if comma and has_comma(comma):
        passes.append((comma["LC_ALL"], comma))
    else:
        print("left out: no locale with a decimal comma on this machine")
    for name, locale in passes:
        for path in paths:
            counts = run_file(path, os.path.abspath(program), locale, name)
            passed, failed = passed + counts[0], failed + counts[1]
    print(f"counted: {passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    sys.exit(main(sys.argv[1], sys.argv[2:]))
