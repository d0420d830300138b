"""Runs the test_* functions of a script in order, says which failed and why, and counts; the exit code follows."""
import traceback


def run(names):
    passed, failed = 0, 0
    for name, function in list(names.items()):
        if not name.startswith("test_") or not callable(function):
            continue
        try:
            function()
            passed += 1
        except Exception:
            failed += 1
            print(f"{name} failed")
            traceback.print_exc()
    print(f"counted: {passed} passed, {failed} failed", flush=True)
    return 1 if failed or not passed else 0
