"""Figures of a generator file, heat of a surface job, a coil of turns and its steel bar, by another route than the program's
(docs/theory.md, sections 3, 17 and 18, and the data sheet src/coil/loaded.h): finite volumes; Bessel functions by integrals, series and
sums; the sheet on a rod by Gauss's rule; rings by sums round the ring; images of the turns by the field along the plane."""
import cmath
import functools
import math
import pathlib
import re

ROOT = pathlib.Path(__file__).resolve().parents[3]
MU0, SIGMA = 1.25663706127e-6, 5.670374419e-8
SUBSTITUTIONS = 30
UNITS = {"mm": 1e-3, "kHz": 1e3, "MHz": 1e6, "kW": 1e3, "kV": 1e3, "V": 1.0, "pF": 1e-12, "nH": 1e-9, "mohm": 1e-3, "uohm.m": 1e-6,
         "s": 1.0, "kg": 1.0, "kJ/kg/K": 1e3, "kg/m3": 1.0, "J/kg/K": 1.0, "W/m/K": 1.0, "kA/m": 1e3, "": 1.0, "ohm": 1.0, "degC": 1.0,
         "mA/V^1.5": 1e-3, "m": 1.0, "K": 1.0, "A": 1.0, "Hz": 1.0, "nF": 1e-9, "MVA": 1e6, "kV/m": 1e3}


# ---- inputs ----

def read(name):
    """Figures of a file by their path, SI; temperatures stay in degC. Tables become lists of rows."""
    out, path, table = {}, [], None
    for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
        text = line.split("#")[0].rstrip()
        if not text:
            continue
        depth = len(text) - len(text.lstrip())
        if table is not None and depth > table[0]:
            words = text.split()
            if re.match(r"^-?[\d.]", words[0]):
                out[table[1]].append([float(w) * u for w, u in zip(words, table[2])])
            else:
                table[2] = [UNITS[w.partition("/")[2]] for w in words]
            continue
        table = None
        key, _, value = text.strip().partition(":")
        path = [p for p in path if p[0] < depth] + [(depth, key)]
        full, value = ".".join(p[1] for p in path), value.strip()
        if value == "|":
            table, out[full] = [depth, full, []], []
        elif number := re.match(r"^(-?[\d.e+-]*\d) ?(.*)$", value):
            out[full] = float(number[1]) * UNITS.get(number[2], math.nan)
        elif value:
            out[full] = value
    return out


def steffen(rows, x):
    """Steffen's monotone cubic (Astron. Astrophys. 239, 1990): the slope at a row is the parabola's, cut to twice the lesser secant."""
    n = len(rows)
    k = max(i for i in range(n - 1) if rows[i][0] <= x)
    s = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in zip(rows, rows[1:])]

    def slope(i):
        if i in (0, n - 1):
            return s[0] if i == 0 else s[-1]
        before, behind = rows[i][0] - rows[i - 1][0], rows[i + 1][0] - rows[i][0]
        p = (s[i - 1] * behind + s[i] * before) / (before + behind)
        if s[i - 1] * s[i] <= 0.0:
            return 0.0
        return math.copysign(2.0, s[i]) * min(abs(s[i - 1]), abs(s[i]), 0.5 * abs(p))
    h = rows[k + 1][0] - rows[k][0]
    t = (x - rows[k][0]) / h
    return (rows[k][1] * (1 + 2 * t) * (1 - t) ** 2 + rows[k + 1][1] * t * t * (3 - 2 * t)
            + h * slope(k) * t * (1 - t) ** 2 - h * slope(k + 1) * t * t * (1 - t))


def mean(rows, low, high):
    """Mean of a table between two of its arguments: Gauss with 4 points between rows, exact for cubics."""
    edges = [low, *(r[0] for r in rows if low < r[0] < high), high]
    return sum(w * steffen(rows, x) for a, b in zip(edges, edges[1:]) for x, w in gauss(4, a, b)) / (high - low)


def digits(x, n):
    return float(f"{x:.{n - 1}e}")


@functools.lru_cache
def gauss_rule(n):
    rule = []
    for i in range(n):
        x = math.cos(math.pi * (i + 0.75) / (n + 0.5))
        for _ in range(50):
            p, before = x, 1.0
            for k in range(2, n + 1):
                p, before = ((2 * k - 1) * x * p - (k - 1) * before) / k, p
            slope = n * (x * p - before) / (x * x - 1.0)
            x -= p / slope
        rule.append((x, 2.0 / ((1.0 - x * x) * slope * slope)))
    return rule


def gauss(n, low, high):
    return [(0.5 * (low + high) + 0.5 * (high - low) * x, 0.5 * (high - low) * w) for x, w in gauss_rule(n)]


def root(f, low, high):
    """Halving: slow and sure."""
    sign = f(low) > 0.0
    if (f(high) > 0.0) == sign:
        raise ArithmeticError("no change of sign")
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if (f(middle) > 0.0) == sign else (low, middle)
    return 0.5 * (low + high)


# ---- heat of a surface job: section 17 ----

def conduction(radius, depth, k, a, time, skin, n, steps):
    """Rise over flux (K m2/W) at the depth and at the surface of a cylinder, power as exp(-2x/skin): cells round n + 1 nodes, trapezoids in
    time after two implicit halves that damp the start."""
    h = radius / n
    edge = [0.0, *((i + 0.5) * h for i in range(n)), radius]

    def within(r):   # integral of r exp(2 (r - radius)/skin) from 0
        m = 2.0 / skin
        return ((m * r - 1.0) * math.exp(m * (r - radius)) + math.exp(-m * radius)) / m ** 2
    scale = radius / within(radius)
    source = [scale * (within(b) - within(c)) for b, c in zip(edge[1:], edge)]
    volume = [0.5 * (b * b - c * c) * k / a for b, c in zip(edge[1:], edge)]
    g = [k * edge[i + 1] / h for i in range(n)]
    t = [0.0] * (n + 1)
    dt = time / steps
    for step, share in [(0.5 * dt, 1.0)] * 2 + [(dt, 0.5)] * (steps - 1):
        right = [v * x / step + s for v, x, s in zip(volume, t, source)]
        for i in range(n):
            flow = (1.0 - share) * g[i] * (t[i + 1] - t[i])
            right[i] += flow
            right[i + 1] -= flow
        diagonal = [v / step + share * ((g[i] if i < n else 0.0) + (g[i - 1] if i else 0.0)) for i, v in enumerate(volume)]
        for i in range(1, n + 1):
            f = share * g[i - 1] / diagonal[i - 1]
            diagonal[i] -= f * share * g[i - 1]
            right[i] += f * right[i - 1]
        t[n] = right[n] / diagonal[n]
        for i in reversed(range(n)):
            t[i] = (right[i] + share * g[i] * t[i + 1]) / diagonal[i]
    return t[n - round(depth / h)], t[n]


def surface_job(work, steel, skin):
    start, target = 20.0, work["target_temperature"]
    k, c = mean(steel["thermal.conductivity"], start, target), mean(steel["thermal.heat_capacity"], start, target)
    args = (0.5 * work["diameter"], work["depth"], k, k / (steel["thermal.density"] * c), work["time"], skin)
    coarse, fine = conduction(*args, 120, 60), conduction(*args, 240, 120)
    depth, surface = ((4.0 * f - c) / 3.0 for f, c in zip(fine, coarse))   # both errors go as the square
    flux = (target - start) / depth
    end = start + flux * surface + 273.15
    begin = start + 273.15

    def loss(share):
        now = begin + (end - begin) * share
        return steel["surface.emissivity"] * SIGMA * (now ** 4 - begin ** 4) + 10.0 * (now - begin)
    power = flux + sum(w * 2.0 * u * loss(u) for u, w in gauss(6, 0.0, 1.0))   # u the root of the time's share
    return power, end


# ---- Bessel functions ----

@functools.lru_cache(maxsize=None)
def bessel_k(x):
    """exp(x) K0 and K1 by their integral over hyperbolic angles; equal steps, for which it converges as no other."""
    k0 = k1 = 0.0
    for i in range(200):
        c = math.cosh(0.2 * i)
        e = math.exp(-x * (c - 1.0)) * (0.1 if i == 0 else 0.2)
        k0 += e
        k1 += e * c
        if e < 1e-18 * k0:
            break
    return k0, k1


@functools.lru_cache(maxsize=None)
def bessel_i(x):
    """exp(-x) I0 and I1 of a real argument, by equal steps round half a circle."""
    n = 40 + int(2 * x)
    angles = [(math.cos(math.pi * i / n), 0.5 if i in (0, n) else 1.0) for i in range(n + 1)]
    values = [(math.exp(x * (c - 1.0)) * share, c) for c, share in angles]
    return sum(e for e, _ in values) / n, sum(e * c for e, c in values) / n


def i0_over_i1(z):
    """Of a complex argument of positive real part: in powers, beyond 12 for large arguments, which leaves out exp(-2 Re z)."""
    if z.real < 12.0:
        a = b = term = 1.0 + 0j
        for k in range(1, 200):
            term *= 0.25 * z * z / (k * k)
            a += term
            b += term / (k + 1)
        return a / (0.5 * z * b)
    sums = []
    for order in (0, 1):
        term = total = 1.0 + 0j
        for k in range(1, 40):
            later = term * ((2 * k - 1) ** 2 - 4 * order ** 2) / (8.0 * k * z)
            if abs(later) > abs(term) or abs(later) < 1e-17:
                break
            term = later
            total += term
        sums.append(total)
    return sums[0] / sums[1]


def flux_factor(x):
    """q - j p of a bar of x skin depths in an even field: flux over mu H area."""
    w = (1 + 1j) * x
    return 2.0 / (w * i0_over_i1(w))


# ---- coil of turns: section 18 ----

def skin_depth(resistivity, frequency, permeability=1.0):
    return math.sqrt(resistivity / (math.pi * frequency * MU0 * permeability))


def copper(celsius=60.0):
    return 1.7241e-8 * (1.0 + 0.00393 * (celsius - 20.0))


def ring(radius, distance, n=400):
    """Mutual inductance of two rings of one radius, and the axial and radial flux density of 1 A in the one at the other."""
    mutual = axial = radial = 0.0
    for i in range(n):
        c = math.cos(2.0 * math.pi * i / n)
        far = math.sqrt(2.0 * radius ** 2 * (1.0 - c) + distance ** 2)
        mutual += c / far
        axial += (radius - radius * c) / far ** 3
        radial += distance * c / far ** 3
    return (0.5 * MU0 * radius ** 2 * 2.0 * math.pi * mutual / n, 0.5 * MU0 * radius * axial / n, 0.5 * MU0 * radius * radial / n)


def medhurst(wire_to_pitch, length_to_diameter):
    """Both tables side by side, the length of each column in its heading; bilinear between the four cells around."""
    short, long = (read("data/tables/medhurst.yaml")[f"{n}.resistance_ratio_{n}"] for n in ("short", "long"))
    lengths = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0]
    rows = [[*a, *b[1:-1]] for a, b in zip(short, long)]
    lower = max(i for i in range(len(rows) - 1) if rows[i][0] <= wire_to_pitch)
    column = max(i for i in range(len(lengths) - 1) if lengths[i] <= length_to_diameter)
    along = (length_to_diameter - lengths[column]) / (lengths[column + 1] - lengths[column])
    ends = [r[1 + column] + along * (r[2 + column] - r[1 + column]) for r in rows[lower:lower + 2]]
    return ends[0] + (wire_to_pitch - rows[lower][0]) / (rows[lower + 1][0] - rows[lower][0]) * (ends[1] - ends[0])


class Coil:
    def __init__(self, job):
        self.n, self.inner, self.r = int(job["turns"]), 0.5 * job["inner_diameter"], 0.5 * job["width"]
        self.pitch = (job["length"] - job["width"]) / (self.n - 1)
        self.radius = self.inner + self.r

    def inside(self, rho, frequency):
        """Impedance of the conductor over the solid wire's resistance; walls of over ten skin depths are as solid to 1e-9."""
        w = (1 + 1j) * self.r / skin_depth(rho, frequency)
        return 0.5 * w * i0_over_i1(w)

    def empty(self, frequency):
        """Resistance (straight and wound) and reactance."""
        rho = copper()
        x = self.r / skin_depth(rho, frequency)
        w = (1 + 1j) * x
        length = self.n * math.hypot(2.0 * math.pi * self.radius, self.pitch)
        inside = self.inside(rho, frequency)
        straight = rho * length / (math.pi * self.r ** 2) * inside.real
        excess = medhurst(2.0 * self.r / self.pitch, self.n * self.pitch / (2.0 * self.radius)) - 1.0
        wound = 1.0 + excess * (1.0 - 1.0 / self.n) * 0.5 * (w / i0_over_i1(w)).real / inside.real
        e = self.r / self.radius
        l8 = math.log(8.0 / e)
        skin, even = l8 - 2.0 - e * e * (0.25 * (l8 - 1.0) ** 2 - 3.0 / 16.0), (1.0 + e * e / 8.0) * l8 + e * e / 24.0 - 1.75
        own = MU0 * self.radius * (skin + 4.0 * inside.imag / (x * x) * (even - skin))
        fields = {k: ring(self.radius, k * self.pitch) for k in range(1, self.n)}
        total = self.n * own + sum(2.0 * (self.n - k) * fields[k][0] for k in fields)
        return straight, straight * wound, 2.0 * math.pi * frequency * (total - self.crowding(fields, l8, 1.0 - flux_factor(x).real))

    def crowding(self, fields, l8, screened):
        bend = MU0 * math.sqrt(0.25 * (l8 - 1.0) ** 2 - 3.0 / 16.0) / (2.0 * math.pi * self.radius)
        total = 0.0
        for i in range(self.n):
            others = [k for k in range(self.n) if k != i]
            along = bend + sum(fields[abs(i - k)][1] for k in others)
            across = sum(math.copysign(fields[abs(i - k)][2], i - k) for k in others)
            dipoles = sum((self.r / ((i - k) * self.pitch)) ** 2 for k in others)
            total += along ** 2 / (1.0 + dipoles) - bend ** 2 + across ** 2 / (1.0 - dipoles)
        return screened * 2.0 * math.pi * self.radius * 2.0 * math.pi * self.r ** 2 / MU0 * total

    def loaded(self, a, rho, mu, frequency):
        """Resistance reflected, copper's, reactance, and the surface field of 1 A. The part is longer than the coil."""
        depth, gap = skin_depth(rho, frequency, mu), self.inner - a
        h, middle = math.sqrt(gap * (gap + 2.0 * self.r)), gap + self.r
        spread = math.sqrt(self.n ** 2 - 1.0) * self.pitch
        factor = mu * flux_factor(a / depth)
        straight, own, reactance = self.empty(frequency)
        face, inner = (sheet_on_rod(self.n, spread, a, a + y, depth, mu, frequency) for y in (h, 0.5 * (h + middle)))
        reflected = self.separate(h, spread) * face.real
        field = math.sqrt(reflected / (2.0 * math.pi * frequency * MU0 * math.pi * a * a * -factor.imag * (spread + 2.0 * h)))
        own += straight * (middle / h - 1.0) * max(0.0, 1.0 - factor.real)
        return reflected, own, reactance + 0.5 * (face.imag + inner.imag), field

    def separate(self, h, spread):
        """Loss in a plane under the filaments over that under the sheet, the fields summed along the plane (in units of h tan u)."""
        at = [(k - 0.5 * (self.n - 1)) * self.pitch for k in range(self.n)]
        loss = [0.0, 0.0]
        for i in range(1, 400):
            u = math.pi * (i / 400 - 0.5)
            x, dx = h * math.tan(u), h / math.cos(u) ** 2
            loss[0] += dx * sum(h / ((x - z) ** 2 + h * h) for z in at) ** 2
            loss[1] += dx * (self.n / spread * (math.atan((x + 0.5 * spread) / h) - math.atan((x - 0.5 * spread) / h))) ** 2
        return loss[0] / loss[1]


def sheet_on_rod(turns, length, a, b, depth, mu, frequency):
    """Impedance a rod adds to a current sheet: j w 2 mu0 b^2 N^2 INT K1(kb)^2 reaction sinc(kl/2)^2 dk, the reaction from the two fields'
    continuity at the rod."""
    total, edges = 0j, [0.0, 5.0, 20.0]
    while edges[-1] < 16.0 / (b - a):
        edges.append(edges[-1] + min(edges[-1], 120.0))
    for low, high in zip(edges, edges[1:]):
        for k, weight in gauss(10, low, high):
            inside = cmath.sqrt(k * k + 2j / depth ** 2)
            beta = inside / mu * i0_over_i1(inside * a)
            (i0, i1), (k0, k1), kb = bessel_i(k * a), bessel_k(k * a), bessel_k(k * b)[1]
            reaction = (k * i0 - beta * i1) / (k * k0 + beta * k1) * math.exp(-2.0 * k * (b - a))
            total += weight * kb * kb * reaction * (math.sin(0.5 * k * length) / (0.5 * k * length)) ** 2
    return 2j * math.pi * frequency * 2.0 * MU0 * b * b * turns ** 2 * total


class SteelLoad:
    """A coil with a steel bar at one temperature; impedances as (reflected, own, reactance)."""
    def __init__(self, coil, diameter, steel, celsius):
        self.coil, self.a, self.curve = coil, 0.5 * diameter, steel["magnetic.permeability"]
        self.rho = steffen(steel["electrical.resistivity"], celsius)
        warmth = (celsius - 20.0) / (steel["magnetic.curie_temperature"] - 20.0)
        self.fade = max(0.0, 1.0 - warmth * warmth)

    def at(self, frequency, current):
        mu = 30.0 if self.fade else 1.0
        for _ in range(SUBSTITUTIONS):
            z = self.coil.loaded(self.a, self.rho, mu, frequency)
            if not self.fade:
                return z[:3], 1.0
            found = 1.0 + (steffen(self.curve, z[3] * current) - 1.0) * self.fade
            if abs(found / mu - 1.0) < 1e-7:
                return z[:3], mu
            mu = found
        raise ArithmeticError("no permeability of its own field")

    def current_for(self, frequency, heat):
        current = 1000.0
        for _ in range(SUBSTITUTIONS):
            before, current = current, math.sqrt(heat / self.at(frequency, current)[0][0])
            if abs(current / before - 1.0) < 1e-6 or not self.fade:
                return current
        raise ArithmeticError("no current for the heat")
