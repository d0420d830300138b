/* The flash-arc against stepped integration of its circuit, the fault current against the bridge's own characteristic, and what is refused. */
#include "tests/check.h"

#include "base/base.h"
#include "protection/protection.h"
#include "supply/connection.h"

static const double open_value = (double)NAN;

typedef struct loop { double v, c, r, l, drop; } loop;
typedef struct flown { double peak, charge, arc, resistor, action, left; } flown;

/* R, L and C into an arc of constant drop until the current ends or a time is over: fourth-order Runge-Kutta on charge and current; without
 * inductance on the charge alone. */
static flown step_through(loop p, double until, int n)
{
	flown f = {0};
	double h = until / n, i = 0.0, q = 0.0;
	for (int k = 0; k < n; k++) {
		double before = i;
		if (p.l > 0.0) {
			double kq[4], ki[4];
			for (int s = 0; s < 4; s++) {
				double w = s == 0 ? 0.0 : s == 3 ? 1.0 : 0.5, iq = q + w * h * (s ? kq[s - 1] : 0.0), ii = i + w * h * (s ? ki[s - 1] : 0.0);
				kq[s] = ii;
				ki[s] = (p.v - iq / p.c - p.drop - p.r * ii) / p.l;
			}
			q += h / 6.0 * (kq[0] + 2.0 * kq[1] + 2.0 * kq[2] + kq[3]);
			i += h / 6.0 * (ki[0] + 2.0 * ki[1] + 2.0 * ki[2] + ki[3]);
			if (i < 0.0)
				break;
		} else {
			double rate = -1.0 / (p.r * p.c), k1 = (p.v - p.drop - q / p.c) / p.r, k2 = k1 * (1.0 + 0.5 * h * rate), k3 = k1 + 0.5 * h * rate * k2,
			       k4 = k1 + h * rate * k3;
			before = k1;
			q += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
			i = (p.v - p.drop - q / p.c) / p.r;
		}
		double middle = before * i;   /* mean of i^2 over the step, trapezium of a line */
		f.action += h * (before * before + middle + i * i) / 3.0;
		f.peak = fmax(f.peak, fmax(before, i));
	}
	f.charge = q;
	f.arc = p.drop * q;
	f.resistor = p.r * f.action;
	f.left = p.v - q / p.c;
	return f;
}

static rw_protection_in arc_in(loop p)
{
	rw_protection_in in;
	rw_room_blank(&rw_protection_room, &in, NULL, NULL);
	in.n_stores = 1;
	in.stores[0].capacitance = p.c;
	in.stores[0].path = RW_STORE_RESISTOR;
	in.surge_resistance = p.r;
	in.surge_inductance = p.l;
	in.arc_voltage_low = p.drop;
	in.arc_voltage_high = 2.0 * p.drop;
	return in;
}

static rw_protection_set solved_on(rw_protection_in *in, double volts, double blocking, double short_circuit, double source)
{
	rw_error err;
	rw_protection_set set;
	rw_room_blank(&rw_protection_room, NULL, &set, NULL);
	rw_protection_choose_surge(in, volts / 1.2, 1.1);
	rw_trips_choose_times(in, 50.0);
	CHECK_OK(rw_protection_choose(in, volts, blocking, &err), &err);
	CHECK_OK(rw_protection_solve(in, volts, blocking, &set, &err), &err);
	CHECK_OK(rw_arc_solve(in, short_circuit, source, &set, &err), &err);
	return set;
}

static rw_protection_set solved(rw_protection_in *in, double volts, double blocking, double short_circuit)
{
	return solved_on(in, volts, blocking, short_circuit, sqrt(3.0) * volts);
}

static void test_aperiodic(void **state)
{
	(void)state;
	static const loop cases[] = {{9137.0, 7.3e-6, 23.7, 0.0, 61.0}, {9137.0, 7.3e-6, 23.7, 31e-6, 61.0}, {11.3e3, 0.83e-6, 47.0, 0.0, 21.0},
	    {11.3e3, 0.83e-6, 47.0, 0.45e-3, 21.0}};
	for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
		const loop p = cases[k];
		rw_protection_in in = arc_in(p);
		rw_protection_set s = solved(&in, p.v, 0.0, 173.0);
		flown f = step_through(p, 40.0 * p.r * p.c, 1200000);
		assert_true(s.surge_damped == 1.0);
		CHECK_NEAR(s.surge_current_pk, f.peak, 1e-6, "stepped circuit, greatest of its samples");
		CHECK_NEAR(s.arc_capacitor_energy_low, f.arc, 1e-8, "stepped circuit");
		CHECK_NEAR(s.surge_action, f.action, 1e-7, "stepped circuit, squares of lines");
		CHECK_NEAR(s.surge_resistor_energy, f.resistor, 1e-7, "stepped circuit");
		CHECK_NEAR(s.surge_energy, f.arc + f.resistor + 0.5 * p.c * p.drop * p.drop, 1e-7, "energy: what is left stands at the arc's drop");
	}
}

static void test_ringing_peak(void **state)
{
	(void)state;
	const loop p = {9137.0, 7.3e-6, 3.9, 117e-6, 61.0};
	rw_protection_in in = arc_in(p);
	rw_protection_set s = solved(&in, p.v, 1.84e-9, 173.0);
	flown f = step_through(p, 6.0 * sqrt(p.l * p.c), 200000);
	assert_true(s.surge_damped == 0.0);
	CHECK_NEAR(s.surge_current_pk, f.peak, 1e-8, "stepped circuit, greatest of its samples");
	assert_true(f.left < p.drop);   /* the current would turn round: all of it is counted into the arc */
	CHECK_NEAR(s.arc_capacitor_energy_low, 0.5 * (7.3e-6 + 1.84e-9) * p.v * p.v, 1e-12, "all that is stored");
	double x = 4.0 * p.l / (p.r * p.r * p.c);   /* the formula of the table, for the alternative no file reaches */
	CHECK_NEAR(s.surge_current_pk, (p.v - p.drop) * sqrt(p.c / p.l) * exp(-atan(sqrt(x - 1.0)) / sqrt(x - 1.0)), 1e-12, "formula of the table");
}

/* Between ringing and not the peak is smooth: no jump at the seam. */
static void test_seam(void **state)
{
	(void)state;
	const double c = 7.3e-6, r = 23.7, seam = r * r * c / 4.0;
	double peak[3];
	for (int k = 0; k < 3; k++) {
		rw_protection_in in = arc_in((loop){9137.0, c, r, seam * (1.0 + 1e-6 * (k - 1)), 61.0});
		peak[k] = solved(&in, 9137.0, 0.0, 173.0).surge_current_pk;
	}
	CHECK_NEAR(peak[0], peak[1], 1e-6, "the neighbour");
	CHECK_NEAR(peak[2], peak[1], 1e-6, "the neighbour");
}

static void test_crowbar(void **state)
{
	(void)state;
	const loop p = {9137.0, 7.3e-6, 17.0, 0.0, 31.0};
	rw_protection_in in = arc_in(p);
	in.crowbar = RW_CROWBAR_FITTED;
	in.crowbar_time = 13e-6;
	in.crowbar_voltage = 43.0;
	in.anode_resistance = 27.0;
	in.clearing_time = 0.071;
	rw_protection_set s = solved(&in, p.v, 0.0, 173.0);
	flown before = step_through((loop){p.v, p.c, 44.0, 0.0, p.drop}, 13e-6, 2000);
	CHECK_NEAR(s.crowbar_charge, before.charge, 1e-9, "stepped circuit");
	CHECK_NEAR(s.arc_capacitor_energy_low, before.arc, 1e-9, "stepped circuit");
	CHECK_NEAR(s.surge_action, before.action, 1e-7, "stepped circuit, squares of lines");
	flown after = step_through((loop){before.left, p.c, 17.0, 0.0, 43.0}, 40.0 * 17.0 * p.c, 200000);
	CHECK_NEAR(s.crowbar_current_pk, after.peak, 1e-9, "stepped circuit");
	CHECK_NEAR(s.crowbar_energy, after.arc, 1e-8, "stepped circuit");
	/* 43 V of the crowbar drive 12 V through 27 ohm into an arc of 31 V until the supply has cleared; into one of 62 V nothing */
	CHECK_NEAR(s.follow_on_energy_low, 31.0 * (s.fault_current_dc * 13e-6 + 12.0 / 27.0 * (0.071 - 13e-6)), 1e-12, "Ohm");
	CHECK_NEAR(s.follow_on_energy_high, 62.0 * s.fault_current_dc * 13e-6, 1e-12, "charge times drop");
}

/* Every connection behind a resistor: its own characteristic in all modes never gives more than the bound, and just as much without the
 * resistor, on a bridge's last mode and anywhere on single phase. */
static void fault_of(int kind)
{
	const double v2 = 7613.0, reactance = 27.55, share = rw_connection_of(kind)->bridge_share, v0 = rw_connection_of(kind)->voltage_factor * v2;
	const double ik = rw_connection_of(kind)->short_circuit * v2 / (sqrt(2.0) * reactance * share);
	const double last = kind == RW_CONNECT_HALF_WAVE ? 99.0 : kind == RW_CONNECT_SINGLE_PHASE ? 0.0 : 0.8660255;
	for (int k = 0; k <= 60; k++) {
		double r = k == 0 ? 0.0 : 0.5 * pow(10.0, 3.0 * k / 60.0), low = 0.0, high = ik * (1.0 - 1e-14), x = 0.0;
		for (int turn = 0; turn < 200; turn++) {
			double i = 0.5 * (low + high), kept;
			rw_error err;
			x = sqrt(2.0) * reactance * share * i / v2;
			CHECK_OK(rw_connection_voltage_ratio(kind, x, &kept, &err), &err);
			*(kept * v0 > r * i ? &low : &high) = i;
		}
		rw_protection_in in = arc_in((loop){v0, 0.0, r, 0.0, 20.0});
		double bound = solved_on(&in, v0, 0.0, ik, rw_connection_source(kind) * v0).fault_current_dc;
		assert_true(bound >= low * (1.0 - 1e-9));
		if (k == 0 || x > last)
			CHECK_NEAR(bound, low, 1e-9, "its last mode is that line");
	}
}

static void test_fault_current_bounds_the_supply(void **state)
{
	(void)state;
	for (int kind = 0; kind < RW_CONNECTIONS; kind++)
		fault_of(kind);
}

static void test_rule_of_the_surge_resistor(void **state)
{
	(void)state;
	rw_protection_in in = arc_in((loop){9137.0, 7.3e-6, open_value, open_value, 20.0});
	in.stores[0].path = -1;
	rw_protection_choose_surge(&in, 8123.0, 1.1);
	assert_int_equal(in.stores[0].path, RW_STORE_RESISTOR);
	CHECK_NEAR(in.surge_resistance, 25.0, 1e-15, "1.1 x 1.1 x 8123 V/400 A = 24.57 ohm, up to 5 ohm");
	in = arc_in((loop){9137.0, 5e-9, open_value, open_value, 20.0});
	in.stores[0].path = -1;
	rw_protection_choose_surge(&in, 8123.0, 1.1);
	assert_int_equal(in.stores[0].path, RW_STORE_DIRECT);
	assert_true(in.surge_resistance == 0.0 && in.crowbar == RW_CROWBAR_NONE && isnan(in.anode_resistance));
}

static void test_refused(void **state)
{
	(void)state;
	rw_error err;
	rw_protection_in in = arc_in((loop){9137.0, 7.3e-6, 20.0, 0.0, 20.0});
	rw_protection_set s = solved(&in, 9137.0, 0.0, 173.0), was = s;
	in.arc_voltage_low = 41.0;
	assert_int_equal(rw_arc_solve(&in, 173.0, 15825.0, &s, &err), RW_E_VALUE);
	assert_string_equal(err.key, "protection.arc_voltage_low");
	in.arc_voltage_high = 9200.0;
	assert_int_equal(rw_arc_solve(&in, 173.0, 15825.0, &s, &err), RW_E_RANGE);
	assert_string_equal(err.key, "protection.arc_voltage_high");
	assert_memory_equal(&s, &was, sizeof s);
}

static void test_trips(void **state)
{
	(void)state;
	rw_protection_in in;
	rw_protection_set s;
	rw_room_blank(&rw_protection_room, &in, &s, NULL);
	rw_trips_choose_times(&in, 60.0);
	CHECK_NEAR(in.fast_clearing_time, 8.33e-3, 1e-12, "half of 1/60 s, three digits");
	in.clearing_time = 0.07;
	const rw_protection_in open = in;
	const rw_trip_facts roomy = {3.17, 0.713, 0.437, 9.0, 1.9, 11.0, 101e3, 0.41};
	rw_trips_choose(&in, &roomy);
	CHECK_NEAR(in.anode_over_trip, 3.96, 1e-12, "1.25 x 3.17");
	CHECK_NEAR(in.grid_over_trip, 0.856, 1e-12, "1.2 x 0.713");
	CHECK_NEAR(in.grid_under_trip, 0.22, 1e-12, "0.437/2, two digits");
	rw_trips_solve(&in, &roomy, &s);
	CHECK_NEAR(s.anode_over_clearance, 3.96 / 3.17 - 1.0, 1e-12, "definition");
	CHECK_NEAR(s.anode_over_reserve, 1.0 - 3.96 / 9.0, 1e-12, "definition");
	CHECK_NEAR(s.grid_under_clearance, 1.0 - 0.22 / 0.437, 1e-12, "definition");
	CHECK_NEAR(s.stopped_over_share, 11.0 / 3.96, 1e-12, "definition");
	CHECK_NEAR(in.grid_under_time, 0.17, 1e-12, "half of 0.41 s less the clearing");
	CHECK_NEAR(s.stopped_energy, 101e3 * (0.17 + 0.07), 1e-12, "power times time of trip and clearing");
	in = open;
	rw_trips_choose(&in, &(rw_trip_facts){3.17, 0.713, 0.437, 3.4, 0.7, 11.0, 101e3, 10.0});
	CHECK_NEAR(in.anode_over_trip, 3.29, 2e-3, "half way from 3.17 to 3.4, 3.285, three digits");
	CHECK_NEAR(in.grid_over_trip, 0.7, 1e-12, "no room: the limit itself, so that the trip protects");
	in = open;
	rw_trips_choose(&in, &(rw_trip_facts){3.17, 0.713, 0.437, open_value, open_value, 11.0, 101e3, 10.0});
	assert_true(in.anode_over_trip == 3.96 && in.grid_over_trip == 0.856);
	in = open;
	rw_trips_choose(&in, &(rw_trip_facts){open_value, open_value, open_value, 3.4, 0.7, 11.0, 101e3, 10.0});   /* no case was solved */
	assert_true(isnan(in.anode_over_trip) && isnan(in.grid_over_trip) && isnan(in.grid_under_trip));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_aperiodic), cmocka_unit_test(test_ringing_peak), cmocka_unit_test(test_seam), cmocka_unit_test(test_crowbar),
		cmocka_unit_test(test_fault_current_bounds_the_supply), cmocka_unit_test(test_rule_of_the_surge_resistor), cmocka_unit_test(test_refused),
		cmocka_unit_test(test_trips),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
