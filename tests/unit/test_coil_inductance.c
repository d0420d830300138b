/* Inductance and field of round coils against integrals worked here in other ways, limits, handbook approximations, and what is refused. */
#include "tests/check.h"

#include <string.h>

#include "base/base.h"
#include "coil/inductance.h"

static const double mu0 = 4e-7 * M_PI;   /* 1.3e-10 above the value of the code */

static double mutual(double a, double b, double distance)
{
	rw_error err;
	double m;
	CHECK_OK(rw_filament_mutual(a, b, distance, &m, &err), &err);
	return m;
}

static double nagaoka(double x)
{
	rw_error err;
	double k;
	CHECK_OK(rw_nagaoka(x, &k, &err), &err);
	return k;
}

/* Neumann's integral around both circles; the trapezoidal rule converges geometrically on a period. */
static double neumann(double a, double b, double distance, int n)
{
	double sum = 0.0;
	for (int k = 0; k < n; k++) {
		double c = cos(2.0 * M_PI * k / n);
		sum += c / sqrt(a * a + b * b + distance * distance - 2.0 * a * b * c);
	}
	return 0.5 * mu0 * a * b * 2.0 * M_PI * sum / n;
}

static void test_mutual_is_neumanns_integral(void **state)
{
	(void)state;
	static const double circles[][3] = {{0.0373, 0.0291, 0.0127}, {0.0373, 0.0291, -0.0127}, {0.0512, 0.0512, 0.0043},
	                                    {0.21, 0.0137, 0.0}, {0.083, 0.019, 0.62}};
	for (size_t i = 0; i < sizeof circles / sizeof *circles; i++) {
		const double *c = circles[i];
		CHECK_NEAR(mutual(c[0], c[1], c[2]), neumann(c[0], c[1], c[2], 2000), 1e-9, "Neumann's integral, numerically");
		CHECK_NEAR(mutual(c[1], c[0], c[2]), mutual(c[0], c[1], c[2]), 1e-14, "reciprocity");
	}
	CHECK_NEAR(mutual(0.0217, 0.0341, 870.0), 0.5 * mu0 * M_PI * pow(0.0217 * 0.0341, 2.0) / pow(870.0, 3.0), 1e-8, "two dipoles");
	double gap = 1.7e-8, radius = 0.0631;
	CHECK_NEAR(mutual(radius, radius, gap), mu0 * radius * (log(8.0 * radius / gap) - 2.0), 1e-9, "close circles: ln(8R/h) - 2");
}

/* L of the sheet from the mutuals of its own rings: INT 2 (l - h) M(h) dh n^2; h = l u^4 takes the logarithm off, Simpson's rule. */
static double sheet_by_rings(double turns, double diameter, double length)
{
	enum { N = 4000 };
	double sum = 0.0;
	for (int k = 1; k <= N; k++) {
		double u = (double)k / N, h = length * u * u * u * u, weight = k == N ? 1.0 : k % 2 ? 4.0 : 2.0;
		sum += weight * 2.0 * (length - h) * mutual(0.5 * diameter, 0.5 * diameter, h) * 4.0 * length * u * u * u;
	}
	return turns * turns / (length * length) * sum / (3.0 * N);
}

static void test_sheet_is_the_sum_of_its_rings(void **state)
{
	(void)state;
	static const double coils[][3] = {{7.3, 0.0847, 0.0619}, {11.0, 0.213, 0.0174}, {3.7, 0.031, 0.287}};
	for (size_t i = 0; i < sizeof coils / sizeof *coils; i++) {
		rw_error err;
		double l;
		CHECK_OK(rw_sheet_inductance(coils[i][0], coils[i][1], coils[i][2], &l, &err), &err);
		CHECK_NEAR(l, sheet_by_rings(coils[i][0], coils[i][1], coils[i][2]), 1e-8, "mutuals of the rings, integrated");
	}
}

/* Lundin's handbook form, stated to be within 3 ppm (Proc. IEEE 73, 1985, 1428). */
static double lundin(double x)
{
	double y = x <= 1.0 ? x * x : 1.0 / (x * x);
	double f1 = (1.0 + 0.383901 * y + 0.017108 * y * y) / (1.0 + 0.258952 * y), f2 = 0.093842 * y + 0.002029 * y * y - 0.000801 * y * y * y;
	return x <= 1.0 ? f1 - 4.0 * x / (3.0 * M_PI) : 2.0 / (M_PI * x) * ((log(4.0 * x) - 0.5) * f1 + f2);
}

static void test_nagaoka_limits(void **state)
{
	(void)state;
	for (double x = 0.013; x < 300.0; x *= 1.37)
		CHECK_NEAR(nagaoka(x), lundin(x), 3e-6, "Lundin 1985");
	CHECK_NEAR(nagaoka(0.0), 1.0, 0.0, "endless coil");
	CHECK_NEAR(nagaoka(3.7e-7), 1.0 - 4.0 * 3.7e-7 / (3.0 * M_PI), 1e-13, "long coil");
	CHECK_NEAR(nagaoka(7.3e5), 2.0 / (M_PI * 7.3e5) * (log(4.0 * 7.3e5) - 0.5), 1e-10, "flat ring");
	double step = 1e-9;   /* over the change of branch K moves by its slope only, about -K/x (1 - 1/(ln 4x - 1/2)) */
	double moved = nagaoka(100.0 * (1.0 + step)) - nagaoka(100.0 * (1.0 - step));
	CHECK_NEAR_SCALE(moved, -2.0 * step * nagaoka(100.0) * (1.0 - 1.0 / (log(400.0) - 0.5)), 2e-12, nagaoka(100.0),
	                 "no step where the series takes over");
}

/* Inductance of a perfectly conducting torus, mu0 R = 1: rings on its skin that all link the same flux. A ring stands for its share of the
 * skin when its own radius is the section's over their number. Gauss without pivots: the matrix is positive. */
static double torus(double e)
{
	enum { N = 64 };
	static double m[N][N + 1];
	for (int i = 0; i < N; i++) {
		double r = 1.0 + e * cos(2.0 * M_PI * (i + 0.5) / N), z = e * sin(2.0 * M_PI * (i + 0.5) / N);
		for (int k = 0; k < N; k++) {
			double other = 1.0 + e * cos(2.0 * M_PI * (k + 0.5) / N), height = e * sin(2.0 * M_PI * (k + 0.5) / N);
			m[i][k] = i == k ? r * (log(8.0 * r * N / e) - 2.0) : mutual(r, other, z - height) / mu0;
		}
		m[i][N] = 1.0;
	}
	for (int c = 0; c < N; c++)
		for (int r = c + 1; r < N; r++)
			for (int k = N; k >= c; k--)
				m[r][k] -= m[r][c] / m[c][c] * m[c][k];
	double current = 0.0;
	for (int r = N - 1; r >= 0; r--) {
		for (int k = r + 1; k < N; k++)
			m[r][N] -= m[r][k] * m[k][N];
		m[r][N] /= m[r][r];
		current += m[r][N];
	}
	return 1.0 / current;
}

/* Uniform current: mean of the mutuals over a section cut into rings of equal area, each cell's own part by its mean distance,
 * 0.2235 (sides), which a near-square cell has (Rosa). */
static double uniform(double e)
{
	enum { RINGS = 16, N = RINGS * RINGS * 4 };
	static double r[N], z[N], own[N], area[N];
	int n = 0;
	for (int k = 0; k < RINGS; k++) {
		int cells = 4 * (2 * k + 1);
		double inner = e * k / RINGS, outer = e * (k + 1) / RINGS, angle = 2.0 * M_PI / cells;
		double middle = 2.0 / 3.0 * (pow(outer, 3.0) - pow(inner, 3.0)) / (outer * outer - inner * inner) * sin(0.5 * angle) / (0.5 * angle);
		for (int c = 0; c < cells; c++, n++) {
			r[n] = 1.0 + middle * cos(angle * (c + 0.5));
			z[n] = middle * sin(angle * (c + 0.5));
			own[n] = 0.2235 * (outer - inner + 0.5 * angle * (outer + inner));
			area[n] = (outer * outer - inner * inner) / (e * e) / cells;
		}
	}
	double sum = 0.0;
	for (int i = 0; i < N; i++) {
		sum += area[i] * area[i] * r[i] * (log(8.0 * r[i] / own[i]) - 2.0);
		for (int k = 0; k < i; k++)
			sum += 2.0 * area[i] * area[k] * mutual(r[i], r[k], z[i] - z[k]) / mu0;
	}
	return sum;
}

static double loop(double radius, double wire_radius, double internal)
{
	rw_error err;
	double l;
	CHECK_OK(rw_loop_inductance(radius, wire_radius, internal, &l, &err), &err);
	return l;
}

static void test_loop(void **state)
{
	(void)state;
	/* error of the series to the square: about e^4 ln^3; the last is the end of the range */
	static const double skins[][2] = {{0.0213, 1e-6}, {0.0571, 1e-5}, {0.1037, 1e-4}, {0.2119, 1e-3}, {0.3973, 1e-2}};
	for (size_t i = 0; i < sizeof skins / sizeof *skins; i++)
		CHECK_NEAR(loop(0.0437, 0.0437 * skins[i][0], 0.0), mu0 * 0.0437 * torus(skins[i][0]), skins[i][1], "torus, boundary integral");
	CHECK_NEAR(loop(0.0437, 0.0437 * 0.0571, 1.0), mu0 * 0.0437 * uniform(0.0571), 1e-4, "section in 1024 filaments");
	CHECK_NEAR(loop(0.0437, 0.0437 * 0.2119, 1.0), mu0 * 0.0437 * uniform(0.2119), 3e-4, "section in 1024 filaments");
	double thin = 3.1e-7;
	CHECK_NEAR(loop(0.51, thin, 1.0) - loop(0.51, thin, 0.0), 0.25 * mu0 * 0.51, 1e-9, "internal inductance mu0/(8 pi) a metre");
	CHECK_NEAR(loop(0.51, thin, 0.31) - loop(0.51, thin, 0.0), 0.31 * 0.25 * mu0 * 0.51, 1e-9, "straight between the two");
}

static void test_helix(void **state)
{
	(void)state;
	rw_error err;
	rw_helix h = {.turns = 1, .diameter = 0.0734, .pitch = (double)NAN, .tube_diameter = 0.0061, .internal = 0.0};
	rw_helix_inductance one, two, ten;
	CHECK_OK(rw_helix_solve(&h, &one, &err), &err);
	CHECK_NEAR(one.inductance, loop(0.0367, 0.00305, 0.0), 1e-14, "one turn is a loop");
	h.turns = 2, h.pitch = 0.0093;
	CHECK_OK(rw_helix_solve(&h, &two, &err), &err);
	CHECK_NEAR(two.inductance, 2.0 * one.inductance + 2.0 * neumann(0.0367, 0.0367, 0.0093, 2000), 1e-9, "two loops and twice their mutual");
	CHECK_NEAR(two.uncertainty, fabs(two.sheet / two.inductance - 1.0), 1e-12, "difference to the sheet");
	CHECK_NEAR(two.sheet, sheet_by_rings(2.0, 0.0734, 0.0186), 1e-8, "sheet over two pitches");
	/* Rosa: sheet less mu0 R N (A + B), A = 5/4 - ln(2 p/d) for uniform current, B(10) = 0.2664; for thin wire, to terms of (pitch/radius)^2 */
	h = (rw_helix){.turns = 10, .diameter = 0.431, .pitch = 0.00317, .tube_diameter = 0.00081, .internal = 1.0};
	CHECK_OK(rw_helix_solve(&h, &ten, &err), &err);
	double a = 1.25 - log(2.0 * 0.00317 / 0.00081);
	CHECK_NEAR(ten.inductance, ten.sheet - mu0 * 0.2155 * 10.0 * (a + 0.2664), 3e-5, "Rosa, Bull. Bur. Standards 2, 1906; memory");
}

/* Section as n x n square filaments, a square's mean distance from itself 0.44705 of its side. */
static double cells(double turns, double inner, double outer, double height, int n_r, int n_z)
{
	double dr = (outer - inner) / n_r, dz = height / n_z, sum = 0.0;
	for (int i = 0; i < n_r; i++)
		for (int k = 0; k < n_r; k++)
			for (int dist = 0; dist < n_z; dist++) {
				double a = inner + (i + 0.5) * dr, b = inner + (k + 0.5) * dr;
				double m = i == k && dist == 0 ? mu0 * a * (log(8.0 * a / (0.223525 * (dr + dz))) - 2.0) : mutual(a, b, dist * dz);
				sum += (dist ? 2.0 : 1.0) * (n_z - dist) * m;
			}
	return turns * turns * sum / ((double)n_r * n_r * n_z * n_z);
}

static void test_thick_coil_is_the_sum_of_its_filaments(void **state)
{
	(void)state;
	static const struct { double turns, inner, outer, height; int n_r, n_z; } coils[] = {
		{37.0, 0.0213, 0.0341, 0.0128, 15, 15}, {5.3, 0.0117, 0.0437, 0.0064, 50, 10}, {143.0, 0.0513, 0.0541, 0.0784, 3, 84},
		{9.1, 0.0, 0.0313, 0.0313, 30, 30},
	};
	for (size_t i = 0; i < sizeof coils / sizeof *coils; i++) {
		rw_error err;
		double l, error;
		CHECK_OK(rw_thick_coil_inductance(coils[i].turns, coils[i].inner, coils[i].outer, coils[i].height, &l, &error, &err), &err);
		double coarse = cells(coils[i].turns, coils[i].inner, coils[i].outer, coils[i].height, coils[i].n_r, coils[i].n_z);
		double fine = cells(coils[i].turns, coils[i].inner, coils[i].outer, coils[i].height, 2 * coils[i].n_r, 2 * coils[i].n_z);
		/* the grid's error falls as the square of its cell, so that two grids give what none would leave */
		CHECK_NEAR(l, fine + (fine - coarse) / 3.0, 1e-6, "filament grids, extrapolated");
		assert_true(error > 0.0 && error < 5e-8 * l);
	}
	rw_error err;
	double thin, error, sheet;
	CHECK_OK(rw_thick_coil_inductance(23.0, 0.0399765, 0.0400235, 0.0631, &thin, &error, &err), &err);
	CHECK_OK(rw_sheet_inductance(23.0, 0.08, 0.0631, &sheet, &err), &err);
	/* across the build t the field falls evenly instead of at once: energy less by mu0 n^2 t/12 on each unit of the surface; next terms t^2 */
	CHECK_NEAR(thin, sheet - mu0 * 23.0 * 23.0 * M_PI * 0.04 * 47e-6 / (3.0 * 0.0631), 2e-6, "thin layer: the sheet, less the field in its build");
}

/* Biot and Savart around each ring, rings along the sheet by Simpson's rule. */
static rw_field biot_savart(double turns, double diameter, double length, double r, double z)
{
	enum { RINGS = 400, N = 400 };
	double a = 0.5 * diameter;
	rw_field b = {0.0, 0.0};
	for (int k = 0; k <= RINGS; k++) {
		double h = z - length * ((double)k / RINGS - 0.5), weight = (k == 0 || k == RINGS ? 1.0 : k % 2 ? 4.0 : 2.0) / (3.0 * RINGS);
		for (int i = 0; i < N; i++) {
			double c = cos(2.0 * M_PI * i / N), cube = pow(r * r + a * a + h * h - 2.0 * a * r * c, 1.5);
			b.radial += weight * h * c / cube / N;
			b.axial += weight * (a - r * c) / cube / N;
		}
	}
	double scale = mu0 * turns * a / (4.0 * M_PI) * 2.0 * M_PI;
	return (rw_field){scale * b.radial, scale * b.axial};
}

static rw_field field_at(double r, double z)
{
	rw_error err;
	rw_field b;
	CHECK_OK(rw_sheet_field(13.7, 0.0913, 0.0647, r, z, &b, &err), &err);
	return b;
}

static void test_field(void **state)
{
	(void)state;
	static const double points[][2] = {{0.0213, 0.0071}, {0.0213, -0.0071}, {0.0371, 0.0323}, {0.0617, 0.0118},
	                                   {0.0731, -0.0529}, {0.0045, 0.21}, {0.04565, 0.0471}};
	for (size_t i = 0; i < sizeof points / sizeof *points; i++) {
		rw_field got = field_at(points[i][0], points[i][1]), want = biot_savart(13.7, 0.0913, 0.0647, points[i][0], points[i][1]);
		double size = hypot(want.radial, want.axial);
		CHECK_NEAR_SCALE(got.radial, want.radial, 1e-7, size, "Biot and Savart, integrated");
		CHECK_NEAR_SCALE(got.axial, want.axial, 1e-7, size, "Biot and Savart, integrated");
	}
	double from = 0.0193 + 0.03235, to = 0.0193 - 0.03235, on_axis = 0.5 * mu0 * 13.7 / 0.0647 * (from / hypot(from, 0.04565) - to / hypot(to, 0.04565));
	CHECK_NEAR(field_at(0.0, 0.0193).axial, on_axis, 1e-9, "axis of a solenoid");
	assert_true(field_at(0.0, 0.0193).radial == 0.0);
	double across = field_at(0.04565 * (1.0 - 1e-9), 0.0107).axial - field_at(0.04565 * (1.0 + 1e-9), 0.0107).axial;
	CHECK_NEAR(across, mu0 * 13.7 / 0.0647, 1e-7, "jump at the sheet: mu0 n");
}

/* Refused with this status, the outputs as they were. */
#define REFUSED(call, out) \
	do { double kept_ = (out); assert_int_equal((call), RW_E_RANGE); assert_true(err.what[0] && err.expected[0] && (out) == kept_); } while (0)

static void test_what_is_refused(void **state)
{
	(void)state;
	rw_error err;
	double x = 3.21, error = 0.0, nan = (double)NAN;
	REFUSED(rw_nagaoka(-0.1, &x, &err), x);
	REFUSED(rw_nagaoka(nan, &x, &err), x);
	REFUSED(rw_nagaoka(2e6, &x, &err), x);
	REFUSED(rw_sheet_inductance(3.0, 0.05, 0.0, &x, &err), x);
	REFUSED(rw_filament_mutual(0.05, 0.05, 0.0, &x, &err), x);
	REFUSED(rw_filament_mutual(0.05, -0.05, 0.01, &x, &err), x);
	REFUSED(rw_filament_mutual(0.05, 0.05, nan, &x, &err), x);
	REFUSED(rw_loop_inductance(0.05, 0.021, 0.0, &x, &err), x);
	REFUSED(rw_loop_inductance(0.05, 0.002, 1.1, &x, &err), x);
	REFUSED(rw_thick_coil_inductance(10.0, 0.03, 0.03, 0.01, &x, &error, &err), x);
	REFUSED(rw_thick_coil_inductance(10.0, 0.02, 0.03, 1e-5, &x, &error, &err), x);
	rw_field b = {0.37, 0.0};
	REFUSED(rw_sheet_field(10.0, 0.1, 0.1, 0.05, 0.05, &b, &err), b.radial);
	REFUSED(rw_sheet_field(10.0, 0.1, 0.1, -0.01, 0.0, &b, &err), b.radial);
	rw_helix_inductance h = {.inductance = 0.71};
	REFUSED(rw_helix_solve(&(rw_helix){.turns = 4, .diameter = 0.07, .pitch = 0.0059, .tube_diameter = 0.006}, &h, &err), h.inductance);
	REFUSED(rw_helix_solve(&(rw_helix){.turns = 0, .diameter = 0.07, .pitch = 0.008, .tube_diameter = 0.006}, &h, &err), h.inductance);
	REFUSED(rw_helix_solve(&(rw_helix){.turns = 3, .diameter = 0.07, .pitch = nan, .tube_diameter = 0.006}, &h, &err), h.inductance);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_mutual_is_neumanns_integral), cmocka_unit_test(test_sheet_is_the_sum_of_its_rings), cmocka_unit_test(test_nagaoka_limits),
		cmocka_unit_test(test_loop), cmocka_unit_test(test_helix), cmocka_unit_test(test_thick_coil_is_the_sum_of_its_filaments),
		cmocka_unit_test(test_field), cmocka_unit_test(test_what_is_refused),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
