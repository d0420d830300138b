"""The acceptance runner sees what it must: right cases pass, each kind of wrong one fails. A small script stands in for the program."""
import os
import pathlib
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests/accept"))
import run as accept

PROGRAM = """#!/bin/sh
case $1 in
json) echo '{"figures": {"a.b": {"value": 2.385, "ok": true}}, "checks": [{"key": "k", "margin": -0.03}]}' ;;
echo) cat ;;
comma) locale decimal_point ;;
*) echo "one"; echo "two $1"; echo "three"; echo "bad '$1'" >&2; exit 3 ;;
esac
"""

RIGHT = """
$ rfwright 'x y'
? 3
> one
>/two [a-z ]+/
> three
! bad 'x y'

$ rfwright q
? 3
>...
> three
!...

$ rfwright json
= figures/a.b/value 2.386 0.001
= figures/a.b/ok true
= checks/key=k/margin -0.03 1e-9
= checks/0/key "k"

$ rfwright echo
< word
> word

+ LICENSE copy
$ test -s {tmp}/copy
"""

WRONG = {
    "exit code": "$ rfwright q\n>...\n!...\n",
    "line missing": "$ rfwright q\n? 3\n> one\n> three\n!...\n",
    "line too many": "$ rfwright q\n? 3\n> one\n> two q\n!...\n",
    "not the whole line": "$ rfwright q\n? 3\n> one\n>/two/\n> three\n!...\n",
    "silent on error": "$ rfwright q\n? 3\n>...\n",
    "error other": "$ rfwright q\n? 3\n>...\n! bad 'r'\n",
    "number off": "$ rfwright json\n= figures/a.b/value 2.39 0.001\n",
    "true is no number": "$ rfwright json\n= figures/a.b/ok 1 0.1\n",
    "1 is not true": "$ rfwright json\n= figures/a.b/value true\n",
    "no such key": "$ rfwright json\n= figures/a.c/value 2.385 0.1\n",
    "no such element": "$ rfwright json\n= checks/key=j/margin -0.03 0.1\n",
    "no JSON": "$ rfwright echo\n= figures 1 1\n",
    "foreign program": "$ sh -c true\n",
    "no case": "# nothing\n",
}


def counts(text, locale={"LC_ALL": "C"}):
    with tempfile.TemporaryDirectory() as folder:
        program, path = os.path.join(folder, "program"), os.path.join(folder, "x.test")
        pathlib.Path(program).write_text(PROGRAM)
        os.chmod(program, 0o755)
        pathlib.Path(path).write_text(text)
        return accept.run_file(path, program, locale, "a test")


def test_right():
    assert counts(RIGHT) == (5, 0), counts(RIGHT)


def test_wrong():
    for name, text in WRONG.items():
        assert counts(text) == (0, 1), name


def test_comma_locale_reaches_the_program():
    locale = accept.comma_locale()
    if locale is not None:
        assert counts("$ rfwright comma\n> ,\n", locale) == (1, 0)
    assert counts("$ rfwright comma\n> .\n") == (1, 0)


if __name__ == "__main__":
    from harness import run
    sys.exit(run(globals()))
