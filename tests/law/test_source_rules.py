"""tools/lint.py on the tree, and on planted faults, so that it is known to see them."""
import pathlib
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tools"))
import lint

HEADER = """/* A room. */
#ifndef X_H
#define X_H

#include <stddef.h>

/* What it does. */
int rw_good(int a,
            int b);
double rw_same_group(void);

struct s { int a;   /* a comment */

	int b; };

void rw_s_serves(struct s *s);

%s
#endif
"""


def one(name, text, word):
    faults = lint.faults_of_text(name, text)
    assert len(faults) == 1 and word in faults[0], (name, word, faults)


def test_planted_text():
    assert lint.faults_of_text("src/a/a.h", HEADER % "") == []
    assert lint.faults_of_text("src/a/a.h", HEADER % "enum { A = 3 };\ntypedef int (*rw_callback)(void *);\n") == []
    assert lint.faults_of_text("src/a/a.h", HEADER % "int rw_short(void);   /* what it does */\n") == []
    one("src/a/a.h", HEADER % "int rw_bare(void);\n", "a.h:18: 'rw_bare' stands in no commented group")
    one("src/a/a.h", HEADER % "const char *rw_bare(int a,\n\tint b);\n", "'rw_bare'")
    one("src/a/a.c", "\n" * 701, "701 lines")
    assert lint.faults_of_text("src/a/a.c", "\n" * 700) == []
    assert lint.faults_of_text("src/a/a.def", "\n" * 701) == []
    one("docs/a.md", "see /ho" "me/somebody/notes", "home or work folder")
    one("docs/a.md", "cd /wo" "rk/there", "home or work folder")
    assert lint.faults_of_text("docs/a.md", "src/wo" "rk/work.h, ../wo" "rk/x") == []
    one("src/a/a.c", "/* TO" "DO: later */", "unfinished")


def test_planted_header_that_needs_another():
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder)
        (root / "src/a").mkdir(parents=True)
        (root / "src/a/good.h").write_text("#include <stddef.h>\ntypedef size_t rw_a;\n")
        (root / "src/a/needs.h").write_text("size_t rw_f(void);\n")
        faults = lint.faults_of_headers(root)
        assert len(faults) == 1 and "src/a/needs.h: does not compile alone" in faults[0], faults


def test_tree():
    faults = lint.faults_of_tree(ROOT)
    assert not faults, "\n" + "\n".join(faults)


if __name__ == "__main__":
    from harness import run
    sys.exit(run(globals()))
