"""Who may know whom: every #include under src/ against the list below; a room that is not listed is an error, and so is a cycle."""
import pathlib
import re
import sys

LANGUAGE = {"base", "item", "yaml", "circuit", "fem"}
PHYSICS = {"work", "coil", "heat", "tank", "valve", "filament", "oscillator", "supply", "water", "air", "protection", "duty", "mains", "meters", "fault"}
BELOW_CHAIN = LANGUAGE | PHYSICS | {"library", "generator", "draw"}
CHAIN = BELOW_CHAIN | {"chain"}
ABOVE_CHAIN = {"study", "record", "plots", "document", "edit"}

ALLOWED = {
    "base": set(),
    "item": {"base"},
    "yaml": {"base"},
    "circuit": {"base"},
    "fem": {"base"},
    "library": {"base", "yaml"},
    "draw": {"base", "item"},
    "generator": {"base", "item", "yaml", "library"},
    "chain": BELOW_CHAIN - {"draw"},
    "study": CHAIN - {"draw"},
    "record": CHAIN - {"draw"},
    "edit": CHAIN - {"draw"},
    "plots": CHAIN,
    "document": CHAIN | {"plots"},
    "workbench": CHAIN | ABOVE_CHAIN,
    "cli": CHAIN | ABOVE_CHAIN | {"workbench"},
}
for room in PHYSICS:
    ALLOWED[room] = {"base", "item", "circuit", "fem"}
# One physics room knows another only where energy flows from one to the next.
ALLOWED["heat"] |= {"work", "coil"}
ALLOWED["coil"] |= {"work"}
ALLOWED["tank"] |= {"coil"}
ALLOWED["oscillator"] |= {"tank", "valve"}
ALLOWED["fault"] |= {"valve", "supply", "tank"}

INCLUDE = re.compile(r'^\s*#\s*include\s+"([^"]+)"', re.M)


def faults_of(files):
    """files: {"room/name.c": text}. Returns the list of faults, one line each."""
    faults, edges = [], {}
    for path, text in sorted(files.items()):
        room = path.split("/")[0]
        if room not in ALLOWED:
            faults.append(f"src/{path}: room '{room}' is not listed in tests/law/test_include_graph.py")
            continue
        for match in INCLUDE.finditer(text):
            included, line = match.group(1), text.count("\n", 0, match.start(1)) + 1
            where = f"src/{path}:{line}: \"{included}\""
            other = included.split("/")[0]
            if included.count("/") != 1 or other not in ALLOWED:
                faults.append(f"{where} is not of the form \"room/file\" with a listed room")
            elif included not in files:
                faults.append(f"{where} does not exist")
            elif other != room:
                edges.setdefault(room, {}).setdefault(other, where)
                if other not in ALLOWED[room]:
                    faults.append(f"{where}: {room} may not know {other}")
                elif included.endswith("internal.h"):
                    faults.append(f"{where}: internal to {other}")
    return faults + cycles_of(edges)


def cycles_of(edges):
    faults, done = [], set()

    def visit(room, path):
        if room in path:
            loop = path[path.index(room):] + [room]
            faults.append("cycle: " + " -> ".join(loop) + "; first: " + edges[loop[0]][loop[1]])
        elif room not in done:
            for other in sorted(edges.get(room, {})):
                visit(other, path + [room])
            done.add(room)

    for room in sorted(edges):
        visit(room, [])
    return faults


def test_planted_faults():
    """Each kind of fault is seen, each with its own word."""
    base = {"base/error.h": "", "tank/tank.h": '#include "base/error.h"\n', "valve/valve_internal.h": ""}
    assert faults_of(base) == []
    planted = {
        "cellar/x.c": ("", "room 'cellar' is not listed"),
        "base/bad.c": ('\n#include "tank/tank.h"\n', "src/base/bad.c:2: \"tank/tank.h\": base may not know tank"),
        "tank/bad.c": ('#  include "tank.h"', "is not of the form"),
        "tank/gone.c": ('#include "base/gone.h"', "does not exist"),
        "oscillator/bad.c": ('#include "valve/valve_internal.h"', "internal to valve"),
        "item/bad.c": ('#include "yaml/yaml.h"', "does not exist"),
    }
    for path, (text, word) in planted.items():
        found = faults_of({**base, path: text})
        assert len([f for f in found if word in f]) == 1, (path, word, found)
    loop = {"item/a.h": '#include "yaml/b.h"', "yaml/b.h": '#include "item/a.h"'}
    assert any(f.startswith("cycle: item -> yaml -> item") for f in faults_of(loop)), faults_of(loop)


def test_list_has_no_cycle():
    assert cycles_of({room: {other: "the list" for other in others} for room, others in ALLOWED.items()}) == []


def test_tree():
    src = pathlib.Path(__file__).resolve().parents[2] / "src"
    files = {p.relative_to(src).as_posix(): p.read_text(encoding="utf-8") for p in src.glob("*/*") if p.suffix in (".c", ".h", ".def")}
    assert len(files) > 20, "no sources found"
    faults = faults_of(files)
    assert not faults, "\n" + "\n".join(faults)


if __name__ == "__main__":
    from harness import run
    sys.exit(run(globals()))
