#!/usr/bin/env python3
"""A generator file that another program changes between reading and saving is not overwritten.

The valve of the library is a pipe here: the program waits in it after it has read the generator file, and meanwhile the file is changed.
"""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tests/law"))
import harness  # noqa: E402

PROGRAM = os.environ.get("RFWRIGHT", str(ROOT / "build/debug/src/rfwright"))
SECONDS_MAX = 60


def pipe_when_read(path, program):
    """The pipe, opened when the program opens it; a program that ends before it gets there is a failure and not a wait for ever."""
    while True:
        try:
            descriptor = os.open(path, os.O_WRONLY | os.O_NONBLOCK)
            os.set_blocking(descriptor, True)
            return os.fdopen(descriptor, "wb")
        except OSError:
            assert program.poll() is None, program.communicate()[1]
            time.sleep(0.005)


def adopt_while(change):
    """Exit code, standard error, and the bytes of the file at the end (None: gone)."""
    with tempfile.TemporaryDirectory() as scratch:
        data, file = pathlib.Path(scratch, "data"), pathlib.Path(scratch, "set.yaml")
        shutil.copytree(ROOT / "data", data)
        shutil.copyfile(ROOT / "examples/forge-400.yaml", file)
        valve = data / "valves/demo-12kw.yaml"
        text = valve.read_bytes()
        valve.unlink()
        os.mkfifo(valve)
        env = {**os.environ, "RFWRIGHT_DATA": str(data), "LC_ALL": "C"}
        program = subprocess.Popen([PROGRAM, "adopt", str(file)], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        with pipe_when_read(valve, program) as pipe:
            change(file)
            pipe.write(text)
        out, err = program.communicate(timeout=SECONDS_MAX)
        assert out == "", out
        left = [path.name for path in pathlib.Path(scratch).iterdir() if path.name not in ("data", "set.yaml")]
        assert not left, f"left behind: {left}"
        return program.returncode, err, file.read_bytes() if file.exists() else None


def test_changed():
    code, err, kept = adopt_while(lambda file: file.write_text(file.read_text() + "# a colleague was here\n"))
    assert code == 5 and "was changed by another program" in err, (code, err)
    assert kept == (ROOT / "examples/forge-400.yaml").read_bytes() + b"# a colleague was here\n"


def test_gone():
    code, err, kept = adopt_while(pathlib.Path.unlink)
    assert code == 5 and "is no longer there" in err and kept is None, (code, err, kept)


def test_left_alone_is_saved():
    code, err, kept = adopt_while(lambda file: None)
    assert code == 0 and "written" in err, (code, err)
    assert kept != (ROOT / "examples/forge-400.yaml").read_bytes() and b"grid_leak: " in kept


if __name__ == "__main__":
    sys.exit(harness.run(dict(globals())))
