/* The class C point against a second route: the law by powers, kinks found by search, adaptive quadrature over the phase; the honesty of
 * the error estimate over random swings; laws of scaling; errors. */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>

#include "tests/check.h"
#include "valve/valve_internal.h"

enum { FIGURES = 8 };

static uint64_t seed = 20251;

static double uniform(double low, double high)
{
	seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
	return low + (high - low) * (double)(seed >> 11) / 9007199254740992.0;
}

/* ------------------------------------------------ the second route */

typedef struct probe { const rw_valve_law *law; const rw_swing *swing; int figure; } probe;

static void volts(const rw_swing *swing, double t, double *va, double *vg)
{
	*va = swing->anode_voltage_dc - swing->anode_swing_pk * cos(t);
	*vg = swing->grid_bias + swing->grid_swing_pk * cos(t);
}

static void by_powers(const rw_valve_law *law, double va, double vg, double *ia, double *ig)
{
	double bracket = vg + fmax(va, 0.0) / law->mu, ik = bracket > 0.0 ? fmin(law->perveance * pow(bracket, 1.5), law->emission) : 0.0;
	double ratio = vg <= 0.0 ? 0.0 : va <= 0.0 ? (double)INFINITY : (va >= vg ? sqrt(vg / va) : (vg / va) * (vg / va)) / law->division;
	*ia = va <= 0.0 ? 0.0 : ik / (1.0 + ratio);
	*ig = isinf(ratio) ? ik : ik * ratio / (1.0 + ratio);
}

/* Integrand of each figure: Ia0..Ia3, Ig0, Ig1, anode loss, grid loss. */
static double integrand(double t, void *context)
{
	const probe *p = context;
	double va, vg, ia, ig;
	volts(p->swing, t, &va, &vg);
	by_powers(p->law, va, vg, &ia, &ig);
	switch (p->figure) {
	case 0: return ia / M_PI;
	case 1: case 2: case 3: return 2.0 * ia * cos(p->figure * t) / M_PI;
	case 4: return ig / M_PI;
	case 5: return 2.0 * ig * cos(t) / M_PI;
	case 6: return va * ia / M_PI;
	default: return vg * ig / M_PI;
	}
}

/* A number that changes sign, or is cut off, at each kink. */
static double kink_value(const rw_valve_law *law, const rw_swing *swing, int which, double t)
{
	double va, vg;
	volts(swing, t, &va, &vg);
	double bracket = vg + fmax(va, 0.0) / law->mu;
	const double values[] = {bracket, vg, va, va - vg, bracket - pow(law->emission / law->perveance, 2.0 / 3.0)};
	return values[which];
}

static int find_kinks(const rw_valve_law *law, const rw_swing *swing, double *kinks)
{
	enum { STEPS = 1000 };
	int n = 0;
	kinks[n++] = 0.0;
	for (int i = 0; i < STEPS; i++) {
		double from[12];
		int found = 0;
		for (int which = 0; which < (isinf(law->emission) ? 4 : 5); which++) {
			double a = M_PI * i / STEPS, b = M_PI * (i + 1) / STEPS;
			bool sign = kink_value(law, swing, which, a) > 0.0;
			if (sign == (kink_value(law, swing, which, b) > 0.0))
				continue;
			for (int k = 0; k < 60; k++) {
				double m = 0.5 * (a + b);
				if ((kink_value(law, swing, which, m) > 0.0) == sign)
					a = m;
				else
					b = m;
			}
			int j = found++;
			for (; j > 0 && from[j - 1] > a; j--)
				from[j] = from[j - 1];
			from[j] = a;
		}
		for (int j = 0; j < found; j++)
			kinks[n++] = from[j];
	}
	kinks[n++] = M_PI;
	return n;
}

static void second_route(const rw_valve_law *law, const rw_swing *swing, double figures[FIGURES])
{
	static gsl_integration_workspace *space;
	if (!space)
		space = gsl_integration_workspace_alloc(200);
	double kinks[64];
	int n = find_kinks(law, swing, kinks);
	for (int f = 0; f < FIGURES; f++) {
		probe p = {law, swing, f};
		gsl_function function = {integrand, &p};
		figures[f] = 0.0;
		double scale = f == 0 ? 0.0 : f < 4 ? figures[0] : f == 4 ? 0.0 : f == 5 ? figures[4] : f == 6 ? figures[0] * swing->anode_voltage_dc
		                                                                            : figures[4] * fabs(swing->grid_bias);
		for (int i = 0; i + 1 < n; i++) {
			double value, error;
			gsl_integration_qags(&function, kinks[i], kinks[i + 1], 1e-13 * scale, 1e-12, 200, space, &value, &error);
			figures[f] += value;
		}
	}
}

static void list(const rw_class_c *p, double figures[FIGURES])
{
	const double all[FIGURES] = {p->anode_current_dc, p->anode_current_fund_pk, p->anode_current_2_pk, p->anode_current_3_pk,
	                             p->grid_current_dc,  p->grid_current_fund_pk,  p->anode_loss,         p->grid_loss};
	for (int f = 0; f < FIGURES; f++)
		figures[f] = all[f];
}

/* ------------------------------------------------ random swings */

/* Swings beyond the anode volts, grid peaks above the least anode volts, emission caps, grids that draw no current, class A. */
static void draw(rw_valve_law *law, rw_swing *swing)
{
	double mu = exp(uniform(log(5.0), log(200.0))), va = uniform(800.0, 15000.0);
	*law = (rw_valve_law){.law = RW_LAW_DIVIDED, .perveance = exp(uniform(log(2e-4), log(5e-3))), .mu = mu, .division = uniform(1.0, 8.0), .emission = (double)INFINITY};
	*swing = (rw_swing){.anode_voltage_dc = va, .anode_swing_pk = va * uniform(0.2, 1.25), .grid_bias = -va / mu * uniform(0.0, 3.5)};
	swing->grid_swing_pk = -swing->grid_bias * uniform(0.8, 3.0) + (uniform(0.0, 1.0) < 0.2 ? 0.0 : va * uniform(0.0, 0.1));
	if (uniform(0.0, 1.0) < 0.4) {
		double ia, ig;
		rw_valve_currents(law, va - swing->anode_swing_pk, swing->grid_bias + swing->grid_swing_pk, &ia, &ig);
		if (ia + ig > 0.0)
			law->emission = (ia + ig) * uniform(0.1, 1.3);
	}
}

/* Greatest error of a figure, each relative to the mean of its current (losses: times the supply volts). */
static double actual_error(const rw_class_c *point, const double want[FIGURES], const rw_swing *swing)
{
	double got[FIGURES], worst = 0.0;
	list(point, got);
	for (int f = 0; f < FIGURES; f++) {
		double scale = f < 4 || f == 6 ? want[0] : want[4];
		if (f == 6)
			scale *= swing->anode_voltage_dc + swing->anode_swing_pk;
		if (f == 7)
			scale *= swing->grid_swing_pk - swing->grid_bias;
		if (scale > 0.0)
			worst = fmax(worst, fabs(got[f] - want[f]) / scale);
	}
	return worst;
}

static void test_error_estimate(void **state)
{
	(void)state;
	static const double tolerances[] = {1e-4, 1e-6, 1e-8};
	enum { SWINGS = 2000 };
	int over[3] = {0}, beyond[5] = {0};
	double worst[3] = {0.0}, evaluations[3] = {0.0};
	for (int i = 0; i < SWINGS; i++) {
		rw_valve_law law;
		rw_swing swing;
		draw(&law, &swing);
		double want[FIGURES];
		second_route(&law, &swing, want);
		beyond[0] += swing.anode_swing_pk > swing.anode_voltage_dc;
		beyond[1] += swing.grid_bias + swing.grid_swing_pk > swing.anode_voltage_dc - swing.anode_swing_pk && swing.anode_swing_pk < swing.anode_voltage_dc;
		beyond[2] += isfinite(law.emission);
		beyond[3] += want[4] == 0.0;
		beyond[4] += want[0] == 0.0;
		for (int t = 0; t < 3; t++) {
			rw_class_c point;
			rw_error err;
			CHECK_OK(rw_class_c_solve(&law, &swing, tolerances[t], &point, &err), &err);
			assert_true(point.error <= tolerances[t]);
			double ratio = actual_error(&point, want, &swing) / fmax(tolerances[t], point.error);
			over[t] += ratio > 1.0;
			worst[t] = fmax(worst[t], ratio);
			evaluations[t] += (double)point.evaluations / SWINGS;
		}
	}
	for (int t = 0; t < 3; t++) {
		print_message("tolerance %g: %d of %d over the estimate, worst %.3g of it, %.1f evaluations a point\n", tolerances[t], over[t], SWINGS, worst[t], evaluations[t]);
		assert_true(over[t] <= SWINGS / 1000);
		assert_true(worst[t] <= 10.0);
	}
	print_message("swing over the supply %d, grid over the anode %d, emission %d, no grid current %d, cut off %d\n", beyond[0], beyond[1], beyond[2], beyond[3], beyond[4]);
	assert_true(beyond[0] > 200 && beyond[1] > 200 && beyond[2] > 200 && beyond[3] > 50);
}

/* Peaks and angles against 20 000 equal phases and the kinks. */
static void test_peaks(void **state)
{
	(void)state;
	enum { PHASES = 20000 };
	for (int i = 0; i < 400; i++) {
		rw_valve_law law;
		rw_swing swing;
		draw(&law, &swing);
		double pk[3] = {0.0}, flow[2] = {0.0}, kinks[64], pk_at = 0.0;
		int n = find_kinks(&law, &swing, kinks);
		for (int k = 0; k < PHASES + n; k++) {
			double t = k < PHASES ? M_PI * k / PHASES : kinks[k - PHASES], va, vg, ia, ig;
			volts(&swing, t, &va, &vg);
			by_powers(&law, va, vg, &ia, &ig);
			if (ia > pk[0])
				pk[0] = ia, pk_at = t;
			pk[1] = fmax(pk[1], ig);
			pk[2] = fmax(pk[2], ia + ig);
			flow[0] += k < PHASES && ia > 0.0 ? M_PI / PHASES : 0.0;
			flow[1] += k < PHASES && ig > 0.0 ? M_PI / PHASES : 0.0;
		}
		for (int k = -500; k <= 500; k++) {             /* the anode's summit once more, finely */
			double va, vg, ia, ig;
			volts(&swing, pk_at + k * M_PI / PHASES / 500.0, &va, &vg);
			by_powers(&law, va, vg, &ia, &ig);
			pk[0] = fmax(pk[0], ia);
		}
		rw_class_c point;
		rw_error err;
		CHECK_OK(rw_class_c_solve(&law, &swing, 1e-6, &point, &err), &err);
		CHECK_NEAR(point.anode_current_pk, pk[0], 3e-6, "equal phases");
		CHECK_NEAR(point.grid_current_pk, pk[1], 3e-6, "equal phases");
		CHECK_NEAR(point.cathode_current_pk, pk[2], 3e-6, "equal phases");
		CHECK_NEAR_SCALE(point.anode_half_angle, flow[0], 2.0 * M_PI / PHASES, 1.0, "equal phases");
		CHECK_NEAR_SCALE(point.grid_half_angle, flow[1], 2.0 * M_PI / PHASES, 1.0, "equal phases");
	}
}

/* Energy: supply power is output plus anode loss, drive is bias power plus grid loss; currents scale with perveance and with volts^1.5. */
static void test_balances_and_scaling(void **state)
{
	(void)state;
	for (int i = 0; i < 300; i++) {
		rw_valve_law law;
		rw_swing swing;
		draw(&law, &swing);
		rw_class_c point, scaled;
		rw_error err;
		CHECK_OK(rw_class_c_solve(&law, &swing, 1e-8, &point, &err), &err);
		CHECK_NEAR_SCALE(swing.anode_voltage_dc * point.anode_current_dc - 0.5 * swing.anode_swing_pk * point.anode_current_fund_pk, point.anode_loss, 1e-12,
		                 swing.anode_voltage_dc * point.anode_current_dc, "energy");
		CHECK_NEAR_SCALE(0.5 * swing.grid_swing_pk * point.grid_current_fund_pk, -swing.grid_bias * point.grid_current_dc + point.grid_loss, 1e-12,
		                 swing.grid_swing_pk * point.grid_current_dc, "energy");
		double k = 2.385;
		law.perveance *= 1.713;
		law.emission *= 1.713 * k * sqrt(k);
		rw_swing larger = {k * swing.anode_voltage_dc, k * swing.anode_swing_pk, k * swing.grid_bias, k * swing.grid_swing_pk};
		CHECK_OK(rw_class_c_solve(&law, &larger, 1e-8, &scaled, &err), &err);
		CHECK_NEAR(scaled.anode_current_fund_pk, point.anode_current_fund_pk * 1.713 * k * sqrt(k), 1e-9, "scaling");
		CHECK_NEAR(scaled.grid_current_dc, point.grid_current_dc * 1.713 * k * sqrt(k), 1e-9, "scaling");
	}
}

static void test_limits(void **state)
{
	(void)state;
	rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = 1.613e-3, .mu = 21.7, .division = 2.385, .emission = (double)INFINITY};
	rw_class_c point;
	rw_error err;
	/* no swing: a steady current, all angle */
	CHECK_OK(rw_class_c_solve(&law, &(rw_swing){8123.0, 0.0, -97.3, 0.0}, 1e-6, &point, &err), &err);
	double ia, ig;
	rw_valve_currents(&law, 8123.0, -97.3, &ia, &ig);
	CHECK_NEAR(point.anode_current_dc, ia, 1e-14, "steady");
	CHECK_NEAR_SCALE(point.anode_current_fund_pk, 0.0, 1e-14, ia, "steady");
	CHECK_NEAR(point.anode_half_angle, M_PI, 1e-14, "steady");
	CHECK_NEAR(point.anode_loss, 8123.0 * ia, 1e-14, "steady");
	/* cut off for the whole cycle */
	CHECK_OK(rw_class_c_solve(&law, &(rw_swing){8123.0, 3000.0, -900.0, 100.0}, 1e-6, &point, &err), &err);
	assert_true(point.anode_current_dc == 0.0 && point.grid_current_pk == 0.0 && point.anode_half_angle == 0.0 && point.error == 0.0);
	/* swing just beyond the supply: the dip takes the anode current to nothing at the crest */
	CHECK_OK(rw_class_c_solve(&law, &(rw_swing){9054.0, 9487.6, -873.0, 1537.3}, 1e-6, &point, &err), &err);
	assert_true(point.grid_current_dc > point.anode_current_dc && point.anode_half_angle < point.grid_half_angle);
}

static void test_errors(void **state)
{
	(void)state;
	const rw_valve_law good = {.law = RW_LAW_DIVIDED, .perveance = 1.613e-3, .mu = 21.7, .division = 2.385, .emission = (double)INFINITY};
	const rw_swing swing = {8123.0, 7031.0, -683.0, 1177.0};
	rw_class_c point = {.anode_current_dc = 123.4}, before = point;
	rw_error err;
	const rw_swing bad[] = {{(double)NAN, 7031.0, -683.0, 1177.0}, {8123.0, -1.0, -683.0, 1177.0}, {8123.0, 7031.0, -683.0, (double)INFINITY}, {8123.0, 7031.0, -683.0, -0.5}};
	for (int i = 0; i < 4; i++)
		assert_int_equal(rw_class_c_solve(&good, &bad[i], 1e-6, &point, &err), RW_E_RANGE);
	assert_int_equal(rw_class_c_solve(&good, &swing, 1e-2, &point, &err), RW_E_RANGE);
	assert_string_equal(err.key, "tolerance");
	assert_int_equal(rw_class_c_solve(&good, &swing, (double)NAN, &point, NULL), RW_E_RANGE);
	for (int i = 0; i < 4; i++) {
		rw_valve_law law = good;
		*(i == 0 ? &law.perveance : i == 1 ? &law.mu : i == 2 ? &law.division : &law.emission) = i == 2 ? (double)NAN : 0.0;
		assert_int_equal(rw_class_c_solve(&law, &swing, 1e-6, &point, &err), RW_E_RANGE);
	}
	const rw_swing huge = {1e250, 0.9e250, -5e248, 9e248};
	assert_int_equal(rw_class_c_solve(&good, &huge, 1e-6, &point, &err), RW_E_RANGE);
	assert_memory_equal(&point, &before, sizeof point);
}

/* An order n integrates y^0 .. y^(2n - 1) exactly. */
static void test_gauss_orders(void **state)
{
	(void)state;
	for (int order = 4; order <= 64; order *= 2) {
		const rw__gauss_node *node = rw__gauss(order);
		for (int power = 0; power < 2 * order; power++) {
			double sum = 0.0;
			for (int i = 0; i < order; i++)
				sum += node[i].weight * pow(node[i].at, power);
			CHECK_NEAR(sum, 1.0 / (power + 1), 1e-14, "order condition");
		}
	}
}

int main(void)
{
	gsl_set_error_handler_off();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_gauss_orders), cmocka_unit_test(test_limits), cmocka_unit_test(test_balances_and_scaling), cmocka_unit_test(test_peaks),
		cmocka_unit_test(test_errors), cmocka_unit_test(test_error_estimate),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
