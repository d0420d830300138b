"""docs/file-reference.md is what the program's tables say, and its JSON and CSV are what the program prints."""
import json
import os
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILT = ROOT / "build/debug/src"
PRINTER = os.environ.get("FILE_REFERENCE", str(BUILT / "file_reference"))
PROGRAM = os.environ.get("RFWRIGHT", str(BUILT / "rfwright"))
HEAD, PAGE, EXAMPLE = "docs/file-reference-head.md", "docs/file-reference.md", "examples/forge-400.yaml"


def run(*command):
    environment = {**os.environ, "RFWRIGHT_DATA": str(ROOT / "data")}
    return subprocess.run(command, cwd=ROOT, env=environment, text=True, capture_output=True, timeout=120, check=True).stdout


def block(language):
    found = re.findall(rf"^```{language}\n(.*?)^```$", (ROOT / HEAD).read_text(encoding="utf-8"), re.M | re.S)
    assert len(found) == 1, (language, len(found))
    return found[0]


def differences(told, real, where):
    """Keys and types of an example against the real thing; the values are free."""
    if isinstance(told, dict):
        if not isinstance(real, dict):
            return [f"{where}: not an object"]
        figures = where.endswith("figures")                 # a map of many, of which some are told
        faults = [f"{where}: no '{key}'" for key in told if key not in real]
        faults += [f"{where}: '{key}' is not told" for key in real if key not in told and not figures]
        return faults + [f for key in told if key in real for f in differences(told[key], real[key], f"{where}.{key}")]
    if isinstance(told, list):
        if not isinstance(real, list):
            return [f"{where}: not a list"]
        faults = []
        for example in told:
            match = [r for r in real if "key" not in example or r["key"] == example["key"]]
            faults += differences(example, match[0], f"{where}[]") if match else [f"{where}: none like {example}"]
        return faults
    return [] if type_name(told) == type_name(real) else [f"{where}: {type_name(real)}, told as {type_name(told)}"]


def type_name(value):
    return {int: "number", float: "number"}.get(type(value), type(value).__name__)


def test_differences_are_seen():
    real = {"a": 1.5, "figures": {"x": {"value": 2.0}, "y": {"value": None}}, "checks": [{"key": "k", "ok": True}]}
    assert differences(real, real, "") == []
    assert differences({**real, "figures": {"x": {"value": 7.25}}}, real, "") == []
    for wrong in ({**real, "b": 1}, {k: v for k, v in real.items() if k != "a"}, {**real, "a": "1.5"}, {**real, "a": True},
                  {**real, "figures": {"z": {"value": 2.0}}}, {**real, "figures": {"x": {"value": 2.0, "unit": "V"}}}, {**real, "figures": {"y": {"value": 1.0}}},
                  {**real, "checks": [{"key": "j", "ok": True}]}, {**real, "checks": [{"key": "k", "ok": None}]}):
        assert len(differences(wrong, real, "")) == 1, (wrong, differences(wrong, real, ""))


def test_page_is_what_the_tables_say():
    printed, page = run(PRINTER, HEAD), (ROOT / PAGE).read_text(encoding="utf-8")
    if printed == page:
        return
    told, real = page.splitlines(), printed.splitlines()
    at = next((i for i, (a, b) in enumerate(zip(told, real)) if a != b), min(len(told), len(real)))
    raise AssertionError(f"{PAGE}:{at + 1} is out of date:\n  {told[at:at + 1]}\n  {real[at:at + 1]}\n"
                         f"again: build/debug/src/file_reference {HEAD} >{PAGE}")


def test_json_is_as_told():
    faults = differences(json.loads(block("json")), json.loads(run(PROGRAM, "solve", "--format", "json", EXAMPLE)), "")
    assert not faults, "\n".join(faults)


def test_csv_is_as_told():
    assert run(PROGRAM, "solve", "--format", "csv", EXAMPLE).splitlines()[0] == block("csv").strip()


if __name__ == "__main__":
    from harness import run as run_tests
    sys.exit(run_tests(globals()))
