/* Leads: two tubes against field integrals, a case against its own parts, and what is refused. */
#include "tests/check.h"

#include <string.h>

#include "base/base.h"
#include "coil/leads.h"

static const double open_value = (double)NAN;

static const double mu0_old = 4e-7 * M_PI;

static rw_leads_in tubes(double length, double diameter, double spacing)
{
	return (rw_leads_in){.inductance = open_value, .resistance = open_value, .length = length, .diameter = diameter, .spacing = spacing, .temperature = open_value};
}

/* Flux between two filaments on the proximity-shifted axes, from surface to surface, by Simpson's rule: per metre and ampere. */
static double flux_between(double diameter, double spacing)
{
	double a = 0.5 * diameter, half = 0.5 * spacing, shifted = sqrt(half * half - a * a), edge = half - a, sum = 0.0;
	enum { N = 2000 };
	for (int k = 0; k <= N; k++) {
		double x = -edge + 2.0 * edge * k / N, weight = k == 0 || k == N ? 1.0 : k % 2 ? 4.0 : 2.0;
		sum += weight * mu0_old / (2.0 * M_PI) * (1.0 / (shifted + x) + 1.0 / (shifted - x));
	}
	return sum * 2.0 * edge / N / 3.0;
}

static void test_inductance_is_the_flux_between(void **state)
{
	(void)state;
	rw_error err;
	rw_leads_in in = tubes(0.437, 9.3e-3, 23.85e-3);
	CHECK_OK(rw_leads_choose(&in, 413.7e3, &err), &err);
	CHECK_NEAR(in.inductance, 0.437 * flux_between(9.3e-3, 23.85e-3), 1e-8, "flux between shifted filaments, integrated");
	CHECK_NEAR(in.temperature, 333.15, 1e-12, "rule R6");
}

/* Surface current of two round conductors goes as 1/(s - d cos phi) (image filaments); loss by its mean square over its squared mean. */
static void test_resistance_is_the_loss_of_the_surface_current(void **state)
{
	(void)state;
	rw_error err;
	double d = 9.3e-3, s = 13.85e-3, f = 413.7e3, mean = 0.0, square = 0.0;
	rw_leads_in in = tubes(0.437, d, s);
	in.temperature = 351.4;
	CHECK_OK(rw_leads_choose(&in, f, &err), &err);
	enum { N = 400 };
	for (int k = 0; k < N; k++) {
		double density = 1.0 / (s - d * cos(2.0 * M_PI * k / N));
		mean += density / N;
		square += density * density / N;
	}
	double resistivity = 1.7241e-8 * (1.0 + 0.00393 * (351.4 - 293.15)), delta = sqrt(2.0 * resistivity / (2.0 * M_PI * f * mu0_old));
	double both = 2.0 * 0.437 * resistivity / (M_PI * d * delta);
	CHECK_NEAR(in.resistance, both * square / (mean * mean), 1e-8, "loss of the surface current, integrated");
}

static void test_given_values_stay(void **state)
{
	(void)state;
	rw_error err;
	rw_leads_in in = {.inductance = 0.163e-6, .resistance = 15.7e-3, .length = open_value, .diameter = open_value, .spacing = open_value, .temperature = open_value};
	CHECK_OK(rw_leads_choose(&in, 413.7e3, &err), &err);
	assert_true(in.inductance == 0.163e-6 && in.resistance == 15.7e-3 && isnan(in.length));
	rw_leads_in half = tubes(0.437, 9.3e-3, 23.85e-3);
	half.inductance = 0.2385e-6;
	CHECK_OK(rw_leads_choose(&half, 413.7e3, &err), &err);
	assert_true(half.inductance == 0.2385e-6 && half.resistance > 0.0);
}

static void test_case(void **state)
{
	(void)state;
	rw_error err;
	rw_leads_in in = {.inductance = 0.163e-6, .resistance = 15.7e-3};
	rw_leads_case out;
	CHECK_OK(rw_leads_solve(&in, 400e3, 376.9e3, 118.3, &out, &err), &err);
	double x = 2.0 * M_PI * 376.9e3 * 0.163e-6;
	CHECK_NEAR(out.effective_resistance * out.effective_resistance, 15.7e-3 * 15.7e-3 * 376.9 / 400.0, 1e-12, "square root of frequency");
	CHECK_NEAR(out.loss, 118.3 * 118.3 * out.effective_resistance, 1e-12, "power");
	CHECK_NEAR(out.voltage_rms * out.voltage_rms, out.loss / out.effective_resistance * (x * x + out.effective_resistance * out.effective_resistance),
	           1e-12, "volts of the series branch");
	/* a tube's resistance in a case is what it would be if chosen at that frequency */
	rw_leads_in wanted = tubes(0.437, 9.3e-3, 23.85e-3), moved = wanted;
	CHECK_OK(rw_leads_choose(&wanted, 400e3, &err), &err);
	CHECK_OK(rw_leads_choose(&moved, 376.9e3, &err), &err);
	CHECK_OK(rw_leads_solve(&wanted, 400e3, 376.9e3, 118.3, &out, &err), &err);
	CHECK_NEAR(out.effective_resistance, moved.resistance, 1e-12, "skin effect at the case's frequency");
}

static void refused(rw_leads_in in, double frequency, rw_status status, const char *key)
{
	rw_error err;
	rw_leads_in before = in;
	assert_int_equal(rw_leads_choose(&in, frequency, &err), status);
	assert_string_equal(err.key, key);
	assert_memory_equal(&in, &before, sizeof in);
}

static void test_refusals(void **state)
{
	(void)state;
	refused(tubes(0.437, open_value, 23.85e-3), 400e3, RW_E_MISSING, "leads.inductance");
	rw_leads_in half = tubes(open_value, open_value, open_value);
	half.inductance = 0.163e-6;
	refused(half, 400e3, RW_E_MISSING, "leads.resistance");
	refused(tubes(0.437, 9.3e-3, 9.3e-3), 400e3, RW_E_RANGE, "leads.spacing");
	refused(tubes(0.437, 9.3e-3, 23.85e-3), 1.2e3, RW_E_RANGE, "leads.diameter");   /* skin depth 2.05 mm, a fifth is 1.86 mm */
	refused(tubes(0.437, 9.3e-3, 23.85e-3), 0.0, RW_E_RANGE, "generator.frequency");
	rw_leads_case out, before;
	memset(&out, 0xA5, sizeof out);
	before = out;
	rw_leads_in in = {.inductance = 0.163e-6, .resistance = 15.7e-3};
	assert_int_equal(rw_leads_solve(&in, 0.0, 376.9e3, 118.3, &out, NULL), RW_E_RANGE);
	assert_int_equal(rw_leads_solve(&in, 400e3, 376.9e3, open_value, &out, NULL), RW_E_RANGE);
	assert_memory_equal(&out, &before, sizeof out);
}

/* The model holds up to its stated edge and no further. */
static void test_skin_edge(void **state)
{
	(void)state;
	rw_error err;
	double resistivity = rw_copper_resistivity(333.15), d = 9.3e-3;
	double edge = resistivity / (M_PI * mu0_old * 0.04 * d * d);   /* delta = d/5 */
	CHECK_NEAR(rw_skin_depth(resistivity, edge), 0.2 * d, 1e-8, "inverse of the skin depth");
	rw_leads_in in = tubes(0.437, d, 23.85e-3);
	CHECK_OK(rw_leads_choose(&in, 1.01 * edge, &err), &err);
	refused(tubes(0.437, d, 23.85e-3), 0.99 * edge, RW_E_RANGE, "leads.diameter");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_inductance_is_the_flux_between),
		cmocka_unit_test(test_resistance_is_the_loss_of_the_surface_current),
		cmocka_unit_test(test_given_values_stay),
		cmocka_unit_test(test_case),
		cmocka_unit_test(test_refusals),
		cmocka_unit_test(test_skin_edge),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
