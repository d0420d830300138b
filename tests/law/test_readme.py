"""The tour of README.md is real: every command quoted there is run, and its quoted lines stand in the output, in that order.

A quotation is a fenced block whose first line starts with '$ rfwright'. Lines below a command are its output, then its standard error; a line
'...' stands for any number of lines left out, before the first and after the last quoted line too when it is there. A last line
'(exit code N)' is what the command ends with; without it that is 0. Commands run in a scratch folder with the examples in it, in order.
"""
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = os.environ.get("RFWRIGHT", str(ROOT / "build/debug/src/rfwright"))


def quotations(text):
    """[(command, [lines])] of all quoting blocks, in order."""
    found = []
    for body in re.findall(r"^```[a-z]*\n(.*?)^```$", text, re.M | re.S):
        if not body.startswith("$ rfwright"):
            continue
        for line in body.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            else:
                found[-1][1].append(plain(line))
    return found


def plain(line):
    """The narrow blank between number and unit as a blank: what a reader sees, and types. How wide a column is does not matter."""
    return re.sub(" {2,}", "  ", line.rstrip().replace("\u202f", " "))


def output_of(command, program, folder):
    words = shlex.split(command)
    assert words[0] == "rfwright", command
    environment = {**os.environ, "RFWRIGHT_DATA": str(ROOT / "data"), "LC_ALL": "C.UTF-8", "NO_COLOR": "1"}
    done = subprocess.run([program, *words[1:]], cwd=folder, env=environment, text=True, capture_output=True, stdin=subprocess.DEVNULL, timeout=120)
    return done.returncode, [plain(line) for line in (done.stdout + done.stderr).splitlines()]


def fault_of(quoted, real):
    """The first quoted line that is not where it should be; None when all are."""
    at, free = 0, False
    for line in quoted:
        if line == "...":
            free = True
            continue
        places = [i for i in range(at, len(real)) if real[i] == line] if free else [at] if real[at:at + 1] == [line] else []
        if not places:
            return line
        at, free = places[0] + 1, False
    return None if free or at == len(real) else f"(more output: {real[at]})"


def fault_with_code(quoted, code, real):
    wanted = re.fullmatch(r"\(exit code (\d+)\)", quoted[-1]) if quoted else None
    if code != (int(wanted.group(1)) if wanted else 0):
        return f"exit code {code}"
    return fault_of(quoted[:-1] if wanted else quoted, real)


def test_planted_faults():
    real = ["one", "two", "", "three", "four"]
    for good in (["one", "two", "", "three", "four"], ["..."], ["...", "four"], ["one", "..."], ["...", "two", "...", "four"], ["one", "...", "three", "four"]):
        assert fault_of(good, real) is None, good
    for bad in (["one"], ["two", "..."], ["one", "three", "..."], ["...", "three"], ["...", "four", "...", "two", "..."], ["...", "five", "..."],
                ["...", "thre", "..."], []):
        assert fault_of(bad, real) is not None, bad
    assert fault_with_code(["...", "four", "(exit code 2)"], 2, real) is None
    for code, quoted in ((0, ["...", "four", "(exit code 2)"]), (2, ["...", "four"]), (2, ["...", "three", "(exit code 2)"])):
        assert fault_with_code(quoted, code, real) is not None, (code, quoted)
    text = "```\n$ rfwright a b\n> x\n...\n$ rfwright c\n```\n\n    $ rfwright not quoted\n\n```sh\nmake demo\n```\n"
    assert quotations(text) == [("rfwright a b", ["> x", "..."]), ("rfwright c", [])], quotations(text)


def test_tour():
    tour = quotations((ROOT / "README.md").read_text(encoding="utf-8"))
    assert {command.split()[1] for command, _ in tour} >= {"new", "solve", "check", "explain", "adopt", "valve"}, tour
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "examples", pathlib.Path(folder) / "examples")
        for command, quoted in tour:
            code, real = output_of(command, PROGRAM, folder)
            fault = fault_with_code(quoted, code, real)
            if fault is not None:
                faults.append(f"$ {command}\n  {fault}\n  real output:\n    " + "\n    ".join(real[:200]))
    assert not faults, "\n".join(faults)


if __name__ == "__main__":
    from harness import run
    sys.exit(run(globals()))
