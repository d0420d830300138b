#!/usr/bin/env python3
"""Every generator file of tests/files/bad is refused as its .err file says: the first line 'exit N', then standard error to the letter.

The word in brackets behind a file's name is the status it fails with first, in small letters, as in src/base/status.def. '{data}' in an .err
file stands for the folder of data. usage: test_bad_files.py [--write]      --write makes the .err files afresh, for review
"""
import os
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests/law"))
import harness  # noqa: E402

FOLDER = "tests/files/bad"
PROGRAM = os.environ.get("RFWRIGHT", str(ROOT / "build/debug/src/rfwright"))
DATA = os.environ.get("RFWRIGHT_DATA", str(ROOT / "data"))
FILES = sorted((ROOT / FOLDER).glob("*.yaml"))
# Faults of the text as a whole have no key and no line to show.
OF_THE_TEXT = {"byte-not-utf8(syntax)", "two-documents(syntax)"}


def statuses():
    found = re.findall(r"^RW_STATUS\((?:E_)?(\w+),\s*(\d+), \"(.*)\"\)", (ROOT / "src/base/status.def").read_text(), re.M)
    return {name.lower(): (int(code), text) for name, code, text in found}


def solve(path, *options):
    """Standard output, and what the .err file holds."""
    env = {**os.environ, "RFWRIGHT_DATA": DATA, "NO_COLOR": "1", "LC_ALL": "C.UTF-8"}
    done = subprocess.run([PROGRAM, *options, "solve", f"{FOLDER}/{path.name}"], cwd=ROOT, env=env, capture_output=True, timeout=60)
    return done.stdout.decode(), f"exit {done.returncode}\n" + done.stderr.decode().replace(DATA, "{data}")


def test_every_file_is_refused_as_written():
    faults = []
    for path in FILES:
        out, got = solve(path)
        want = path.with_suffix(".err").read_text() if path.with_suffix(".err").exists() else "(no .err file)\n"
        if out:
            faults.append(f"{path.name}: standard output is not empty")
        if got != want:
            faults.append(f"{path.name}: want\n{want}got\n{got}")
    assert FILES and not faults, "\n".join(faults)


def test_names_tell_the_status():
    known, faults = statuses(), []
    for path in FILES:
        status = re.fullmatch(r"[a-z0-9-]+\((\w+)\)", path.stem)
        assert status and status[1] in known, path.name
        code, text = known[status[1]]
        err = solve(path, "--debug")[1]
        raised = re.search(r"^ +raised at \S+: (.*)$", err, re.M)
        if not err.startswith(f"exit {code}\n") or not raised or raised[1] != text:
            faults.append(f"{path.name}: {raised and raised[1]}")
    assert not faults, "\n".join(faults)


def test_no_expectation_without_file():
    alone = [path.name for path in (ROOT / FOLDER).glob("*.err") if not path.with_suffix(".yaml").exists()]
    assert not alone, alone


def test_messages_have_all_parts():
    """File, line, column, path, what; what is accepted; how to mend it. The carets stand under the line shown."""
    faults = []
    for path in FILES:
        lines = path.with_suffix(".err").read_text().rstrip("\n").split("\n")[1:]
        text = path.read_bytes().decode("utf-8", "replace").split("\n")
        for number, line in enumerate(lines):
            if line.startswith(" "):
                continue
            parts = re.match(re.escape(f"{FOLDER}/{path.name}") + r":(\d+):(\d+): ((?:[a-z]\w*\.)*\w+: )?.+; expected .+; .+", line)
            if not parts or not (parts[3] or path.stem in OF_THE_TEXT):
                faults.append(f"{path.name}: a part is missing: {line}")
                continue
            if number + 1 == len(lines) or not lines[number + 1].startswith(" "):
                continue
            shown, carets = lines[number + 1][8:], lines[number + 2][8:]
            if "\ufffd" not in text[int(parts[1]) - 1] and shown != text[int(parts[1]) - 1].rstrip("\r"):
                faults.append(f"{path.name}: not line {parts[1]}: {shown}")
            if carets.index("^") != int(parts[2]) - 1 or len(carets) > max(len(shown), int(parts[2])):
                faults.append(f"{path.name}: the carets are off:\n{shown}\n{carets}")
    assert not faults, "\n".join(faults)


if __name__ == "__main__":
    if sys.argv[1:] == ["--write"]:
        for bad in FILES:
            bad.with_suffix(".err").write_text(solve(bad)[1])
        sys.exit(0)
    sys.exit(harness.run(dict(globals())))
