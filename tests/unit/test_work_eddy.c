/* Eddy currents by second routes: the field equation integrated by Runge-Kutta, limits, energy, the finite coil made long; what is refused. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "base/bessel.h"
#include "tests/check.h"
#include "work/eddy.h"

static const double mu0 = 1.25663706127e-6;   /* H/m, CODATA 2022 */

/* H'' = k^2 H - H'/r for k^2 = 2j/delta^2, from r = b (H = 1) to r = a by Runge-Kutta of fourth order. Also the loss by Joule's law:
 * the integral of |H'|^2 r. */
typedef struct profile { double complex h, slope; double joule; } profile;

static profile slopes_of(profile y, double r, double complex k2)
{
	return (profile){y.slope, k2 * y.h - y.slope / r, creal(y.slope * conj(y.slope)) * r};
}

static profile moved(profile y, profile d, double step)
{
	return (profile){y.h + step * d.h, y.slope + step * d.slope, y.joule + step * d.joule};
}

static profile integrate(double from, double to, double complex k2, double complex slope, int steps)
{
	profile y = {1.0, slope, 0.0};
	double step = (to - from) / steps;
	for (int i = 0; i < steps; i++) {
		double r = from + i * step;
		profile d1 = slopes_of(y, r, k2), d2 = slopes_of(moved(y, d1, 0.5 * step), r + 0.5 * step, k2);
		profile d3 = slopes_of(moved(y, d2, 0.5 * step), r + 0.5 * step, k2), d4 = slopes_of(moved(y, d3, step), r + step, k2);
		y = moved(moved(moved(moved(y, d1, step / 6.0), d2, step / 3.0), d3, step / 3.0), d4, step / 6.0);
	}
	return y;
}

/* q - jp of the flux, and p by Joule's law: both normalised to mu0 pi a^2, a = 1, delta = 1/x. */
static void by_equation(double x, double bore, double permeability, double complex *flux, double *joule, double complex *in_bore)
{
	double complex k2 = rw_complex(0.0, 2.0 * x * x);
	double from = bore > 0.0 ? bore : 1e-3;   /* near the axis of a bar H is 1 + k^2 r^2/4 */
	double complex slope = bore > 0.0 ? 0.5 * k2 * bore / permeability : 0.5 * k2 * from;
	profile y = integrate(from, 1.0, k2, slope, 20000);
	*flux = 2.0 * permeability * y.slope / (k2 * y.h);
	*joule = permeability * y.joule / (x * x * creal(y.h * conj(y.h)));
	*in_bore = 1.0 / y.h;
}

static void test_bar_by_equation(void **state)
{
	(void)state;
	static const double list[] = {0.317, 1.123, 2.385, 4.71, 9.37, 17.9};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		double complex flux, in_bore;
		double joule;
		rw_eddy_factor f;
		rw_error err;
		by_equation(list[i], 0.0, 1.0, &flux, &joule, &in_bore);
		CHECK_OK(rw_eddy_bar(list[i], &f, &err), &err);
		CHECK_NEAR(f.q, creal(flux), 2e-6, "field equation, Runge-Kutta from r = 0.001 a");
		CHECK_NEAR(f.p, -cimag(flux), 2e-6, "field equation, Runge-Kutta from r = 0.001 a");
		CHECK_NEAR(f.p, joule, 2e-6, "Joule's law");
	}
}

static void test_tube_by_equation(void **state)
{
	(void)state;
	static const double list[][3] = {{1.37, 0.83, 1.0}, {3.19, 0.55, 1.0}, {7.3, 0.913, 47.0}, {12.7, 0.71, 3.3}, {0.231, 0.972, 210.0}, {2.9, 0.11, 1.0}};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++) {
		double complex flux, in_bore;
		double joule;
		rw_eddy_tube_factor f;
		rw_error err;
		by_equation(list[i][0], list[i][1], list[i][2], &flux, &joule, &in_bore);
		CHECK_OK(rw_eddy_tube(list[i][0], list[i][1], list[i][2], &f, &err), &err);
		CHECK_NEAR(f.q, creal(flux), 1e-9, "field equation, Runge-Kutta");
		CHECK_NEAR(f.p, -cimag(flux), 1e-9, "field equation, Runge-Kutta");
		CHECK_NEAR(f.bore_field, cabs(in_bore), 1e-9, "field equation, Runge-Kutta");
		CHECK_NEAR_SCALE(f.bore_phase, carg(in_bore), 1e-9, 1.0, "field equation, Runge-Kutta");
		/* the bore loses nothing: what enters is Joule's heat in the wall */
		CHECK_NEAR(f.p, joule, 1e-7, "Joule's law");
		assert_true(f.error > 0.0 && f.error <= 1e-8);
	}
}

static void test_limits(void **state)
{
	(void)state;
	rw_eddy_factor f;
	rw_eddy_tube_factor t;
	rw_error err;
	for (double x = 1e-6; x < 0.02; x *= 4.37) {
		CHECK_OK(rw_eddy_bar(x, &f, &err), &err);
		CHECK_NEAR(f.p, 0.25 * x * x * (1.0 - 11.0 * pow(x, 4) / 96.0), 1e-12 + pow(x, 8), "series for thin bars");
		CHECK_NEAR(f.q, 1.0 - pow(x, 4) / 12.0, 1e-15 + pow(x, 8), "series for thin bars");
		CHECK_OK(rw_eddy_slab(x, &f, &err), &err);
		CHECK_NEAR(f.p, x * x / 6.0, 1e-15 + pow(x, 4), "series for thin slabs");
	}
	for (double x = 60.0; x < 1e9; x *= 7.13) {
		CHECK_OK(rw_eddy_bar(x, &f, &err), &err);
		CHECK_NEAR(f.p, (1.0 - 0.5 / x - 0.0625 / (x * x)) / x, 1e-14 + 0.2 / (x * x * x), "series for thick bars");
		CHECK_NEAR(f.q, (1.0 + 0.0625 / (x * x)) / x, 1e-14 + 0.2 / (x * x * x), "series for thick bars");
		CHECK_OK(rw_eddy_slab(x, &f, &err), &err);
		CHECK_NEAR(f.p, 1.0 / x, 1e-15, "plane wave");
		CHECK_OK(rw_eddy_tube(x, 0.371, 1.0, &t, &err), &err);
		CHECK_NEAR(t.p, (1.0 - 0.5 / x - 0.0625 / (x * x)) / x, 1e-12 + 0.2 / (x * x * x), "a thick wall is a bar");
	}
	/* a small bore is no bore; a thin wall is a sheet: 1/(1 + j b t/delta^2) of the field is inside */
	CHECK_OK(rw_eddy_bar(2.3, &f, &err), &err);
	CHECK_OK(rw_eddy_tube(2.3, 1e-7, 1.0, &t, &err), &err);
	CHECK_NEAR(t.p, f.p, 1e-12, "bar");
	CHECK_NEAR(t.q, f.q, 1e-12, "bar");
	double x = 30.0, wall = 1e-4, shield = x * x * wall;
	CHECK_OK(rw_eddy_tube(x, 1.0 - wall, 1.0, &t, &err), &err);
	CHECK_NEAR(t.bore_field, 1.0 / hypot(1.0, shield), 3e-4, "sheet");
	CHECK_NEAR(t.bore_phase, -atan(shield), 3e-4, "sheet");
}

/* Across the borders between the three routes nothing jumps; the Wronskian holds on both sides and off the diagonal. */
static void test_bessel(void **state)
{
	(void)state;
	static const double borders[] = {2.0, 30.0};
	rw_bessel below, above;
	rw_error err;
	for (int i = 0; i < 2; i++)
		for (double angle = 0.0; angle < 0.79; angle += 0.196) {
			double complex unit = rw_complex(cos(angle), sin(angle)), z = borders[i] * unit;
			CHECK_OK(rw_bessel_scaled(z * (1.0 - 1e-15), &below, &err), &err);
			CHECK_OK(rw_bessel_scaled(z * (1.0 + 1e-15), &above, &err), &err);
			assert_true(cabs(above.i0 - below.i0) < 1e-13 * cabs(below.i0) && cabs(above.i1 - below.i1) < 1e-13 * cabs(below.i1));
			assert_true(cabs(above.k0 - below.k0) < 1e-13 * cabs(below.k0) && cabs(above.k1 - below.k1) < 1e-13 * cabs(below.k1));
			assert_true(cabs(z * (above.i0 * above.k1 + above.i1 * above.k0) - 1.0) < 1e-14);
			assert_true(cabs(z * (below.i0 * below.k1 + below.i1 * below.k0) - 1.0) < 1e-14);
		}
	/* DLMF 10.25, printed tables of real argument: I0(1), I1(1), K0(1), K1(1) */
	CHECK_OK(rw_bessel_scaled(1.0, &below, &err), &err);
	CHECK_NEAR(creal(below.i0) * exp(1.0), 1.2660658777520084, 1e-15, "tables");
	CHECK_NEAR(creal(below.i1) * exp(1.0), 0.5651591039924850, 1e-15, "tables");
	CHECK_NEAR(creal(below.k0) * exp(-1.0), 0.4210244382407083, 2e-15, "tables");
	CHECK_NEAR(creal(below.k1) * exp(-1.0), 0.6019072301972346, 2e-15, "tables");
	rw_bessel kept = below;
	static const double complex bad[] = {0.0, -1.0, 1e200};
	for (int i = 0; i < 3; i++)
		assert_int_equal(rw_bessel_scaled(bad[i], &below, &err), RW_E_RANGE);
	assert_int_equal(rw_bessel_scaled(rw_complex(1.0, 1.1), &below, &err), RW_E_RANGE);
	assert_int_equal(rw_bessel_scaled(rw_complex((double)NAN, 0.0), &below, &err), RW_E_RANGE);
	double complex t = 7.0;
	assert_int_equal(rw_bessel_ratio(-1.0, &t, &err), RW_E_RANGE);
	assert_memory_equal(&kept, &below, sizeof kept);
	assert_true(t == 7.0);
}

/* The library's functions of real argument against the complex ones, over all routes of both. */
static void test_bessel_real(void **state)
{
	(void)state;
	rw_bessel z;
	rw_bessel_real x;
	rw_error err;
	for (double at = 1.7e-12; at < 1e7; at *= 1.0719) {
		CHECK_OK(rw_bessel_scaled(at, &z, &err), &err);
		CHECK_OK(rw_bessel_scaled_real(at, &x, &err), &err);
		CHECK_NEAR(x.i0, creal(z.i0), 1e-14, "series, fractions");
		CHECK_NEAR(x.i1, creal(z.i1), 1e-14, "series, fractions");
		CHECK_NEAR(x.k0, creal(z.k0), 1e-14, "series, fractions");
		CHECK_NEAR(x.k1, creal(z.k1), 1e-14, "series, fractions");
	}
	static const double bad[] = {0.0, -2.3, 1e-160, 1e160, (double)NAN};
	rw_bessel_real kept = x;
	for (int i = 0; i < 5; i++)
		assert_int_equal(rw_bessel_scaled_real(bad[i], &x, &err), RW_E_RANGE);
	assert_memory_equal(&kept, &x, sizeof kept);
}

/* The ratio by the recurrence of the orders from far above, over all routes and the wedge; near zero t -> q/2. */
static void test_bessel_ratio(void **state)
{
	(void)state;
	rw_error err;
	for (double size = 0.0137; size < 500.0; size *= 1.31)
		for (double angle = 0.0; angle < 0.79; angle += 0.157) {
			double complex z = size * rw_complex(cos(angle), sin(angle)), t = 0.0, ratio = 0.0;
			CHECK_OK(rw_bessel_ratio(0.25 * z * z, &t, &err), &err);
			for (int n = 2000; n > 0; n--)   /* I(n)/I(n-1) */
				ratio = 1.0 / (2.0 * n / z + ratio);
			assert_true(cabs(2.0 * ratio * (1.0 + t) - z) < 1e-14 * cabs(z));
		}
	for (double q = 1e-9; q > 1e-300; q *= 1e-7) {
		double complex t = 0.0;
		CHECK_OK(rw_bessel_ratio(rw_complex(0.0, q), &t, &err), &err);
		CHECK_NEAR(cimag(t), 0.5 * q, 1e-15, "series");
		CHECK_NEAR_SCALE(creal(t), q * q / 12.0, 1e-12, q, "series");
	}
}

/* The greatest p by trying, and a tube in the solenoid against its own factors. */
static void test_best_and_solenoid(void **state)
{
	(void)state;
	rw_eddy_factor f;
	rw_eddy_tube_factor t;
	rw_eddy_loading l;
	rw_error err;
	double best, p;
	CHECK_OK(rw_eddy_best_bar(&best, &p, &err), &err);
	for (double off = -0.4; off < 0.45; off += 0.1) {
		CHECK_OK(rw_eddy_bar(0.5 * best + off, &f, &err), &err);
		assert_true(f.p <= p && (f.p < p || fabs(off) < 1e-9));
	}
	rw_eddy_body tube = {0.0237, 0.0191, 2.61e-7, 17.3};
	double frequency = 8730.0, turns = 131.0, current = 87.0, coil = 0.0313, delta = rw_eddy_depth(tube.resistivity, tube.permeability, frequency);
	CHECK_OK(rw_eddy_in_solenoid(&tube, coil, turns, current, frequency, &l, &err), &err);
	CHECK_OK(rw_eddy_tube(tube.radius / delta, tube.bore / tube.radius, tube.permeability, &t, &err), &err);
	double w = 2.0 * M_PI * frequency, field = turns * current;
	CHECK_NEAR(l.power, w * mu0 * M_PI * tube.radius * tube.radius * t.p * field * field, 1e-13, "flux times volts a turn");
	CHECK_NEAR(l.power, l.resistance * current * current, 1e-14, "I^2 R");
	CHECK_NEAR(l.surface_power * 2.0 * M_PI * tube.radius, l.power, 1e-14, "area");
	CHECK_NEAR(l.reactance, w * mu0 * turns * turns * M_PI * (coil * coil - tube.radius * tube.radius * (1.0 - t.q)), 1e-13, "flux");
	CHECK_NEAR(l.field_rms, 11397.0, 1e-14, "n I");
}

/* A long coil on the rod is the infinite solenoid but for its ends: differences of two lengths take these away. A thin winding is a sheet. */
static void test_long_coil(void **state)
{
	(void)state;
	rw_eddy_body rod = {0.0183, 0.0, 4.7e-7, 3.1};
	rw_eddy_coil shorter = {200.0, 2.0, 0.0271, 0.0271}, longer = {300.0, 3.0, 0.0271, 0.0271}, thick = shorter;
	rw_eddy_change a, b, c;
	rw_eddy_loading l;
	rw_error err;
	double frequency = 9100.0, n = 100.0, w = 2.0 * M_PI * frequency;
	CHECK_OK(rw_eddy_coil_on_rod(&rod, &shorter, frequency, &a, &err), &err);
	CHECK_OK(rw_eddy_coil_on_rod(&rod, &longer, frequency, &b, &err), &err);
	CHECK_OK(rw_eddy_in_solenoid(&rod, shorter.inner_radius, n, 1.0, frequency, &l, &err), &err);
	double empty = w * mu0 * M_PI * n * n * shorter.inner_radius * shorter.inner_radius;
	CHECK_NEAR(b.resistance - a.resistance, l.resistance, 3e-4, "infinite solenoid; ends still see each other a little");
	CHECK_NEAR_SCALE(b.reactance - a.reactance, l.reactance - empty, 3e-4, l.resistance, "infinite solenoid");
	assert_true(a.error <= 1e-8 * hypot(a.resistance, a.reactance) && a.resistance < 2.0 * l.resistance);
	thick.outer_radius *= 1.0 + 1e-6;
	CHECK_OK(rw_eddy_coil_on_rod(&rod, &thick, frequency, &c, &err), &err);
	CHECK_NEAR(c.resistance, a.resistance, 1e-5, "sheet");
	CHECK_NEAR(c.reactance, a.reactance, 1e-5, "sheet");
	CHECK_NEAR(c.inductance * w, c.reactance, 1e-14, "X = wL");
	/* poor conductor: R goes with sigma f^2, and nothing is left of X */
	rod = (rw_eddy_body){0.0183, 0.0, 3.7e-2, 1.0};
	CHECK_OK(rw_eddy_coil_on_rod(&rod, &shorter, frequency, &a, &err), &err);
	CHECK_OK(rw_eddy_coil_on_rod(&rod, &shorter, 3.0 * frequency, &b, &err), &err);
	CHECK_NEAR(b.resistance, 9.0 * a.resistance, 1e-6, "eddy currents too weak to act back");
	assert_true(fabs(a.reactance) < 1e-3 * a.resistance);
}

/* Work coils of 200 kHz to 4 MHz: each tolerance is kept against the finest, and the error found bounds what is off. */
typedef struct off { double resistance, reactance, error; } off;

static off off_at(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, double tolerance)
{
	rw_eddy_change fine, c;
	rw_error err;
	CHECK_OK(rw_eddy_coil_on_rod(rod, coil, frequency, &fine, &err), &err);
	CHECK_OK(rw_eddy_coil_on_rod_to(rod, coil, frequency, tolerance, &c, &err), &err);
	off o = {fabs(c.resistance - fine.resistance), fabs(c.reactance - fine.reactance), c.error};
	assert_true(o.resistance <= o.error && o.reactance <= o.error);
	double greater = fmax(fabs(fine.reactance), fine.resistance);
	assert_true(o.resistance <= tolerance * fine.resistance && o.reactance <= tolerance * greater && o.error <= tolerance * greater);
	return o;
}

static void test_tolerance(void **state)
{
	(void)state;
	static const double tolerances[] = {1e-3, 1e-5, 1e-8};
	double greatest[3] = {0.0, 0.0, 0.0};
	for (double radius = 0.0121; radius < 0.035; radius *= 1.69)
		for (double gap = 0.0021; gap < 0.0061; gap *= 2.87)
			for (double length = 0.0083; length < 0.131; length *= 3.94)
				for (double frequency = 2.1e5; frequency < 4e6; frequency *= 4.3)
					for (double permeability = 1.0; permeability < 101.0; permeability *= 9.9)
						for (int i = 0; i < 3; i++) {
							rw_eddy_body rod = {radius, 0.0, permeability > 5.0 ? 2.3e-7 : 1.17e-6, permeability};
							rw_eddy_coil coil = {7.0, length, radius + gap, radius + gap};
							off o = off_at(&rod, &coil, frequency, tolerances[i]);
							greatest[i] = fmax(greatest[i], o.error);
						}
	assert_true(greatest[0] > greatest[1] && greatest[1] > greatest[2] && greatest[2] > 0.0);   /* a tolerance does something */
	/* outside that: long, thick, close, a poor conductor, a rod that adds inductance */
	static const double list[][6] = {   /* radius, resistivity, permeability; length, inner, outer radius */
		{0.0183, 4.7e-7, 3.1, 2.0, 0.0271, 0.0271}, {0.0183, 4.7e-7, 3.1, 0.6, 0.0271, 0.0839}, {0.0183, 4.7e-7, 3.1, 0.6, 0.0184, 0.0184},
		{0.0183, 3.7e-2, 1.0, 0.06, 0.0271, 0.0271}, {0.0023, 2.1e-6, 290.0, 0.06, 0.0271, 0.0292}, {0.231, 1.7e-8, 1.0, 0.001, 0.239, 0.239},
	};
	for (size_t i = 0; i < sizeof list / sizeof *list; i++)
		for (int k = 0; k < 3; k++)
			(void)off_at(&(rw_eddy_body){list[i][0], 0.0, list[i][1], list[i][2]},
			             &(rw_eddy_coil){7.0, list[i][3], list[i][4], list[i][5]}, 9100.0, tolerances[k]);
}

/* By a second route: the fields' own functions for all of the wave, and the trapezoidal rule over the logarithm of its number. */
static double complex plain_wave(const rw_eddy_body *rod, double inner, double frequency, double u)
{
	double a = rod->radius, delta = rw_eddy_depth(rod->resistivity, rod->permeability, frequency);
	double complex u1 = csqrt(rw_complex(u * u, 2.0 / (delta * delta)));
	rw_bessel out, in, coil;
	rw_error err;
	CHECK_OK(rw_bessel_scaled(a * u, &out, &err), &err);
	CHECK_OK(rw_bessel_scaled(a * u1, &in, &err), &err);
	CHECK_OK(rw_bessel_scaled(inner * u, &coil, &err), &err);
	double complex inside = u1 * in.i0 / in.i1, outside = u * rod->permeability;
	double complex d = (outside * out.i0 - inside * out.i1) / (outside * out.k0 + inside * out.k1);
	return d * inner * coil.k1 * inner * coil.k1 * exp(-2.0 * u * (inner - a));
}

static void test_rod_by_trapezoids(void **state)
{
	(void)state;
	static const double list[][6] = {{0.0135, 1.13e-6, 1.0, 0.0083, 0.0171, 2.7e6}, {0.0215, 2.7e-7, 37.0, 0.047, 0.0251, 4.1e5}};
	for (int i = 0; i < 2; i++) {
		rw_eddy_body rod = {list[i][0], 0.0, list[i][1], list[i][2]};
		rw_eddy_coil coil = {4.0, list[i][3], list[i][4], list[i][4]};
		double f = list[i][5], n = coil.turns / coil.length, w = 2.0 * M_PI * f, step = 0.0007;
		double complex sum = 0.0;
		for (double t = log(1e-9); t < log(6e3); t += step) {
			double u = exp(t), window = 2.0 * sin(0.5 * u * coil.length) / u;
			sum += step * u * window * window * plain_wave(&rod, coil.inner_radius, f, u);
		}
		rw_eddy_change c;
		rw_error err;
		CHECK_OK(rw_eddy_coil_on_rod(&rod, &coil, f, &c, &err), &err);
		CHECK_NEAR(c.resistance, -2.0 * w * mu0 * n * n * cimag(sum), 1e-10, "trapezoidal rule");
		CHECK_NEAR(c.reactance, 2.0 * w * mu0 * n * n * creal(sum), 1e-10, "trapezoidal rule");
	}
}

static void refused(rw_status got, const rw_error *err, const char *word)
{
	assert_int_equal(got, RW_E_RANGE);
	if (!strstr(err->what, word))
		fail_msg("'%s' does not say '%s'", err->what, word);
}

static void test_refusals(void **state)
{
	(void)state;
	rw_error err;
	rw_eddy_factor f = {7.0, 7.0};
	rw_eddy_tube_factor t = {.p = 7.0};
	rw_eddy_loading l = {.power = 7.0};
	rw_eddy_change c = {.resistance = 7.0};
	rw_eddy_body rod = {0.0183, 0.0, 4.7e-7, 3.1}, tube = {0.0183, 0.0101, 4.7e-7, 3.1}, negative = {0.0183, -0.01, 4.7e-7, 3.1};
	rw_eddy_coil coil = {60.0, 0.6, 0.0271, 0.0271}, tight = coil, inverted = coil, touching = coil;
	tight.inner_radius = 0.0182;
	inverted.outer_radius = 0.0262;
	touching.inner_radius = touching.outer_radius = 0.0183 * (1.0 + 1e-9);
	static const double bad[] = {0.0, -2.3, (double)NAN, (double)INFINITY};
	for (int i = 0; i < 4; i++) {
		refused(rw_eddy_bar(bad[i], &f, &err), &err, "radius over skin depth");
		refused(rw_eddy_slab(bad[i], &f, &err), &err, "thickness over skin depth");
		refused(rw_eddy_tube(bad[i], 0.9, 1.0, &t, &err), &err, "radius over skin depth");
		refused(rw_eddy_tube(2.0, 0.9, bad[i], &t, &err), &err, "permeability");
		refused(rw_eddy_in_solenoid(&rod, bad[i], 100.0, 1.0, 1e4, &l, &err), &err, "coil radius");
		refused(rw_eddy_in_solenoid(&rod, 0.03, bad[i], 1.0, 1e4, &l, &err), &err, "turns");
		refused(rw_eddy_in_solenoid(&rod, 0.03, 100.0, 1.0, bad[i], &l, &err), &err, "frequency");
		refused(rw_eddy_coil_on_rod(&rod, &coil, bad[i], &c, &err), &err, "frequency");
	}
	refused(rw_eddy_tube(2.0, 1.0, 1.0, &t, &err), &err, "leaves no wall");
	refused(rw_eddy_tube(1e-3, 0.9, 1.0, &t, &err), &err, "rounding hides it");
	refused(rw_eddy_in_solenoid(&rod, 0.0183, 100.0, 1.0, 1e4, &l, &err), &err, "does not clear");
	refused(rw_eddy_in_solenoid(&rod, 0.03, 100.0, -1.0, 1e4, &l, &err), &err, "current");
	refused(rw_eddy_in_solenoid(&negative, 0.03, 100.0, 1.0, 1e4, &l, &err), &err, "bore");
	refused(rw_eddy_coil_on_rod(&tube, &coil, 1e4, &c, &err), &err, "bore");
	refused(rw_eddy_coil_on_rod(&rod, &tight, 1e4, &c, &err), &err, "does not clear");
	refused(rw_eddy_coil_on_rod(&rod, &inverted, 1e4, &c, &err), &err, "below the inner");
	assert_int_equal(rw_eddy_coil_on_rod(&rod, &touching, 1e4, &c, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "close to the rod"));
	static const double no_tolerance[] = {0.0, -1e-5, 0.9e-11, 0.011, (double)NAN};
	for (int i = 0; i < 5; i++)
		refused(rw_eddy_coil_on_rod_to(&rod, &coil, 1e4, no_tolerance[i], &c, &err), &err, "tolerance");
	rw_eddy_body insulator = {0.0183, 0.0, 1e7, 1.0};
	assert_int_equal(rw_eddy_coil_on_rod(&insulator, &coil, 1e4, &c, &err), RW_E_NOSOLVE);
	assert_non_null(strstr(err.what, "rounding"));
	assert_true(f.p == 7.0 && t.p == 7.0 && l.power == 7.0 && c.resistance == 7.0);
	assert_true(isnan(rw_eddy_depth(-1.0, 1.0, 1.0)) && isnan(rw_eddy_depth(1.0, 0.0, 1.0)) && isnan(rw_eddy_depth(1.0, 1.0, (double)NAN)));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_bar_by_equation), cmocka_unit_test(test_tube_by_equation), cmocka_unit_test(test_limits),   cmocka_unit_test(test_bessel),
		cmocka_unit_test(test_bessel_real),     cmocka_unit_test(test_bessel_ratio),     cmocka_unit_test(test_best_and_solenoid),
		cmocka_unit_test(test_long_coil),       cmocka_unit_test(test_tolerance),        cmocka_unit_test(test_rod_by_trapezoids),
		cmocka_unit_test(test_refusals),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
