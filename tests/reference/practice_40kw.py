#!/usr/bin/env python3
"""Where the invented 40 kW valve lands beside what practice expects of a large water-cooled triode at 8 kV. Nothing is tuned to it.

usage: practice_40kw.py [--write]
Prints the points, checks that valve/practice-40kw.csv still holds them (--write puts them there), and what is certain of any valve:
what comes in leaves, drive less grid loss goes into the leak, efficiency stays under the swing's share of the anode volts.
"""
import csv
import io
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "worked"))
from divided_law import Law, means, newton

PERVEANCE, MU, DIVISION = 3.6e-3, 20.0, 2.4              # data/valves/demo-40kw.yaml, invented
ANODE_VOLTS, BIAS, LEAST_SHARE = 8000.0, -760.0, 0.12
CURRENTS = (10.0, 11.0, 12.0)
STORED = HERE / "valve/practice-40kw.csv"
TOLERANCE = 1e-6                                         # of the stored figures, which have eight digits
UNITS = {"grid_swing_pk": "V", "output": "W", "efficiency": "1", "drive": "W", "grid_loss": "W", "leak": "W", "anode_current": "A", "grid_current": "A"}


def point(current):
    law = Law(PERVEANCE, MU, DIVISION)
    swing = (1.0 - LEAST_SHARE) * ANODE_VOLTS
    grid, = newton(lambda x: [means(law, ANODE_VOLTS, swing, BIAS, x[0])["anode_dc"] / current - 1.0], [1300.0])
    m = means(law, ANODE_VOLTS, swing, BIAS, grid)
    output, drive = 0.5 * swing * m["anode_fund"], 0.5 * grid * m["grid_fund"]
    return {"grid_swing_pk": grid, "anode_current": m["anode_dc"], "grid_current": m["grid_dc"], "output": output,
            "efficiency": output / (ANODE_VOLTS * m["anode_dc"]), "drive": drive, "grid_loss": m["grid_loss"], "leak": drive - m["grid_loss"],
            "anode_loss": m["anode_loss"]}


def certain(current, p):
    """What no choice of law can change."""
    yield "input less output is anode loss", abs(ANODE_VOLTS * current - p["output"] - p["anode_loss"]) < 1e-8 * p["output"]
    yield "drive less grid loss goes into the leak", abs(p["leak"] + BIAS * p["grid_current"]) < 1e-8 * p["drive"]
    yield "efficiency under the swing's share of the volts", 0.0 < p["efficiency"] < 1.0 - LEAST_SHARE


def as_csv(points):
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow("case,inputs,key,expected,unit,tol,why,where,status".split(","))
    for current, p in points.items():
        inputs = (f"perveance={PERVEANCE:g};mu={MU:g};division={DIVISION:g};anode_voltage={ANODE_VOLTS:g};"
                  f"anode_swing={(1.0 - LEAST_SHARE) * ANODE_VOLTS:g};grid_bias={BIAS:g};grid_swing={p['grid_swing_pk']:.12g}")
        for key in ("anode_current", "grid_current", "output", "efficiency", "drive", "grid_loss", "leak"):
            out.writerow([f"{current:g} A", inputs, key, f"{p[key]:.8g}", UNITS[key], f"{TOLERANCE:g}", "two quadratures of one law, eight digits stored",
                          "Simpson's rule between the kinks of the divided law (tests/reference/practice_40kw.py)", "derived"])
    return text.getvalue()


def compare(points):
    """The stored rows against the figures now."""
    bad = []
    with STORED.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        got = points[float(row["case"].split()[0])][row["key"]]
        if not abs(got - float(row["expected"])) <= TOLERANCE * abs(got):
            bad.append(f"{row['case']}, {row['key']}: {got:.9g}, stored {row['expected']}")
    if len(rows) != 7 * len(CURRENTS):
        bad.append(f"{len(rows)} rows stored, not {7 * len(CURRENTS)}")
    return bad


def main():
    points = {current: point(current) for current in CURRENTS}
    print("  I_a   swing  output    eff.   drive  grid loss  leak   I_g  anode loss")
    for current, p in points.items():
        print(f"{current:3.0f} A  {p['grid_swing_pk']:4.0f} V  {p['output'] / 1e3:4.1f} kW  {100 * p['efficiency']:4.1f} %  {p['drive'] / 1e3:.2f} kW"
              f"  {p['grid_loss'] / 1e3:.2f} kW  {p['leak'] / 1e3:.2f} kW  {p['grid_current']:.2f} A  {p['anode_loss'] / 1e3:.1f} kW")
    if sys.argv[1:] == ["--write"]:
        STORED.write_text(as_csv(points), encoding="utf-8")
    bad = compare(points)
    bad += [f"{current:g} A: not so: {what}" for current, p in points.items() for what, so in certain(current, p) if not so]
    for line in bad:
        print("FAIL", line)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
