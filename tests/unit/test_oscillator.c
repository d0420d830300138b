/* The oscillator's balances: found, closed, converged, by a second route, and refused where there is none. */
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "oscillator/oscillator.h"

typedef struct stiff { double voltage, resistance; } stiff;

static rw_status supply(void *context, double current, double *voltage, rw_error *err)
{
	const stiff *s = context;
	(void)err;
	*voltage = s->voltage - s->resistance * current;
	return RW_OK;
}

static rw_valve_law law(void)
{
	return (rw_valve_law){.law = RW_LAW_DIVIDED, .perveance = 1.53e-3, .mu = 21.7, .division = 2.35, .emission = (double)INFINITY};
}

static rw_oscillator_problem problem(const stiff *s)
{
	return (rw_oscillator_problem){.law = law(), .conductance = 1.0 / 1193.0, .ratio = 0.1517, .frequency = 397e3, .grid_leak = 907.0, .supply = supply,
	                               .supply_context = (void *)(uintptr_t)s, .voltage_scale = s->voltage};
}

static rw_oscillator_case solved(const rw_oscillator_problem *p, rw_oscillator_scan *scan)
{
	rw_oscillator_case out = {0};
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	CHECK_OK(rw_oscillator_solve(p, &work, scan, &out, &err), &err);
	rw_work_release(&work);
	return out;
}

static void balances_hold(void **state)
{
	(void)state;
	const stiff s = {9183.0, 107.0};
	rw_oscillator_problem p = problem(&s);
	rw_oscillator_scan scan;
	rw_oscillator_case o = solved(&p, &scan);
	const char source[] = "the three balances of the model";
	CHECK_NEAR(o.output_power - o.drive_power, 0.5 * o.anode_swing_pk * o.anode_swing_pk * p.conductance, 1e-9, source);
	CHECK_NEAR(o.grid_bias, -p.grid_leak * o.grid_current_dc, 1e-9, source);
	CHECK_NEAR(o.anode_voltage_dc, s.voltage - s.resistance * o.anode_current_dc, 1e-9, source);
	CHECK_NEAR(o.input_power, o.output_power + o.anode_loss, 1e-8, "energy at the anode");
	CHECK_NEAR(o.drive_power, o.grid_loss + o.leak_power, 1e-8, "energy at the grid");
	assert_int_equal(scan.n, 1);
	assert_true(scan.at[0].stable && scan.loop_gain > 1.0 && scan.residual < 1e-9);
}

/* Second route: no quadrature between kinks, no scan: sums over equal steps, and the three unknowns closed by repeated substitution. */
static void sums(const rw_valve_law *l, double va0, double vam, double bias, double vgm, double *ia0, double *ia1, double *ig0, double *ig1)
{
	enum { N = 200000 };
	*ia0 = *ia1 = *ig0 = *ig1 = 0.0;
	for (int k = 0; k < N; k++) {
		double c = cos(6.283185307179586476925287 * (k + 0.5) / N), ia, ig;
		rw_valve_currents(l, va0 - vam * c, bias + vgm * c, &ia, &ig);
		*ia0 += ia / N;
		*ia1 += 2.0 * ia * c / N;
		*ig0 += ig / N;
		*ig1 += 2.0 * ig * c / N;
	}
}

static void second_route(void **state)
{
	(void)state;
	const stiff s = {9183.0, 107.0};
	rw_oscillator_problem p = problem(&s);
	rw_oscillator_scan scan;
	rw_oscillator_case o = solved(&p, &scan);
	double va0 = 8700.0, vam = 7000.0, bias = -600.0, ia0 = 0, ia1 = 0, ig0 = 0, ig1 = 0;
	for (int turn = 0; turn < 400; turn++) {
		sums(&p.law, va0, vam, bias, p.ratio * vam, &ia0, &ia1, &ig0, &ig1);
		double next = vam + 0.3 * ((ia1 - p.ratio * ig1) / p.conductance - vam);
		bool still = fabs(next - vam) < 1e-8 * vam;
		vam = next;
		bias += 0.3 * (-p.grid_leak * ig0 - bias);
		va0 += 0.5 * (s.voltage - s.resistance * ia0 - va0);
		if (still && turn > 60)
			break;
	}
	const char source[] = "equal-step sums and repeated substitution";
	CHECK_NEAR(o.anode_swing_pk, vam, 1e-6, source);
	CHECK_NEAR(o.grid_bias, bias, 1e-6, source);
	CHECK_NEAR(o.anode_voltage_dc, va0, 1e-6, source);
	CHECK_NEAR(o.anode_current_dc, ia0, 1e-6, source);
	CHECK_NEAR(o.grid_current_dc, ig0, 1e-6, source);
}

static void empty_coil_swings_beyond_the_anode_volts(void **state)
{
	(void)state;
	const stiff s = {9183.0, 107.0};
	rw_oscillator_problem p = problem(&s);
	p.conductance = 1.0 / 7900.0;
	p.ratio = 0.134;
	rw_oscillator_scan scan;
	rw_oscillator_case o = solved(&p, &scan);
	assert_true(o.swing_ratio > 1.0 && o.swing_ratio < 1.05);
	assert_true(o.grid_current_dc > o.anode_current_dc);   /* what an empty coil does to a grid */
}

static void no_oscillation_is_said(void **state)
{
	(void)state;
	const stiff s = {9183.0, 107.0};
	rw_oscillator_problem p = problem(&s);
	p.conductance = 1.0 / 4.1;   /* a shorted coil */
	rw_oscillator_scan scan;
	rw_oscillator_case out = {.frequency = 3.0};
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	assert_int_equal(rw_oscillator_solve(&p, &work, &scan, &out, &err), RW_E_NOSOLVE);
	assert_true(scan.loop_gain < 1.0 && strstr(err.what, "does not oscillate") && err.hint[0]);
	CHECK_NEAR(out.frequency, 3.0, 0.0, "unchanged on error");
	rw_work_release(&work);
}

static rw_status fixed_power(void *context, double swing, double grid_swing, double *power, rw_error *err)
{
	(void)swing;
	(void)grid_swing;
	(void)err;
	*power = *(double *)context;
	return RW_OK;
}

/* Rule R3: the point has the wanted angle and least volts, and gives the power. Then the ratings move it. */
static void design_meets_its_targets(void **state)
{
	(void)state;
	rw_valve_law l = law();
	double power = 24310.0;
	rw_oscillator_targets targets = {8800.0, (double)NAN, (double)NAN, 12e3, 2.0};
	rw_operating_point point;
	rw_error err;
	CHECK_OK(rw_oscillator_design(&l, &targets, fixed_power, &power, &point, &err), &err);
	const rw_swing *w = &point.swing;
	double given = 0.5 * w->anode_swing_pk * point.currents.anode_current_fund_pk - 0.5 * w->grid_swing_pk * point.currents.grid_current_fund_pk;
	CHECK_NEAR(given, power, 1e-8, "power wanted");
	CHECK_NEAR(point.currents.anode_half_angle, 70.0 * 0.01745329251994329577, 1e-9, "rule R3");
	assert_true(point.anode_voltage_min >= 0.12 * 8800.0 - 1e-6 && point.anode_voltage_min >= 2.0 * (w->grid_bias + w->grid_swing_pk) - 1e-6);
	assert_true(point.within);

	targets.anode_dissipation_max = 9e3;   /* 80 % of it is under what 70 degrees dissipates */
	CHECK_OK(rw_oscillator_design(&l, &targets, fixed_power, &power, &point, &err), &err);
	assert_true(point.half_angle < 69.0 * 0.01745329251994329577 && point.half_angle > 59.9 * 0.01745329251994329577);
	power = 2e6;
	assert_int_equal(rw_oscillator_design(&l, &targets, fixed_power, &power, &point, &err), RW_E_NOSOLVE);
	assert_true(strstr(err.what, "gives at most") && err.hint[0]);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(balances_hold),
	    cmocka_unit_test(second_route),
	    cmocka_unit_test(empty_coil_swings_beyond_the_anode_volts),
	    cmocka_unit_test(no_oscillation_is_said),
	    cmocka_unit_test(design_meets_its_targets),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
