"""What stands round a set of several valves: duty and breaker, trips and meters, standing faults, flash-arc, filament, by other routes than
the program's (docs/theory/duty.md, guards.md, faults.md, filament.md): sums over the past, circuits in equal steps, waves by Gauss's rule,
roots by halving. Everything takes plain figures and returns figures by their key."""
import math

from work_and_coil import gauss, root

BREAKERS = (16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400)
SCALES = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 8.0)


def up(x, step):
    return step * math.ceil(x / step - 1e-9)


def integral(f, low, high, n=10, pieces=1):
    width = (high - low) / pieces
    return sum(w * f(x) for k in range(pieces) for x, w in gauss(n, low + k * width, low + (k + 1) * width))


def runge_kutta(slopes, state, t, dt):
    def moved(k, share):
        return [x + share * dt * s for x, s in zip(state, k)]
    a = slopes(t, state)
    b = slopes(t + 0.5 * dt, moved(a, 0.5))
    c = slopes(t + 0.5 * dt, moved(b, 0.5))
    d = slopes(t + dt, moved(c, 1.0))
    return [x + dt / 6.0 * (p + 2.0 * q + 2.0 * r + s) for x, p, q, r, s in zip(state, a, b, c, d)]


def top(before, here, after):
    """Height of the parabola through three equal steps."""
    return here + (after - before) ** 2 / (8.0 * (2.0 * here - before - after))


# ---- duty and breaker ----

def body(on, period, constant):
    """Share of the shot's steady rise that a body has at the end of a shot: what all shots of the past have left in it."""
    total = 0.0
    for shot in range(1 + int(45.0 * constant / period)):
        total += integral(lambda ago: math.exp(-ago / constant) / constant, shot * period, shot * period + on, 10, 4)
    return total


def inrush(rated, air, high, remanence, saturation):
    """Closed at the volts' zero: the flux is summed up, what is over saturation draws current through the air."""
    flux, steps, peak = remanence, 20000, 0.0
    for k in range(steps):
        flux += high * math.sin(math.pi * (k + 0.5) / steps) * math.pi / steps
        peak = max(peak, math.sqrt(2.0) * rated / air * max(0.0, flux - saturation))
    return peak


def closing(crest, inductance, resistance, capacitance):
    """Greatest volts of the stores, charged through leakage and copper; the diodes hold them."""
    dt = math.pi * math.sqrt(inductance * capacitance) / 1000.0
    state, tops = [0.0, 0.0], [0.0]
    for k in range(1200):
        state = runge_kutta(lambda _, s: [s[1] / capacitance, (crest - s[0] - resistance * s[1]) / inductance], state, 0.0, dt)
        tops.append(state[0])
    k = max(range(1, len(tops) - 1), key=tops.__getitem__)
    return top(*tops[k - 1:k + 2])


def breaker(line, held, switch_on):
    rated = next(b for b in BREAKERS if b >= max(1.25 * line, held / 1.05))
    return rated, next(m for m in range(5, 100) if math.sqrt(2.0) * m * 0.8 * rated >= 1.1 * switch_on)


# ---- standing faults ----

def crest(v2):
    """Greatest sum of two bridges a twelfth of a cycle apart, over a fine grid that meets it."""
    def line(angle):
        phases = [math.cos(angle - 2.0 * math.pi * k / 3.0) for k in range(3)]
        return max(phases) - min(phases)
    return math.sqrt(2.0 / 3.0) * v2 * max(line(k * math.pi / 360.0) + line(k * math.pi / 360.0 + math.pi / 6.0) for k in range(720))


def stopped(law_current, volts_at, bleeder, no_load):
    """Valves and bleeder against the supply; grid at the cathode."""
    v = root(lambda v: v - volts_at(law_current(v) + v / bleeder), 0.3 * no_load, no_load)
    return v, law_current(v)


def spectrum(wave, n, pieces=24):
    """Mean, rms, and rms at the n-th multiple, of a wave given over a whole turn; kinks at multiples of 15 degrees."""
    points = [(t, wave(t), w / (2.0 * math.pi)) for k in range(pieces)
              for t, w in gauss(10, 2.0 * math.pi * k / pieces, 2.0 * math.pi * (k + 1) / pieces)]
    parts = [math.sqrt(2.0) * sum(v * f(n * t) * w for t, v, w in points) for f in (math.cos, math.sin)]
    return sum(v * w for _, v, w in points), math.sqrt(sum(v * v * w for _, v, w in points)), math.hypot(*parts)


THIRD = 2.0 * math.pi / 3.0


def three(t):
    return [math.cos(t - k * THIRD) for k in range(3)]


def rectified(potentials):
    """Direct volts, and which line the current leaves and comes back by."""
    lines = range(len(potentials))
    high, low = max(lines, key=potentials.__getitem__), min(lines, key=potentials.__getitem__)
    return potentials[high] - potentials[low], high, low


class Phases:
    """Limb volts cos; star secondary 1/sqrt 3 of them a winding, delta all. Lines that are lost by bridge. Current as the volts."""
    def __init__(self, star=(0, 1, 2), delta=(0, 1, 2)):
        self.star, self.delta = star, delta

    def at(self, t):
        """Direct volts, and the current of a line of a primary in delta."""
        e = three(t)
        star, a, b = rectified([e[k] / math.sqrt(3.0) for k in self.star])
        delta, c, d = rectified([(e[k] - e[k - 1]) / 3.0 for k in self.delta])
        v = star + delta
        limbs = [0.0] * 3
        limbs[self.star[a]] += v / math.sqrt(3.0)
        limbs[self.star[b]] -= v / math.sqrt(3.0)
        # a winding k of the delta lies between lines k and k + 1
        lines = [0.0] * 3
        lines[self.delta[c]] += v
        lines[self.delta[d]] -= v
        for k in range(3):
            limbs[k] += (lines[k] - lines[(k + 1) % 3]) / 3.0
        return v, [limbs[k] - limbs[k - 1] for k in range(3)]

    def told(self):
        mean, _, second = spectrum(lambda t: self.at(t)[0], 2)
        lines = []
        for k in range(3):
            m, rms, _ = spectrum(lambda t, k=k: self.at(t)[1][k], 1)
            lines.append(math.sqrt(rms * rms - m * m))
        return mean, second / mean, max(lines)


def phase_missing():
    mean, _, line = Phases().told()

    def single(t):
        """A primary line lost: the limbs have u, -u/2, -u/2."""
        u = math.cos(t)
        e = [u, -0.5 * u, -0.5 * u]
        return rectified([x / math.sqrt(3.0) for x in e])[0] + rectified([(e[k] - e[k - 1]) / 3.0 for k in range(3)])[0]
    m, _, second = spectrum(single, 2)
    # what the line brings is what the load takes, at all times: u i = v^2
    _, rms, _ = spectrum(lambda t: single(t) ** 2 / math.cos(t), 1)
    lost = [Phases(star=(0, 1)).told(), Phases(delta=(0, 1)).told()]
    return {"primary_line_share": m / mean, "primary_line_ripple": second / m, "primary_line_current": rms / line,
            "secondary_line_share": max(x[0] for x in lost) / mean, "secondary_line_ripple": lost[0][1],
            "secondary_line_current": max(x[2] for x in lost) / line}


def earthing(volts, capacitance, resistance, safe):
    """Discharge in equal steps to safe volts and on to the end: time, and what the resistor has taken."""
    dt, state, steps = resistance * capacitance / 200.0, [volts, 0.0], 0
    reached = None
    while state[0] > 1e-6 * volts:
        before = state[0]
        state = runge_kutta(lambda _, s: [-s[0] / (resistance * capacitance), s[0] ** 2 / resistance], state, 0.0, dt)
        if reached is None and state[0] <= safe:
            reached = dt * (steps + math.log(before / safe) / math.log(before / state[0]))
        steps += 1
    return reached, state[1]


# ---- filament ----

def filament(volts, amps, cold_ratio, limit, frequency=50.0):
    """Start dead cold: reactance for the limit in rms by halving, to 0.1 mohm; the circuit in equal steps from every angle of closing."""
    hot, w = volts / amps, 2.0 * math.pi * frequency
    cold = hot / cold_ratio

    def started(x):
        return amps * math.hypot(hot, x) / math.hypot(cold, x)
    x = up(root(lambda x: limit - started(x), 0.05 * hot, 10.0 * hot), 1e-4)
    e, n = amps * math.hypot(hot, x), 800

    def run(angle, cycles, e, x):
        current, out, dt = [0.0], [0.0], 1.0 / frequency / n
        for k in range(cycles * n):
            current = runge_kutta(lambda t, s: [(math.sqrt(2.0) * e * math.sin(w * t + angle) - cold * s[0]) * w / x], current, k * dt, dt)
            out.append(current[0])
        return out
    peaks = []
    for step in range(-3, 4):
        i = run(math.radians(5.0 * step), 1, e, x)
        k = max(range(1, n), key=lambda k: abs(i[k]))
        peaks.append(abs(top(*i[k - 1:k + 2])))

    def settled(e, x):
        return math.sqrt(sum(i * i for i in run(0.0, 30, e, x)[-n:]) / n)
    return {"series_reactance": x, "transformer_voltage_rms": e, "start_current_rms": settled(e, x),
            "start_current_high_rms": settled(1.01 * e, 0.9 * x), "start_current_pk": max(peaks),
            "short_circuit_current_rms": e / x, "apparent_power": e * amps, "regulation": e / volts - 1.0,
            "voltage_low_rms": 0.99 * e * hot / math.hypot(hot, 1.1 * x), "voltage_high_rms": 1.01 * e * hot / math.hypot(hot, 0.9 * x),
            "transformer_inrush_pk": inrush(e * amps / 400.0, 0.1, 1.1, 0.6, 4.0 / 3.0)}


# ---- meters ----

def scale(greatest, also=0.0):
    decades = (m * 10.0 ** d for d in range(-3, 7) for m in SCALES)
    return next(s for s in decades if greatest <= 0.8 * s * (1.0 + 1e-12) and also <= s * (1.0 + 1e-12))
