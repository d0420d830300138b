#!/usr/bin/env python3
"""Rules of the source text that no compiler holds. Prints one line a fault; exits 1 when there is one.

- every header compiles alone, twice included
- no source file over 700 lines (const tables, *.def, apart)
- no path of somebody's home or work folder, no note of unfinished work, anywhere
- each public function of a header stands in a group (lines without a blank one between) that has a comment, or straight below
  the commented struct it serves
"""
import concurrent.futures
import pathlib
import re
import subprocess
import sys

LINES_MAX = 700
FOLDER = re.compile(r"(?<![\w.~})/-])/(?:home|root|work|Users)/")
UNFINISHED = re.compile(r"\b(?:TO" r"DO|FIX" r"ME|X" r"XX)\b")
NOT_OURS = {"LICENSE"}
SKIP_FOLDERS = {".git", "build", "corpus", "__pycache__", "node_modules"}
FLAGS = ["-std=c17", "-D_GNU_SOURCE", "-Wall", "-Wextra", "-Wpedantic", "-Wconversion", "-Wstrict-prototypes", "-Werror"]


def text_files(root):
    for path in sorted(root.rglob("*")):
        relative = path.relative_to(root)
        if not path.is_file() or SKIP_FOLDERS & set(relative.parts) or relative.as_posix() in NOT_OURS:
            continue
        try:
            yield relative.as_posix(), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


def faults_of_text(name, text):
    faults = []
    if re.fullmatch(r"src/.*\.[ch]", name) and text.count("\n") > LINES_MAX:
        faults.append(f"{name}: {text.count(chr(10))} lines, more than {LINES_MAX}: look for the second subject")
    for number, line in enumerate(text.split("\n"), 1):
        if FOLDER.search(line):
            faults.append(f"{name}:{number}: path of a home or work folder")
        if UNFINISHED.search(line):
            faults.append(f"{name}:{number}: note of unfinished work")
    if re.fullmatch(r"src/.*\.h", name):
        faults += faults_of_header(name, text)
    return faults


def faults_of_header(name, text):
    """Prototypes at the outer level whose group of lines holds no comment."""
    faults, depth, in_comment, continued, statement, start = [], 0, False, False, "", 0
    commented, waiting, lent, is_type = False, [], False, False

    def end_group():
        if not commented and not lent:
            faults.extend(f"{name}:{line}: '{function}' stands in no commented group" for line, function in waiting)
        waiting.clear()

    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip() and not in_comment and depth == 0 and not statement:
            end_group()
            lent = is_type and commented
            commented = is_type = False
            continue
        code, has_comment, in_comment = strip_comments(line, in_comment)
        commented |= has_comment
        if continued or code.lstrip().startswith("#"):
            continued = code.rstrip().endswith("\\")
            continue
        outer = depth == 0
        is_type |= outer and re.match(r"(typedef )?struct ", code) is not None
        depth += code.count("{") - code.count("}")
        if outer and depth == 0 and code.strip():
            start = start if statement else number
            statement += " " + code.strip()
            if statement.rstrip().endswith((";", "}")):
                function = prototype(statement)
                if function:
                    waiting.append((start, function))
                statement = ""
        elif outer:
            statement = ""
    end_group()
    return faults



def strip_comments(line, inside):
    code, has_comment = "", inside
    while line:
        if inside:
            end = line.find("*/")
            if end < 0:
                return code, True, True
            line, inside = line[end + 2:], False
        else:
            begin = line.find("/*")
            slashes = line.find("//")
            if slashes >= 0 and (begin < 0 or slashes < begin):
                return code + line[:slashes], True, False
            if begin < 0:
                return code + line, has_comment, False
            code, line, inside, has_comment = code + line[:begin], line[begin + 2:], True, True
    return code, has_comment, inside


def prototype(statement):
    """The name, if this is a function's prototype; None for types, macros' uses and data."""
    if re.match(r"\s*(typedef|struct \w+;|enum|extern\s+const|static|_Static_assert)\b", statement):
        return None
    match = re.match(r"\s*[\w\s*]+?[\s*](\w+)\s*\(", statement)
    return match.group(1) if match else None


def compile_header(root, header):
    name = header.relative_to(root / "src").as_posix()
    text = f'#include "{name}"\n#include "{name}"\ntypedef int rw_not_empty;\n'
    command = ["gcc", *FLAGS, *library_flags(), f"-I{root}/src", f"-I{root}", "-fsyntax-only", "-x", "c", "-"]
    done = subprocess.run(command, input=text, text=True, capture_output=True, timeout=60)
    return [] if done.returncode == 0 else [f"src/{name}: does not compile alone: {done.stderr.strip().splitlines()[:4]}"]


def library_flags():
    if not hasattr(library_flags, "found"):
        done = subprocess.run(["pkg-config", "--cflags", "smartcols"], text=True, capture_output=True, timeout=60)
        library_flags.found = done.stdout.split()
    return library_flags.found


def faults_of_headers(root):
    headers = sorted((root / "src").glob("*/*.h"))
    library_flags()
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        return [fault for faults in pool.map(lambda header: compile_header(root, header), headers) for fault in faults]


def faults_of_tree(root):
    faults = [fault for name, text in text_files(root) for fault in faults_of_text(name, text)]
    return faults + faults_of_headers(root)


if __name__ == "__main__":
    found = faults_of_tree(pathlib.Path(__file__).resolve().parents[1])
    print("\n".join(found) if found else "lint: no fault")
    sys.exit(1 if found else 0)
