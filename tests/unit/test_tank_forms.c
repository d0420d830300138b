/* Topologies of the tank against closed forms, reciprocity, the whole circuit of two valves, and the ratings of capacitors. Figures invented. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "check.h"
#include "tank/tank.h"

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;

typedef struct held { double resistance, inductance, capacitance; } held;   /* held over frequency; capacitance 0: none */

static rw_status load_at(void *context, double frequency, rw_tank_load *load, rw_error *err)
{
	const held *h = context;
	double w = two_pi * frequency;
	(void)err;
	*load = (rw_tank_load){h->resistance, w * h->inductance - (h->capacitance > 0.0 ? 1.0 / (w * h->capacitance) : 0.0)};
	return RW_OK;
}

static const double none = (double)NAN;
static const held coil = {2.317, 11.57e-6, 0.0};

/* Blocking capacitor and chokes out of the way, no capacitor loss. */
static rw_tank_in plain(int feedback, int coupling)
{
	return (rw_tank_in){.feedback = feedback, .coupling = coupling, .capacitance = 7.31e-9, .inductance = 8.47e-6, .inductor_q = 213.0,
	    .grid_mutual = 2.93e-6, .grid_coupling = 0.31, .grid_inductance = feedback == RW_FEEDBACK_INDUCTIVE ? 0.733e-6 : 10.55e-6,
	    .divider_anode_capacitance = 8.61e-9, .divider_grid_capacitance = 53.7e-9, .blocking_capacitance = 1.0, .choke_inductance = 1e6,
	    .bypass_capacitance = 17.9e-9, .grid_choke_inductance = 1e6, .secondary_inductance = 2.173e-6, .secondary_mutual = 0.913e-6,
	    .secondary_capacitance = none, .secondary_q = 187.0, .choke_self_capacitance = none};
}

static rw_tank_tuning tune(const rw_tank_in *in, const rw_tank_valve *valve, held load, double low, double high)
{
	rw_error err;
	rw_work work;
	rw_tank_tuning tuning = {0};
	rw_work_init(&work);
	CHECK_OK(rw_tank_tune(in, valve, load_at, &load, low, high, &work, &tuning, &err), &err);
	rw_work_release(&work);
	return tuning;
}

/* C1 and, behind it, the branch r + jx in series with C2: resonance where x' = x - 1/(w C2) has w C1 = x'/(r^2 + x'^2); then G = r/(..). */
static void divider(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_CAPACITIVE, RW_COUPLING_SERIES);
	rw_tank_tuning t = tune(&in, NULL, coil, 250e3, 650e3);
	const char source[] = "series-parallel circuit, any text on circuits";
	double w = two_pi * t.frequency, r = coil.resistance + w * in.inductance / in.inductor_q;
	double x = w * (in.inductance + coil.inductance) - 1.0 / (w * in.divider_grid_capacitance), z2 = r * r + x * x;
	CHECK_NEAR(w * in.divider_anode_capacitance, x / z2, 1e-9, source);
	CHECK_NEAR(t.conductance, r / z2, 1e-8, source);
	CHECK_NEAR(t.ratio, 1.0 / (w * in.divider_grid_capacitance * sqrt(z2)), 1e-9, source);
	CHECK_NEAR(t.ratio, in.divider_anode_capacitance / in.divider_grid_capacitance, 4e-3, "ratio of a divider of high Q");
	CHECK_NEAR(fabs(t.phase_error), atan(r / x), 1e-7, "angle of the branch");
}

/* Without loss Va/Vg is (X + L + M)/(Lg + M) by the one current of both parts. */
static void tapped(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_INDUCTIVE, RW_COUPLING_SERIES);
	held load = {1.9e-3, coil.inductance, 0.0};
	in.inductor_q = 1e7;
	rw_tank_tuning t = tune(&in, NULL, load, 250e3, 650e3);
	double mutual = 0.31 * sqrt(in.inductance * in.grid_inductance);
	double anode = load.inductance + in.inductance + mutual, grid = in.grid_inductance + mutual;
	CHECK_NEAR(t.frequency, 1.0 / (two_pi * sqrt((anode + grid) * in.capacitance)), 1e-7, "resonance of the whole coil");
	CHECK_NEAR(t.ratio, grid / anode, 1e-6, "one current in both parts");
	double share = anode / (anode + grid), branch = load.resistance + two_pi * t.frequency * (in.inductance + in.grid_inductance) / in.inductor_q;
	CHECK_NEAR(1.0 / t.conductance, share * share * (anode + grid) / (in.capacitance * branch), 1e-4, "tapped tank: share^2 L/(C R)");
}

/* At the mesh's own resonance the reflected impedance is (w M)^2/R and real. */
static void secondary(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_WINDING, RW_COUPLING_SECONDARY);
	double w = two_pi * 437.3e3;
	held load = {2.317, 0.0, 1.0 / (w * w * in.secondary_inductance)};
	rw_tank_load at;
	rw_tank_net t;
	rw_error err;
	rw_work work;
	double complex i[2];
	rw_work_init(&work);
	CHECK_OK(load_at(&load, 437.3e3, &at, &err), &err);
	CHECK_OK(rw_tank_build(&in, NULL, &at, &t, &err), &err);
	CHECK_OK(rw_net_stress(&t.net, 437.3e3, (const double complex[]){1.0, 0.0}, (const bool[]){false, true}, &work, NULL, NULL, i, &err),
	    &err);
	double mesh = load.resistance + w * in.secondary_inductance / in.secondary_q;
	double complex branch = w * in.inductance / in.inductor_q + pow(w * in.secondary_mutual, 2.0) / mesh + j * w * in.inductance;
	double complex want = j * w * in.capacitance + 1.0 / branch;
	CHECK_NEAR_SCALE(creal(i[0]), creal(want), 1e-7, cabs(want), "reflected resistance");
	CHECK_NEAR_SCALE(cimag(i[0]), cimag(want), 1e-6, cabs(want), "reflected resistance");
	rw_work_release(&work);
}

/* Over critical coupling there are three resonances; the one taken drives the grid in the right sense, the others are told. */
static void coupled_humps(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_WINDING, RW_COUPLING_SECONDARY);
	double f0 = 1.0 / (two_pi * sqrt(in.inductance * in.capacitance)), w = two_pi * f0;
	held load = {0.0417, 0.0, 1.0 / (w * w * in.secondary_inductance)};
	rw_tank_tuning t = tune(&in, NULL, load, 0.6 * f0, 1.7 * f0);
	double k = in.secondary_mutual / sqrt(in.inductance * in.secondary_inductance);
	double outer[] = {f0 / sqrt(1.0 + k), f0 / sqrt(1.0 - k)};
	assert_true(t.n_found >= 2 && t.n_others == t.n_found - 1);
	double off = fmin(fabs(t.frequency / outer[0] - 1.0), fabs(t.frequency / outer[1] - 1.0));
	assert_true(off < 2e-3);
	assert_true(fabs(t.phase_error) < 0.785);
}

/* Both valves: the network of one twice, with whole parts between the sides where they are whole: the branch's load and secondary. */
static void half_is_the_whole(void **state)
{
	(void)state;
	static const double f = 403.1e3;
	rw_tank_in in = plain(RW_FEEDBACK_WINDING, RW_COUPLING_SERIES);
	rw_tank_valve valve = {21.3e-12, 37.9e-12, 2.7e-12};
	rw_tank_load load = {5.173, 31.79};
	in.arrangement = RW_PUSH_PULL;
	in.loss_tangent = 1.3e-3;
	in.blocking_capacitance = 14.7e-9;
	in.choke_inductance = 3.91e-3;
	rw_tank_net half;
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	CHECK_OK(rw_tank_build(&in, &valve, &load, &half, &err), &err);
	/* anodes 1 and 2, tank 3 and 4, grids 5 and 6; whole inductor in two parts about the load, whole capacitor, whole winding earthed at its middle */
	rw_net whole;
	rw_net_start(&whole, 8);
	for (int side = 0; side < 2; side++) {
		rw_net_add(&whole, RW_PART_C, 1 + side, 3 + side, in.blocking_capacitance, in.loss_tangent);
		rw_net_add(&whole, RW_PART_L, 1 + side, 0, in.choke_inductance, 0.0);
		rw_net_add(&whole, RW_PART_C, 1 + side, 5 + side, valve.anode_grid, 0.0);
		rw_net_add(&whole, RW_PART_C, 5 + side, 0, valve.grid_cathode, 0.0);
		rw_net_add(&whole, RW_PART_C, 1 + side, 0, valve.anode_cathode, 0.0);
	}
	rw_net_add(&whole, RW_PART_C, 3, 4, in.capacitance, in.loss_tangent);
	int inductor = rw_net_add(&whole, RW_PART_L, 3, 7, in.inductance, 1.0 / in.inductor_q);
	int at_load = rw_net_add(&whole, RW_PART_Z, 7, 4, load.resistance, load.reactance);
	/* the winding's halves share all their flux: together the whole */
	int upper = rw_net_add(&whole, RW_PART_L, 0, 5, in.grid_inductance / 4.0, 0.0), lower = rw_net_add(&whole, RW_PART_L, 6, 0,
	    in.grid_inductance / 4.0, 0.0);
	rw_net_couple(&whole, upper, lower, in.grid_inductance / 4.0);
	rw_net_couple(&whole, inductor, upper, in.grid_mutual / 2.0);
	rw_net_couple(&whole, inductor, lower, in.grid_mutual / 2.0);
	rw_net_port(&whole, 1, 0);
	rw_net_port(&whole, 2, 0);
	rw_net_port(&whole, 5, 0);
	const double complex odd[3] = {7.31e3, -7.31e3, 0.0}, one[2] = {7.31e3, 0.0};
	rw_stress of_whole[RW_PARTS_MAX], of_half[RW_TANK_PARTS];
	double complex v[3], i[3], half_v[2], half_i[2];
	CHECK_OK(rw_net_stress(&whole, f, odd, (const bool[]){false, false, true}, &work, of_whole, v, i, &err), &err);
	CHECK_OK(rw_net_stress(&half.net, f, one, (const bool[]){false, true}, &work, of_half, half_v, half_i, &err), &err);
	const char source[] = "a symmetrical circuit driven in opposition: its middle is at rest";
	CHECK_NEAR_SCALE(cabs(i[0] - half_i[0]), 0.0, 1e-9, cabs(half_i[0]), source);
	CHECK_NEAR_SCALE(cabs(i[1] + half_i[0]), 0.0, 1e-9, cabs(half_i[0]), source);
	CHECK_NEAR_SCALE(cabs(v[2] - half_v[1]), 0.0, 1e-9, cabs(half_v[1]), source);
	CHECK_NEAR(cabs(of_whole[inductor].current), cabs(of_half[half.part[RW_TANK_INDUCTOR]].current), 1e-9, source);
	CHECK_NEAR(cabs(of_whole[inductor].voltage), 2.0 * cabs(of_half[half.part[RW_TANK_INDUCTOR]].voltage), 1e-9, source);
	CHECK_NEAR(of_whole[at_load].loss, 2.0 * of_half[half.part[RW_TANK_LOAD]].loss, 1e-9, source);
	rw_work_release(&work);
}

static void reciprocal(void **state)
{
	(void)state;
	rw_tank_valve valve = {21.3e-12, 37.9e-12, 2.7e-12};
	rw_tank_load load = {5.173, 31.79};
	rw_error err;
	rw_work work;
	rw_work_init(&work);
	for (int which = 0; which < 12; which++) {
		rw_tank_in in = plain(which % 3, which / 3 % 2);
		in.feed = which / 6;
		if (in.feed == RW_FEED_SERIES && in.feedback == RW_FEEDBACK_CAPACITIVE)
			continue;
		in.loss_tangent = 1.3e-3;
		in.blocking_capacitance = 14.7e-9;
		in.grid_choke_inductance = 0.391e-3;
		rw_tank_net t;
		double complex y[4];
		CHECK_OK(rw_tank_build(&in, &valve, &load, &t, &err), &err);
		CHECK_OK(rw_net_admittance(&t.net, 403.1e3, &work, y, &err), &err);
		CHECK_NEAR_SCALE(cabs(y[1] - y[2]), 0.0, 1e-10, cabs(y[0]), "reciprocity");
	}
	rw_work_release(&work);
}

/* Three segments over frequency: volts, then reactive power, then current; direct volts come off the first. */
static void capacitor_segments(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_WINDING, RW_COUPLING_SERIES);
	in.blocking_capacitance = 14.7e-9;
	in.n_capacitors = 1;
	in.capacitors[0] = (rw_capacitor_in){13.7e3, 41.3, 87.1e3, 3.0, 2.0, RW_OF_BLOCKING, 0};
	const double unit = 14.7e-9 * 2.0 / 3.0, dc = 8.73e3 / 2.0;
	rw_tank_case c = {.blocking_voltage_pk = 8.73e3 + 611.0, .blocking_current_rms = 17.3};
	const double f[] = {3.1e3, 61.7e3, 4.91e6};
	const double allowed[] = {(13.7e3 - dc) / sqrt(2.0), sqrt(87.1e3 / (two_pi * f[1] * unit)), 41.3 / (two_pi * f[2] * unit)};
	for (int k = 0; k < 3; k++) {
		rw_tank_rate_capacitors(&in, f[k], 8.73e3, 1.0, &c);
		CHECK_NEAR(c.capacitors[0].segment, k, 0.0, "volts, reactive power, current as frequency rises");
		CHECK_NEAR(c.capacitors[0].rf_voltage_allowed_rms, allowed[k], 1e-12, "definition of the segment");
	}
	CHECK_NEAR(c.capacitors[0].voltage_pk, (8.73e3 + 611.0) / 2.0, 1e-12, "shared by two in series");
	CHECK_NEAR(c.capacitors[0].current_rms, 17.3 / 3.0, 1e-12, "shared by three in parallel");
	CHECK_NEAR(c.capacitors[0].reactive, 611.0 / 2.0 / sqrt(2.0) * 17.3 / 3.0, 1e-12, "RF volts only");
	in.capacitors[0] = (rw_capacitor_in){none, none, none, 1.0, 1.0, RW_OF_BLOCKING, 0};
	rw_tank_rate_capacitors(&in, f[0], 8.73e3, 1.0, &c);
	CHECK_NEAR(c.capacitors[0].segment, RW_BY_NOTHING, 0.0, "no rating given");
}

/* The low resonance is one of the network itself; there the grid has the wrong sense, so that the set does not run at it. */
static void figures_of_the_set(void **state)
{
	(void)state;
	rw_tank_in in = plain(RW_FEEDBACK_WINDING, RW_COUPLING_SERIES);
	rw_tank_set set;
	in.choke_inductance = 3.91e-3;
	in.blocking_capacitance = 14.7e-9;
	in.choke_self_capacitance = 6.1e-12;
	rw_tank_set_solve(&in, NULL, &set);
	CHECK_NEAR(set.choke_self_resonance, 1.0 / (two_pi * sqrt(3.91e-3 * 6.1e-12)), 1e-12, "definition");
	rw_tank_load load = {0.0173, 0.0};
	rw_tank_net t;
	rw_error err;
	rw_work work;
	double low = 0.9 * set.choke_blocking_resonance, found = 0.0;
	int n = 0;
	rw_work_init(&work);
	CHECK_OK(rw_tank_build(&in, NULL, &load, &t, &err), &err);
	CHECK_OK(rw_net_resonances(&t.net, RW_TANK_PORT_ANODE, low, 1.2 * low, 16, NULL, NULL, &work, &found, 1, &n, &err), &err);
	rw_work_release(&work);
	assert_int_equal(n, 1);
	CHECK_NEAR(set.choke_blocking_resonance, found, 2e-3, "resonance of the whole network, tank capacitor with it");
	assert_true(set.anode_at_ht == 1.0 && set.tank_at_ht == 0.0 && set.valve_capacitances == 0.0);
	in.feed = RW_FEED_SERIES;
	rw_tank_set_solve(&in, NULL, &set);
	assert_true(set.tank_at_ht == 1.0 && set.choke_blocking_resonance == 0.0);
	in.earth = RW_EARTHED_ANODE;
	rw_tank_set_solve(&in, NULL, &set);
	assert_true(set.anode_at_ht == 0.0 && set.tank_at_ht == 0.0);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(divider), cmocka_unit_test(tapped), cmocka_unit_test(secondary), cmocka_unit_test(coupled_humps),
	    cmocka_unit_test(half_is_the_whole), cmocka_unit_test(reciprocal), cmocka_unit_test(capacitor_segments),
	        cmocka_unit_test(figures_of_the_set),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
