/* The characteristic: values by its formula written a second time, continuity at the kinks, scaling, bounds. */
#include "tests/check.h"
#include "valve/valve_internal.h"

static const rw_valve_law valve = {.law = RW_LAW_DIVIDED, .perveance = 1.613e-3, .mu = 21.7, .division = 2.385, .emission = (double)INFINITY};

/* The formulas of the header, by powers, with none of the code's shortcuts. */
static void by_powers(const rw_valve_law *law, double va, double vg, double *ia, double *ig)
{
	double bracket = vg + fmax(va, 0.0) / law->mu, ik = bracket > 0.0 ? fmin(law->perveance * pow(bracket, 1.5), law->emission) : 0.0;
	*ia = ik;
	*ig = 0.0;
	if (va <= 0.0) {
		*ia = 0.0;
		*ig = vg > 0.0 ? ik : 0.0;
	} else if (vg > 0.0) {
		double ratio = (va >= vg ? pow(vg / va, 0.5) : pow(vg / va, 2.0)) / law->division;
		*ia = ik / (1.0 + ratio);
		*ig = ik - *ia;
	}
}

static void test_values(void **state)
{
	(void)state;
	static const double points[][2] = {   /* va, vg */
		{8123.0, -97.3}, {8123.0, -801.0}, {2017.0, 411.5}, {523.1, 522.9}, {522.9, 523.1}, {87.3, 391.4}, {-213.0, 377.7}, {-213.0, -5.3}, {1e-7, 251.3}, {3871.0, 0.0},
	};
	for (int capped = 0; capped < 2; capped++) {
		rw_valve_law law = valve;
		if (capped)
			law.emission = 13.37;
		for (size_t i = 0; i < sizeof points / sizeof *points; i++) {
			double ia, ig, want_ia, want_ig;
			rw_valve_currents(&law, points[i][0], points[i][1], &ia, &ig);
			by_powers(&law, points[i][0], points[i][1], &want_ia, &want_ig);
			CHECK_NEAR_SCALE(ia, want_ia, 1e-14, want_ia + want_ig, "formula");
			CHECK_NEAR_SCALE(ig, want_ig, 1e-14, want_ia + want_ig, "formula");
		}
	}
	double ia, ig;
	rw_valve_law s1 = {.law = RW_LAW_DIVIDED, .perveance = 2e-3, .mu = 20.0, .division = 2.4, .emission = (double)INFINITY};
	rw_valve_currents(&s1, 8000.0, -100.0, &ia, &ig);
	CHECK_NEAR(ia, 10.392305, 5e-8, "references/valve.md section 4, half the last printed digit");
	assert_true(ig == 0.0);
	rw_valve_currents(&valve, 433.1, 433.1, &ia, &ig);
	CHECK_NEAR(ia / ig, 2.385, 1e-14, "division is the ratio at equal volts");
}

static void test_ideal(void **state)
{
	(void)state;
	rw_valve_law law = {.law = RW_LAW_IDEAL, .perveance = 2.1e-3, .mu = 19.3, .exponent = 1.5, .grid_perveance = 0.27e-3};
	static const double exponents[] = {1.0, 1.5, 2.0, 1.41};
	for (int i = 0; i < 4; i++) {
		double ia, ig;
		law.exponent = exponents[i];
		rw_valve_currents(&law, 1731.0, 312.4, &ia, &ig);
		CHECK_NEAR(ia, 2.1e-3 * pow(312.4 + 1731.0 / 19.3, exponents[i]), 1e-13, "formula");
		CHECK_NEAR(ig, 0.27e-3 * pow(312.4, 1.5), 1e-13, "formula");
		rw_valve_currents(&law, 1731.0, -112.4, &ia, &ig);
		assert_true(ia == 0.0 && ig == 0.0);
	}
}

/* The currents are continuous wherever a kink is crossed; the sum never depends on the division. */
static void test_continuity(void **state)
{
	(void)state;
	rw_valve_law law = valve;
	law.emission = 9.37;
	double x = cbrt(law.emission / law.perveance), cap = x * x;
	const double kinks[][2] = {{4113.0, -4113.0 / law.mu}, {4113.0, 0.0}, {371.3, 371.3}, {0.0, 271.3}, {2711.0, cap - 2711.0 / law.mu}, {-17.0, cap}};
	for (size_t i = 0; i < sizeof kinks / sizeof *kinks; i++) {
		for (int way = 0; way < 2; way++) {
			double a[2], b[2], step = 1e-9;
			rw_valve_currents(&law, kinks[i][0] - (way ? step : 0.0), kinks[i][1] - (way ? 0.0 : step), &a[0], &a[1]);
			rw_valve_currents(&law, kinks[i][0] + (way ? step : 0.0), kinks[i][1] + (way ? 0.0 : step), &b[0], &b[1]);
			CHECK_NEAR_SCALE(b[0], a[0], 1e-5, 1.0, "continuity");
			CHECK_NEAR_SCALE(b[1], a[1], 1e-5, 1.0, "continuity");
		}
	}
	double ia, ig, ja, jg;
	for (int i = 0; i < 500; i++) {
		double va = -300.0 + 7.31 * i, vg = -200.0 + 1.93 * i;
		rw_valve_currents(&valve, va, vg, &ia, &ig);
		law = valve;
		law.division *= 1.7;
		rw_valve_currents(&law, va, vg, &ja, &jg);
		CHECK_NEAR_SCALE(ja + jg, ia + ig, 1e-14, ia + ig, "space current");
		assert_true(ia >= 0.0 && ig >= 0.0 && jg <= ig);
	}
}

static void test_law_of_item(void **state)
{
	(void)state;
	rw_valve_in in = {.perveance = 1.61e-3, .mu = 21.7, .division = 2.39, .emission = (double)NAN, .law = RW_LAW_DIVIDED};
	rw_valve_law law = rw_valve_law_of(&in, NULL);
	assert_true(isinf(law.emission) && law.law == RW_LAW_DIVIDED && law.perveance == 1.61e-3 && law.mu == 21.7 && law.division == 2.39);
	in.emission = 31.3;
	assert_true(rw_valve_law_of(&in, NULL).emission == 31.3);
}

int main(void)
{
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_values), cmocka_unit_test(test_ideal), cmocka_unit_test(test_continuity), cmocka_unit_test(test_law_of_item),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
