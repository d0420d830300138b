/* Conductors at radio frequency against the field equation integrated through the wall, complex forms, limits at direct current and for thin
 * skin, and Medhurst's table against itself. */
#include "tests/check.h"

#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "coil/conductor.h"
#include "coil/leads.h"
#include "tests/medhurst_table.h"

static const double complex j = (double complex)I;

static rw_skin tube(double x, double bore)
{
	rw_error err;
	rw_skin skin;
	CHECK_OK(rw_round_tube(x, bore, &skin, &err), &err);
	return skin;
}

static rw_skin wire(double x)
{
	rw_error err;
	rw_skin skin;
	CHECK_OK(rw_round_wire(x, &skin, &err), &err);
	return skin;
}

/* Current i inside radius r and field e, lengths over the outer radius: de/dr = k^2 i/(2 pi r), di/dr = 2 pi r e, Runge and Kutta outwards
 * from the bore, where e = 1, i = 0. Z over Rdc is e times the section over i. */
static rw_skin integrated(double x, double bore, int steps)
{
	double complex k2 = 2.0 * j * x * x, e = 1.0, i = 0.0;
	double h = (1.0 - bore) / steps;
	for (int n = 0; n < steps; n++) {
		double complex de[4], di[4];
		for (int s = 0; s < 4; s++) {
			double part = s == 0 ? 0.0 : s == 3 ? 1.0 : 0.5, r = bore + h * (n + part);
			double complex e_s = e, i_s = i;
			if (s > 0)
				e_s += part * h * de[s - 1], i_s += part * h * di[s - 1];
			de[s] = r > 0.0 ? k2 * i_s / (2.0 * M_PI * r) : 0.0;
			di[s] = 2.0 * M_PI * r * e_s;
		}
		e += h / 6.0 * (de[0] + 2.0 * de[1] + 2.0 * de[2] + de[3]);
		i += h / 6.0 * (di[0] + 2.0 * di[1] + 2.0 * di[2] + di[3]);
	}
	double complex z = e * M_PI * (1.0 - bore * bore) / i;
	return (rw_skin){creal(z), 4.0 * cimag(z) / (x * x * (1.0 - bore * bore))};
}

static void same(rw_skin got, rw_skin want, double tolerance, const char *source)
{
	CHECK_NEAR(got.resistance, want.resistance, tolerance, source);
	CHECK_NEAR(got.inductance, want.inductance, tolerance, source);
}

static void test_wire(void **state)
{
	(void)state;
	same(wire(0.73), integrated(0.73, 0.0, 2000), 1e-9, "field equation, integrated");
	same(wire(3.71), integrated(3.71, 0.0, 4000), 1e-9, "field equation, integrated");
	same(wire(14.3), integrated(14.3, 0.0, 20000), 1e-9, "field equation, integrated");
	double deep = 0.0137, thin = 731.0;
	CHECK_NEAR(wire(deep).resistance - 1.0, pow(deep, 4.0) / 48.0, 1e-6, "deep skin: 1 + x^4/48");
	CHECK_NEAR(1.0 - wire(deep).inductance, pow(deep, 4.0) / 96.0, 1e-5, "deep skin: 1 - x^4/96");
	CHECK_NEAR(wire(thin).resistance, 0.5 * thin + 0.25 + 3.0 / (32.0 * thin), 1e-9, "thin skin");
	CHECK_NEAR(wire(thin).inductance, 2.0 / thin, 1e-6, "thin skin: reactance is the resistance");
	same(wire(0.0), (rw_skin){1.0, 1.0}, 0.0, "direct current");
	same(wire(3.1e-5), (rw_skin){1.0, 1.0}, 1e-14, "direct current");
}

static void test_tube(void **state)
{
	(void)state;
	static const double tubes[][2] = {{0.83, 0.37}, {2.71, 0.81}, {7.3, 0.63}, {13.7, 0.93}, {41.0, 0.967}};
	for (size_t i = 0; i < sizeof tubes / sizeof *tubes; i++)
		same(tube(tubes[i][0], tubes[i][1]), integrated(tubes[i][0], tubes[i][1], 8000), 1e-9, "field equation, integrated");
	same(tube(3.71, 0.0), wire(3.71), 1e-12, "no bore: a wire");
	same(tube(3.71, 1e-6), wire(3.71), 1e-10, "a hair of a bore");
	/* Direct current: (mu/(8 pi)) [4 b^4 ln(1/b)/(1 - b^2)^2 + (1 - 3 b^2)/(1 - b^2)], any text on bus bars */
	double b = 0.613, s = 1.0 - b * b;
	same(tube(1.1e-3, b), (rw_skin){1.0, -4.0 * pow(b, 4.0) * log(b) / (s * s) + (1.0 - 3.0 * b * b) / s}, 1e-9, "direct current");
	CHECK_NEAR(tube(0.3, 0.9993).inductance, 4.0 / 3.0 * 0.0007, 1e-3, "thin wall: a third of it over the radius");
	/* both sides of the change to uniform current, where the wall is a thousandth of the skin depth */
	same(tube(0.0083, 1.0 - 1.01e-3 / 0.0083), tube(0.0083, 1.0 - 0.99e-3 / 0.0083), 0.03, "no step");
	CHECK_NEAR(tube(0.0083, 1.0 - 1.01e-3 / 0.0083).inductance / 1.01, tube(0.0083, 1.0 - 0.99e-3 / 0.0083).inductance / 0.99, 2e-3, "no step");
	CHECK_NEAR(tube(300.0, 0.7).resistance, (1.0 - 0.49) * (150.0 + 0.25), 1e-5, "thin skin: the bore is not seen");
	CHECK_NEAR(tube(9000.0, 0.5).resistance, 0.75 * (4500.0 + 0.25), 1e-8, "thin skin: the bore is not seen");
}

/* Dowell in his complex form: Re M and Re D, M = u coth u, D = 2 u tanh(u/2), u = (1 + j) xi. */
static double dowell(double xi, int layers)
{
	double complex u = (1.0 + j) * xi;
	return creal(u / ctanh(u)) + (layers * layers - 1.0) / 3.0 * creal(2.0 * u * ctanh(0.5 * u));
}

static double strip(double xi, int layers)
{
	rw_error err;
	double ratio;
	CHECK_OK(rw_strip_layer(xi, layers, &ratio, &err), &err);
	return ratio;
}

static void test_strip(void **state)
{
	(void)state;
	for (double xi = 0.037; xi < 300.0; xi *= 2.31)
		for (int layers = 1; layers <= 5; layers += 2)
			CHECK_NEAR(strip(xi, layers), dowell(xi, layers), 1e-12, "complex form");
	CHECK_NEAR(strip(0.0, 7), 1.0, 0.0, "direct current");
	CHECK_NEAR(strip(1e-9, 7), 1.0, 1e-14, "direct current");
	CHECK_NEAR(strip(0.0413, 1) - 1.0, 4.0 / 45.0 * pow(0.0413, 4.0), 1e-5, "deep skin: 1 + 4 xi^4/45");
	CHECK_NEAR(strip(4711.0, 3), 4711.0 * (1.0 + 16.0 / 3.0), 1e-12, "thin skin");
}

/* Surface current of two wires goes as 1/(s - d cos phi); loss by its mean square over its squared mean. */
static void test_parallel_wires(void **state)
{
	(void)state;
	double s = 1.273, mean = 0.0, square = 0.0, ratio;
	rw_error err;
	enum { N = 2000 };
	for (int k = 0; k < N; k++) {
		double density = 1.0 / (s - cos(2.0 * M_PI * k / N));
		mean += density / N;
		square += density * density / N;
	}
	CHECK_OK(rw_parallel_wires(s, &ratio, &err), &err);
	CHECK_NEAR(ratio, square / (mean * mean), 1e-10, "loss of the surface current, integrated");
	CHECK_OK(rw_parallel_wires(913.0, &ratio, &err), &err);
	CHECK_NEAR(ratio - 1.0, 0.5 / (913.0 * 913.0), 1e-5, "far apart");
}

typedef struct bench {
	rw_arena arena;
	rw_medhurst table;
} bench;

static double medhurst(const bench *b, double wire_to_pitch, double length_to_diameter)
{
	rw_error err;
	double ratio;
	CHECK_OK(rw_medhurst_ratio(&b->table, wire_to_pitch, length_to_diameter, &ratio, &err), &err);
	return ratio;
}

static void test_medhurst(void **state)
{
	const bench *b = *state;
	CHECK_NEAR(medhurst(b, 0.65, 3.0), 0.25 * (2.32 + 2.27 + 1.98 + 2.01), 1e-12, "middle of four cells");
	CHECK_NEAR(medhurst(b, 0.37, 0.74), 0.3 * (0.3 * 1.22 + 0.7 * 1.23) + 0.7 * (0.3 * 1.38 + 0.7 * 1.42), 1e-12, "bilinear by hand");
	CHECK_NEAR(medhurst(b, 0.5, 40.0), 0.25 * 1.83 + 0.75 * 1.93, 1e-12, "a quarter of the way in D/l");
	CHECK_NEAR(medhurst(b, 0.6, (double)INFINITY), 2.22, 1e-12, "endless");
	CHECK_NEAR(medhurst(b, 0.6, 10.0), 2.10, 1e-12, "last finite column");
	CHECK_NEAR(medhurst(b, 0.04, 0.0), 1.0 + 0.4 * 0.02, 1e-12, "towards no wire");
	CHECK_NEAR(medhurst(b, 0.0, 3.3), 1.0, 0.0, "no wire");
	for (double s = 0.05; s < 0.95; s += 0.061)
		for (double l = 0.1; l < 30.0; l *= 1.7)
			assert_true(medhurst(b, s + 0.05, l) > medhurst(b, s, l));
	/* For well-spaced turns of a long coil Butterworth's sum over the neighbours' fields holds: an endless row of wires lies in its own
	 * transverse field of nothing and in the coil's axial one, n I/2; loss in it 1 + (pi d/s)^2/2 of the wire's own. At d/s = 0.1. */
	CHECK_NEAR(medhurst(b, 0.1, (double)INFINITY) - 1.0, 0.5 * pow(M_PI * 0.1, 2.0), 0.15, "wire in the field n I/2; the cell has two decimals");
}

static void test_winding_of_tube(void **state)
{
	const bench *b = *state;
	rw_error err;
	rw_winding w = {.conductor = RW_WINDING_TUBE, .turns = 12, .diameter = 0.0734, .pitch = 0.0113,
	                .width = 0.0079, .thickness = 0.00093, .resistivity = 1.95e-8};
	rw_winding_resistance r;
	CHECK_OK(rw_winding_solve(&w, &b->table, 413.7e3, &r, &err), &err);
	double delta = sqrt(1.95e-8 / (M_PI * 413.7e3 * 4e-7 * M_PI)), x = 0.00395 / delta, bore = 1.0 - 2.0 * 0.00093 / 0.0079;
	double length = 12.0 * sqrt(pow(M_PI * 0.0734, 2.0) + pow(0.0113, 2.0)), area = M_PI * (pow(0.00395, 2.0) - pow(0.00302, 2.0));
	CHECK_NEAR(r.skin_depth, delta, 1e-9, "definition");
	CHECK_NEAR(r.resistance_dc, 1.95e-8 * length / area, 1e-12, "wire of the helix' length");
	CHECK_NEAR(r.straight, integrated(x, bore, 20000).resistance, 1e-8, "field equation, integrated");
	/* thin skin: M - 1 of the stretched wire, less a twelfth; the loss across has x/2 - 1/4 where the wire along has x/2 + 1/4 */
	double m = medhurst(b, 0.0079 / 0.0113, 12.0 * 0.0113 / 0.0734);
	CHECK_NEAR(r.proximity, 1.0 + (m - 1.0) * 11.0 / 12.0 * (x - 0.5) / (x + 0.5), 2e-3, "thin skin, by hand");
	CHECK_NEAR(r.resistance, r.resistance_dc * r.straight * r.proximity, 1e-14, "product");
	CHECK_NEAR(r.high - r.low, 2.0 * r.uncertainty * r.resistance, 1e-12, "definition");
	CHECK_NEAR(r.uncertainty, 0.1, 1e-12, "many turns, thin skin: 10 %");
	CHECK_OK(rw_winding_solve(&w, &b->table, 0.0037, &r, &err), &err);
	CHECK_NEAR(r.resistance, r.resistance_dc, 1e-9, "direct current: no skin, no neighbours");
	/* deep skin: loss across goes as the fourth power of radius over skin depth */
	rw_winding_resistance low, twice;
	CHECK_OK(rw_winding_solve(&w, &b->table, 5.3, &low, &err), &err);
	CHECK_OK(rw_winding_solve(&w, &b->table, 10.6, &twice, &err), &err);
	CHECK_NEAR((twice.proximity - 1.0) / (low.proximity - 1.0), 4.0, 1e-3, "square of the frequency");
	w.turns = 1, w.pitch = (double)NAN;
	CHECK_OK(rw_winding_solve(&w, &b->table, 413.7e3, &r, &err), &err);
	CHECK_NEAR(r.resistance, tube(x, bore).resistance * 1.95e-8 * M_PI * 0.0734 / area, 1e-8, "one turn has no neighbours");
	w.turns = 3, w.pitch = 0.0113;
	CHECK_OK(rw_winding_solve(&w, &b->table, 413.7e3, &r, &err), &err);
	assert_true(r.low <= r.resistance_dc * r.straight && r.high >= 1.1 * r.resistance && r.low < r.resistance);
}

static void test_winding_of_strip(void **state)
{
	(void)state;
	rw_error err;
	rw_winding w = {.conductor = RW_WINDING_STRIP, .turns = 4, .diameter = 0.0613, .pitch = 0.0123,
	                .width = 0.0101, .thickness = 0.00213, .resistivity = 1.83e-8};
	rw_winding_resistance r;
	CHECK_OK(rw_winding_solve(&w, NULL, 437.1e3, &r, &err), &err);
	double delta = sqrt(1.83e-8 / (M_PI * 437.1e3 * 4e-7 * M_PI)), length = 4.0 * sqrt(pow(M_PI * 0.0613, 2.0) + pow(0.0123, 2.0));
	CHECK_NEAR(r.resistance, 1.83e-8 * length / (0.0101 * delta) * sqrt(0.0101 / 0.0123), 1e-5, "thin skin: one face, porosity");
	assert_true(r.low < r.resistance && r.resistance < r.high && r.proximity < 1.0);
	CHECK_NEAR(r.high, 1.3 * 1.83e-8 * length / (0.0101 * delta), 1e-5, "one face and edges");
	w.turns = 1;
	CHECK_OK(rw_winding_solve(&w, NULL, 437.1e3, &r, &err), &err);
	CHECK_NEAR(r.resistance, 1.83e-8 * M_PI * 0.0613 / (0.0101 * delta), 1e-5, "thin skin: one face");
	CHECK_NEAR(r.low, 0.5 * r.resistance, 0.81, "both faces, not under half");
	CHECK_OK(rw_winding_solve(&w, NULL, 0.0041, &r, &err), &err);
	CHECK_NEAR(r.resistance, 1.83e-8 * M_PI * 0.0613 / (0.0101 * 0.00213), 1e-9, "direct current");
}

/* Refused with this status, the outputs as they were. */
#define REFUSED(call, out, status) \
	do { double kept_ = (out); assert_int_equal((call), status); assert_true(err.what[0] && err.expected[0] && (out) == kept_); } while (0)

static void test_what_is_refused(void **state)
{
	const bench *b = *state;
	rw_error err;
	rw_skin skin = {2.3, 0.0};
	double x = 3.21, nan = (double)NAN;
	REFUSED(rw_round_wire(-1.0, &skin, &err), skin.resistance, RW_E_RANGE);
	REFUSED(rw_round_wire(nan, &skin, &err), skin.resistance, RW_E_RANGE);
	REFUSED(rw_round_tube(3.0, 1.0, &skin, &err), skin.resistance, RW_E_RANGE);
	REFUSED(rw_round_tube(2e4, 0.5, &skin, &err), skin.resistance, RW_E_RANGE);
	REFUSED(rw_strip_layer(1.0, 0, &x, &err), x, RW_E_RANGE);
	REFUSED(rw_strip_layer(nan, 1, &x, &err), x, RW_E_RANGE);
	REFUSED(rw_parallel_wires(1.0, &x, &err), x, RW_E_RANGE);
	REFUSED(rw_medhurst_ratio(&b->table, 1.01, 2.0, &x, &err), x, RW_E_RANGE);
	REFUSED(rw_medhurst_ratio(&b->table, 0.5, nan, &x, &err), x, RW_E_RANGE);
	rw_medhurst half = b->table;
	half.long_coils.n_rows--;
	REFUSED(rw_medhurst_ratio(&half, 0.5, 2.0, &x, &err), x, RW_E_VALUE);
	const rw_winding good = {.conductor = RW_WINDING_TUBE, .turns = 5, .diameter = 0.07, .pitch = 0.011,
	                .width = 0.008, .thickness = 0.001, .resistivity = 1.9e-8};
	rw_winding_resistance r = {.resistance = 0.37};
	rw_winding bad[7] = {good, good, good, good, good, good, good};
	bad[0].conductor = 7, bad[1].turns = 0, bad[2].pitch = 0.0079, bad[3].thickness = 0.0041;
	bad[4].diameter = 0.0079, bad[5].resistivity = 0.0, bad[6].width = nan;
	for (int i = 0; i < 7; i++)
		REFUSED(rw_winding_solve(&bad[i], &b->table, 4e5, &r, &err), r.resistance, RW_E_RANGE);
	REFUSED(rw_winding_solve(&good, &b->table, 0.0, &r, &err), r.resistance, RW_E_RANGE);
}

static int open_bench(void **state)
{
	static bench b;
	rw_arena_init(&b.arena);
	rw_medhurst_table(&b.arena, &b.table);
	*state = &b;
	return 0;
}

static int close_bench(void **state)
{
	bench *b = *state;
	rw_arena_release(&b->arena);
	return 0;
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_wire), cmocka_unit_test(test_tube), cmocka_unit_test(test_strip), cmocka_unit_test(test_parallel_wires),
		cmocka_unit_test(test_medhurst), cmocka_unit_test(test_winding_of_tube), cmocka_unit_test(test_winding_of_strip),
		cmocka_unit_test(test_what_is_refused),
	};
	return cmocka_run_group_tests(tests, open_bench, close_bench);
}
