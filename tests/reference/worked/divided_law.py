"""The divided law and its class C means in plain Python, by another route than the program's: Simpson's rule on each piece between the
kinks, which for sinusoidal swings are arc cosines. Shared by the separate calculations of this tier."""
import math

INTERVALS = 400   # of each piece; even


class Law:
    def __init__(self, perveance, mu, division):
        self.perveance, self.mu, self.division = perveance, mu, division

    def currents(self, va, vg):
        """Anode and grid current (A) at anode and grid volts (V), rule R1."""
        drive = vg + max(va, 0.0) / self.mu
        if drive <= 0.0:
            return 0.0, 0.0
        space = self.perveance * drive * math.sqrt(drive)
        if va <= 0.0:
            return 0.0, space
        if vg <= 0.0:
            return space, 0.0
        ratio = math.sqrt(vg / va) / self.division if va >= vg else (vg / va) ** 2 / self.division
        return space / (1.0 + ratio), space * ratio / (1.0 + ratio)

    def kinks(self, va, vam, bias, vgm):
        """Angles in (0, pi) where va(t) = va - vam cos t and vg(t) = bias + vgm cos t meet a corner of the law."""
        corners = [
            (vgm - vam / self.mu, -bias - va / self.mu),   # i_k = 0, anode volts over zero
            (vgm, -bias),                                  # vg = 0
            (vgm + vam, va - bias),                        # va = vg
            (vam, va),                                     # va = 0
        ]
        return sorted(math.acos(b / a) for a, b in corners if a != 0.0 and -1.0 < b / a < 1.0)


def means(law, va, vam, bias, vgm):
    """Means and fundamentals of both currents, and the mean losses va ia, vg ig (A, W): one integral each over half a cycle, which
    is even. The cubic step takes the roots at a piece's ends off."""
    edges = [0.0, *law.kinks(va, vam, bias, vgm), math.pi]
    sums = [0.0] * 6
    for low, high in zip(edges, edges[1:]):
        for k in range(INTERVALS + 1):
            s = k / INTERVALS
            c = math.cos(low + (high - low) * s * s * (3.0 - 2.0 * s))
            simpson = 1.0 if k in (0, INTERVALS) else 4.0 if k % 2 else 2.0
            weight = simpson / (3.0 * INTERVALS) * (high - low) * 6.0 * s * (1.0 - s) / math.pi
            v_anode, v_grid = va - vam * c, bias + vgm * c
            ia, ig = law.currents(v_anode, v_grid)
            for i, value in enumerate((ia, 2.0 * ia * c, ig, 2.0 * ig * c, v_anode * ia, v_grid * ig)):
                sums[i] += weight * value
    names = ("anode_dc", "anode_fund", "grid_dc", "grid_fund", "anode_loss", "grid_loss")
    return dict(zip(names, sums))


def newton(residuals, x, tolerance=1e-12):
    """A system of equations by Newton's method with differences for slopes; residuals are of the order of 1. Halves a step that does not help."""
    for _ in range(60):
        r = residuals(x)
        size = max(map(abs, r))
        if size < tolerance:
            return x
        columns = []
        for j, xj in enumerate(x):
            h = 1e-6 * abs(xj)
            there = residuals([*x[:j], xj + h, *x[j + 1:]])
            columns.append([(b - a) / h for a, b in zip(r, there)])
        step = solve([[column[i] for column in columns] for i in range(len(x))], r)
        factor = 1.0
        while factor > 1e-4:
            tried = [a - factor * b for a, b in zip(x, step)]
            if max(map(abs, residuals(tried))) < size:
                break
            factor *= 0.5
        if size < 1e-10 and factor <= 1e-4:
            return x   # rounding is all that is left
        x = tried
    raise ArithmeticError(f"no balance found near {x}")


def solve(matrix, right):
    """Gauss with pivots."""
    rows = [[*row, b] for row, b in zip(matrix, right)]
    n = len(rows)
    for i in range(n):
        pivot = max(range(i, n), key=lambda k: abs(rows[k][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for k in range(i + 1, n):
            factor = rows[k][i] / rows[i][i]
            rows[k] = [a - factor * b for a, b in zip(rows[k], rows[i])]
    x = [0.0] * n
    for i in reversed(range(n)):
        x[i] = (rows[i][n] - sum(rows[i][k] * x[k] for k in range(i + 1, n))) / rows[i][i]
    return x
