/* The tank against closed forms: resonance, load resistance, grid ratio, stresses, and that power is what the losses add up to. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "tank/tank.h"

static const double two_pi = 6.283185307179586476925287;

/* R and L of the coil held over frequency, so that the closed form holds. */
typedef struct held { double resistance, inductance, leads_resistance, leads_inductance; } held;

static rw_status load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const held *h = context;
	(void)err;
	*load = (rw_tank_load){h->leads_resistance + h->resistance, two_pi * frequency * (h->inductance + h->leads_inductance)};
	return RW_OK;
}

/* Blocking capacitor and choke out of the way, no capacitor loss, unless a test says otherwise. */
static rw_tank_in plain_tank(void)
{
	return (rw_tank_in){.capacitance = 7.31e-9, .inductance = 8.47e-6, .inductor_q = 213.0, .loss_tangent = 0.0, .grid_mutual = 2.93e-6, .grid_coupling = 0.31,
	                    .grid_inductance = 10.55e-6, .blocking_capacitance = 1.0, .choke_inductance = 1e6};
}

static held plain_load(void) { return (held){2.17, 11.83e-6, 0.0143, 0.171e-6}; }

static rw_tank_tuning tune(const rw_tank_in *in, held load)
{
	rw_error err;
	rw_work work;
	rw_tank_tuning tuning = {0};
	rw_work_init(&work);
	CHECK_OK(rw_tank_tune(in, NULL, load_at, &load, 250e3, 650e3, &work, &tuning, &err), &err);
	rw_work_release(&work);
	return tuning;
}

/* Series R, L with C across: w^2 = 1/(L C) - (R/L)^2, R here growing with w through the inductor's Q: iterated. */
static void resonance_is_the_closed_form(void **state)
{
	(void)state;
	rw_tank_in in = plain_tank();
	held load = plain_load();
	rw_tank_tuning tuning = tune(&in, load);
	double inductance = in.inductance + load.inductance + load.leads_inductance, w = 1.0 / sqrt(inductance * in.capacitance), r = 0.0;
	for (int turn = 0; turn < 60; turn++) {
		r = load.resistance + load.leads_resistance + w * in.inductance / in.inductor_q;
		w = sqrt(1.0 / (inductance * in.capacitance) - r * r / (inductance * inductance));
	}
	const char source[] = "parallel resonance of a lossy coil, any text on circuits";
	CHECK_NEAR(tuning.frequency, w / two_pi, 1e-10, source);
	CHECK_NEAR(1.0 / tuning.conductance, inductance / (in.capacitance * r), 1e-9, source);   /* L/(C R) exactly at that frequency */
	CHECK_NEAR(tuning.ratio, w * in.grid_mutual / hypot(r, w * inductance), 1e-9, "coupled coils: V = w M I");
	CHECK_NEAR(fabs(tuning.phase_error), atan(r / (w * inductance)), 1e-8, "angle of the series branch");
	assert_int_equal(tuning.n_found, 1);
}

static void stresses_add_up(void **state)
{
	(void)state;
	rw_tank_in in = plain_tank();
	in.loss_tangent = 1.7e-3;
	in.blocking_capacitance = 15.3e-9;
	in.choke_inductance = 4.71e-3;
	held load = plain_load();
	rw_tank_tuning tuning = tune(&in, load);
	rw_tank_load at;
	rw_tank_case out;
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	CHECK_OK(load_at(&load, tuning.frequency, &at, &err), &err);
	CHECK_OK(rw_tank_solve(&in, NULL, &at, &tuning, 7313.0, 8641.0, &work, &out, &err), &err);
	rw_work_release(&work);
	double i2 = out.inductor_current_rms * out.inductor_current_rms;
	double losses = i2 * at.resistance + out.inductor_loss + out.capacitor_loss;
	CHECK_NEAR(losses, out.power, 1e-11, "the parts' losses against the port's power");
	CHECK_NEAR(out.power, 0.5 * 7313.0 * 7313.0 * tuning.conductance, 1e-11, "the port's power by its conductance");
	double w = two_pi * tuning.frequency;
	CHECK_NEAR(out.choke_current_rms, 7313.0 / sqrt(2.0) / (w * in.choke_inductance), 1e-10, "reactance of the choke");
	CHECK_NEAR(out.grid_winding_voltage_pk, sqrt(2.0) * w * in.grid_mutual * out.inductor_current_rms, 1e-10, "coupled coils");
	assert_true(out.blocking_voltage_pk > 8641.0);
}

static void refusals(void **state)
{
	(void)state;
	rw_tank_in in = plain_tank();
	held load = plain_load();
	rw_error err;
	rw_work work;
	rw_tank_tuning tuning = {.frequency = 7.0};
	rw_work_init(&work);
	assert_int_equal(rw_tank_tune(&in, NULL, load_at, &load, 250e3, 300e3, &work, &tuning, &err), RW_E_NOSOLVE);
	assert_true(err.what[0] && err.expected[0] && err.hint[0]);
	CHECK_NEAR(tuning.frequency, 7.0, 0.0, "unchanged on error");
	load.resistance = 60.0;   /* loaded Q under 1 */
	rw_status status = rw_tank_tune(&in, NULL, load_at, &load, 50e3, 650e3, &work, &tuning, &err);
	assert_true(status == RW_E_NOSOLVE || status == RW_E_RANGE);
	rw_work_release(&work);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(resonance_is_the_closed_form),
	    cmocka_unit_test(stresses_add_up),
	    cmocka_unit_test(refusals),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
