#!/usr/bin/env python3
"""Valves that share, by another route than the program's: each corner of the spread on its own leak at swings that all share.

usage: sharing.py [--write]
Prints the points, checks that valve/sharing.csv still holds them (--write puts them there), and what is certain of any valve: what comes
in leaves, and what the grid does not burn goes into the leak.
"""
import csv
import io
import pathlib
import sys

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "worked"))
from divided_law import Law, means

PERVEANCE, MU, DIVISION = 1.6e-3, 22.0, 2.4              # data/valves/demo-12kw.yaml, invented
LEAK = 910.0                                             # ohm
SWINGS = {                                               # V: anode, anode swing, grid swing of the set worked in docs/decisions/0010, rounded
    "hot": (8770.0, 7720.0, 1158.0), "cold": (8720.0, 6630.0, 995.0), "empty": (9050.0, 9150.0, 1372.0),
}
VALVES = {                                               # perveance left, spread of perveance, spread of mu
    "10 and 5 %": (1.0, 0.10, 0.05), "8 % of perveance": (1.0, 0.08, 0.0), "5 % of mu": (1.0, 0.0, 0.05), "worn, 10 and 5 %": (0.9, 0.10, 0.05),
}
UNITS = {"anode_current": "A", "anode_loss": "W", "grid_current": "A", "grid_loss": "W", "cathode_current_pk": "A"}
# The idealised valves of the class C points: anode current and loss go with the perveance, grid current and with it the bias do not.
# perveance, mu, exponent, grid's perveance; anode volts, anode swing, bias, grid swing; leak; anode current, anode loss, grid current
IDEAL = {
    "S1": ("2e-3", 20, 1.5, "0.25e-3", 10000, 8500, -800, 1300, "1711.4233", 6.107369, 15069.46, 0.4674472),
    "S3": ("0.5e-3", 35, 1.5, "0.12e-3", 6000, 5000, -300, 560, "3233.351", 0.55793242, 892.94384, 0.092782999),
    "S4": ("60e-3", 20, 1, "0.25e-3", 8000, 6800, -700, 1150, "1738.2967", 7.5435545, 15779.531, 0.40269305),
}
IDEAL_SPREAD = 0.1
STORED = HERE / "valve/sharing.csv"
TOLERANCE = 1e-6                                         # of the stored figures, which have eight digits


def on_its_leak(law, anode, swing, grid_swing):
    """Bias by halving, the means there, and the peak of the space current, which is where the grid is most positive."""
    low, high = -grid_swing, 0.0
    for _ in range(50):
        bias = 0.5 * (low + high)
        if bias + LEAK * means(law, anode, swing, bias, grid_swing)["grid_dc"] > 0.0:
            high = bias
        else:
            low = bias
    m = means(law, anode, swing, bias, grid_swing)
    peak = sum(law.currents(anode - swing, bias + grid_swing))
    return bias, m, {"anode_current": m["anode_dc"], "anode_loss": m["anode_loss"], "grid_current": m["grid_dc"], "grid_loss": m["grid_loss"],
                     "cathode_current_pk": peak}


def point(state, valve):
    anode, swing, grid_swing = SWINGS[state]
    left, of_perveance, of_mu = VALVES[valve]
    laws = [Law(left * PERVEANCE * (1.0 + a * of_perveance), MU * (1.0 + b * of_mu), DIVISION)
            for a, b in ((0, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))]
    valves = [on_its_leak(law, anode, swing, grid_swing) for law in laws]
    bad = []
    for bias, m, _ in valves:
        given, drive = 0.5 * swing * m["anode_fund"], 0.5 * grid_swing * m["grid_fund"]
        if not abs(anode * m["anode_dc"] - given - m["anode_loss"]) < 1e-8 * anode * m["anode_dc"]:
            bad.append(f"{state}, {valve}: not so: input less output is anode loss")
        if not abs(drive - m["grid_loss"] + bias * m["grid_dc"]) < 1e-8 * drive:
            bad.append(f"{state}, {valve}: not so: drive less grid loss goes into the leak")
    greatest = {key: max(figures[key] for _, _, figures in valves) for key in UNITS}
    return valves[0][0], valves[0][2], greatest, bad


def rows_of(points):
    where = "halving for the bias, Simpson's rule between the kinks of the divided law (tests/reference/sharing.py)"
    for (state, valve), (bias, mean, greatest, _) in points.items():
        anode, swing, grid_swing = SWINGS[state]
        left, of_perveance, of_mu = VALVES[valve]
        inputs = (f"perveance={left * PERVEANCE:g};mu={MU:g};division={DIVISION:g};anode_voltage={anode:g};anode_swing={swing:g};"
                  f"grid_bias={bias:.12g};grid_swing={grid_swing:g};leak={LEAK:g};spread_perveance={of_perveance:g};spread_mu={of_mu:g}")
        told = {f"{key}_greatest": (value, UNITS[key]) for key, value in greatest.items()}
        told["sharing"] = (greatest["anode_current"] / mean["anode_current"], "1")
        for key, (value, unit) in told.items():
            yield [f"{state}, {valve}", inputs, key, f"{value:.8g}", unit, f"{TOLERANCE:g}", "two quadratures of one law, eight digits stored", where, "derived"]
    where = "exact test point of an idealised valve, adaptive quadrature, times 1 + spread"
    for name, (p, mu, n, g, anode, swing, bias, grid_swing, leak, current, loss, grid) in IDEAL.items():
        inputs = (f"perveance={p};mu={mu};exponent={n};grid_perveance={g};anode_voltage={anode};anode_swing={swing};grid_bias={bias};"
                  f"grid_swing={grid_swing};leak={leak};spread_perveance={IDEAL_SPREAD:g};spread_mu=0")
        for key, value, unit in (("anode_current_greatest", (1.0 + IDEAL_SPREAD) * current, "A"), ("anode_loss_greatest", (1.0 + IDEAL_SPREAD) * loss, "W"),
                                 ("grid_current_greatest", grid, "A"), ("sharing", 1.0 + IDEAL_SPREAD, "1")):
            yield [name, inputs, key, f"{value:.8g}", unit, f"{TOLERANCE:g}", "seven digits printed, of the leak too", where, "derived"]


def as_csv(rows):
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow("case,inputs,key,expected,unit,tol,why,where,status".split(","))
    out.writerows(rows)
    return text.getvalue()


def compare(rows):
    """The stored rows against the figures now."""
    with STORED.open(encoding="utf-8", newline="") as file:
        stored = [row for row in csv.DictReader(file)]
    if len(stored) != len(rows):
        return [f"{len(stored)} rows stored, not {len(rows)}"]
    return [f"{row[0]}, {row[2]}: {row[3]}, stored {kept['expected']}" for row, kept in zip(rows, stored)
            if (row[0], row[2]) != (kept["case"], kept["key"]) or not abs(float(row[3]) - float(kept["expected"])) <= TOLERANCE * abs(float(row[3]))]


def main():
    points = {(state, valve): point(state, valve) for state in SWINGS for valve in VALVES}
    print("state   valves               bias    I_a,gr  of mean  P_a,gr    I_g,gr  P_g,gr  i_k,gr")
    for (state, valve), (bias, mean, g, _) in points.items():
        print(f"{state:7} {valve:18} {bias:6.0f} V  {g['anode_current']:5.2f} A  {g['anode_current'] / mean['anode_current']:6.4f} {g['anode_loss'] / 1e3:6.2f} kW"
              f"  {g['grid_current']:5.2f} A  {g['grid_loss']:4.0f} W  {g['cathode_current_pk']:4.1f} A")
    rows = list(rows_of(points))
    if sys.argv[1:] == ["--write"]:
        STORED.write_text(as_csv(rows), encoding="utf-8")
    bad = compare(rows) + [line for *_, lines in points.values() for line in lines]
    for line in bad:
        print("FAIL", line)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
