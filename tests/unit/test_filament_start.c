/* The filament over time against a separate integration, closed forms, and itself from another side. */
#include "filament/start.h"

#include <math.h>
#include <string.h>

#include "base/base.h"
#include "filament/filament.h"
#include "filament_laws.h"
#include "tests/check.h"
#include "tungsten_table.h"

static const test_strands strands = {4.0, 1.2e-3, 0.25};
static const rw_feed stiff = {11.872, 0.004, 0.010, 50.0}, weak = {17.801, 0.045, 0.025, 60.0};

/* Peak by the program, by equal steps, by half of them. */
static void peak_agrees_with_equal_steps(void **state)
{
	(void)state;
	const rw_hot_wire wire = test_wire(&strands);
	const rw_feed feeds[] = {stiff, weak};
	for (int f = 0; f < 2; f++)
		for (double angle = 0.0; angle < 3.0; angle += 0.57)
			for (double current = -130.0; current < 300.0; current += 170.0) {
				rw_error err = {0};
				rw_start_peak peak;
				double coarse[2] = {current, 700.0}, fine[2] = {current, 700.0}, finest[2] = {current, 700.0};
				CHECK_OK(rw_start_peak_at(&wire, &feeds[f], angle, current, 700.0, &peak, &err), &err);
				double a = test_cycle(&wire, &feeds[f], angle, 250, coarse), b = test_cycle(&wire, &feeds[f], angle, 500, fine);
				double c = test_cycle(&wire, &feeds[f], angle, 4000, finest);
				assert_true(fabs(b - c) < 0.3 * fabs(a - c) || fabs(b - c) < 1e-8 * c);
				CHECK_NEAR(peak.peak, c, 2e-5, "local errors of 1e-7 over a cycle of some 100 steps");
				assert_true(peak.angle == angle && peak.time >= 0.0 && peak.time <= 1.0 / feeds[f].frequency);
			}
}

/* The worst angle found is no worse than any of a fine grid, and hardly better. */
static void worst_angle_is_the_worst(void **state)
{
	(void)state;
	const rw_hot_wire wire = test_wire(&strands);
	const struct { rw_feed feed; const rw_feed *before; double temperature; } cases[] = {
		{stiff, NULL, 293.0}, {weak, NULL, 293.0}, {stiff, NULL, 1500.0}, {stiff, &weak, 900.0}, {{11.872, 0.004, 1e-5, 50.0}, NULL, 293.0},
	};
	for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
		rw_error err = {0};
		rw_start_peak worst, at;
		double most = 0.0;
		CHECK_OK(rw_start_worst(&wire, &cases[k].feed, cases[k].before, cases[k].temperature, &worst, &err), &err);
		for (int a = 0; a < 90; a++) {
			double angle = a * test_pi / 90.0, current = 0.0;
			if (cases[k].before) {
				const rw_feed *b = cases[k].before;
				double r = b->resistance + wire.resistance(wire.laws, cases[k].temperature);
				current = sqrt(2.0) * b->emf_rms / hypot(r, b->reactance) * sin(angle - atan2(b->reactance, r));
			}
			CHECK_OK(rw_start_peak_at(&wire, &cases[k].feed, angle, current, cases[k].temperature, &at, &err), &err);
			most = fmax(most, at.peak);
		}
		CHECK_NEAR(worst.peak, most, 3e-4, "grid of 2 degrees: second order of 1 degree");
		assert_true(worst.peak > most * (1.0 - 2e-5));   /* a flat top found to half a degree */
	}
}

/* A filament too heavy to warm is a plain circuit: rms and offset in closed form. */
static double heavy_capacity(const void *laws, double temperature) { return 1e9 * test_capacity(laws, temperature); }

static void heavy_filament_is_the_phasor(void **state)
{
	(void)state;
	rw_hot_wire wire = test_wire(&strands);
	rw_error err = {0};
	rw_start_run run;
	wire.capacity = heavy_capacity;
	double r = stiff.resistance + wire.resistance(wire.laws, TEST_COLD), phase = atan2(stiff.reactance, r), z = hypot(r, stiff.reactance);
	/* closed at the phase of the impedance: no offset, so the first cycle has the rms of the phasor */
	CHECK_OK(rw_start_cycles(&wire, &stiff, phase, TEST_COLD, 0.0, 0.02, &run, &err), &err);
	CHECK_NEAR(run.first_cycle_rms, stiff.emf_rms / z, 1e-5, "phasor");
	CHECK_NEAR(rw_feed_current(&stiff, r - stiff.resistance), stiff.emf_rms / z, 1e-14, "phasor");
	rw_start_peak peak;
	for (double angle = 0.1; angle < 3.0; angle += 0.31) {
		double most = 0.0;
		CHECK_OK(rw_start_peak_at(&wire, &stiff, angle, 0.0, TEST_COLD, &peak, &err), &err);
		for (int k = 0; k <= 20000; k++) {
			double turn = 2.0 * test_pi * k / 20000.0;
			most = fmax(most, fabs(sin(turn + angle - phase) - sin(angle - phase) * exp(-turn * r / stiff.reactance)));
		}
		CHECK_NEAR(peak.peak, most * sqrt(2.0) * stiff.emf_rms / z, 2e-5, "closed form, temperature held");
	}
}

/* The filament ends where loss and heat balance, from the cold and from the hot side; what is stored is what came in less what went. */
static void heat_is_accounted_for(void **state)
{
	(void)state;
	const rw_hot_wire wire = test_wire(&strands);
	rw_error err = {0};
	rw_warmed up, down;
	double steady, at;
	CHECK_OK(rw_feed_steady(&wire, &stiff, 293.0, 2600.0, &steady, &err), &err);
	CHECK_OK(rw_warm_up(&wire, &stiff, 293.0, 0.0, 60.0, &up, &err), &err);
	CHECK_OK(rw_warm_up(&wire, &stiff, 2590.0, 0.0, 60.0, &down, &err), &err);
	CHECK_NEAR(up.temperature, steady, 1e-5, "balance");
	CHECK_NEAR(down.temperature, steady, 1e-5, "balance");
	double i = rw_feed_current(&stiff, wire.resistance(wire.laws, steady));
	CHECK_NEAR(i * i * wire.resistance(wire.laws, steady), wire.loss(wire.laws, steady), 1e-9, "heat in is heat out");
	CHECK_OK(rw_wire_at(&wire, 20e-3, 293.0, 2600.0, &at, &err), &err);
	CHECK_NEAR(wire.resistance(wire.laws, at), 20e-3, 1e-11, "its resistance");
	assert_int_equal(rw_wire_at(&wire, 1.0, 293.0, 2600.0, &at, &err), RW_E_NOSOLVE);
	/* time and A2s up to a resistance by quadrature over temperature: dt = C dT/(i2 R - P) */
	CHECK_OK(rw_warm_up(&wire, &stiff, 293.0, 20e-3, 60.0, &up, &err), &err);
	assert_int_equal(up.reached, 1);
	CHECK_OK(rw_wire_at(&wire, 20e-3, 293.0, 2600.0, &at, &err), &err);
	double time = 0.0, square = 0.0, step = (at - 293.0) / 4000.0;
	for (int k = 0; k < 4000; k++) {
		double t = 293.0 + (k + 0.5) * step, r = wire.resistance(wire.laws, t), c = rw_feed_current(&stiff, r);
		double dt = wire.capacity(wire.laws, t) * step / (c * c * r - wire.loss(wire.laws, t));
		time += dt;
		square += c * c * dt;
	}
	CHECK_NEAR(up.time, time, 2e-5, "quadrature over temperature, midpoints");
	CHECK_NEAR(up.square, square, 2e-5, "likewise");
	/* cooling without volts, likewise */
	const rw_feed none = {0.0, 0.004, 0.010, 50.0};
	CHECK_OK(rw_warm_up(&wire, &none, at, 10e-3, 100.0, &down, &err), &err);
	assert_int_equal(down.reached, 1);
	double low;
	CHECK_OK(rw_wire_at(&wire, 10e-3, 293.0, 2600.0, &low, &err), &err);
	time = 0.0;
	step = (at - low) / 4000.0;
	for (int k = 0; k < 4000; k++)
		time += wire.capacity(wire.laws, low + (k + 0.5) * step) * step / wire.loss(wire.laws, low + (k + 0.5) * step);
	CHECK_NEAR(down.time, time, 2e-5, "quadrature over temperature, midpoints");
	CHECK_OK(rw_warm_up(&wire, &none, at, 10e-3, 0.5 * time, &down, &err), &err);
	assert_int_equal(down.reached, 0);
}

/* The wire sized from volts, amperes and temperature has them. */
static void wire_is_what_was_wanted(void **state)
{
	(void)state;
	rw_arena arena;
	rw_tungsten tungsten;
	rw_arena_init(&arena);
	rw_tungsten_table(&arena, &tungsten);
	const rw_wire_want want = {8.2 / 230.0, 8.2 / 230.0 / 10.0, 8.2 * 230.0, 0.07, 1937.0, 7.0};
	rw_wire wire;
	rw_wire_size(&tungsten, &want, &wire);
	rw_hot_wire laws = rw_wire_laws(&wire);
	double section = 7.0 * 0.25 * test_pi * wire.diameter * wire.diameter;
	CHECK_NEAR(rw_tungsten_resistivity(&tungsten, 1937.0) * wire.length / section, want.hot_resistance, 1e-12, "resistance");
	CHECK_NEAR(7.0 * test_pi * wire.diameter * wire.length, wire.surface, 1e-12, "surface");
	CHECK_NEAR(wire.mass, tungsten.density * section * wire.length, 1e-12, "mass");
	CHECK_NEAR(laws.resistance(laws.laws, 1937.0), want.hot_resistance, 1e-12, "hot");
	CHECK_NEAR(laws.resistance(laws.laws, 300.0), want.cold_resistance, 1e-12, "cold");
	CHECK_NEAR(laws.loss(laws.laws, 1937.0), want.power, 1e-12, "radiated and led away");
	CHECK_NEAR_SCALE(laws.loss(laws.laws, 300.0), 0.0, 1e-12, want.power, "cold: in balance with the room");
	CHECK_NEAR(rw_tungsten_radiation(&tungsten, 2000.0), 0.259 * 5.670374e-8 * 1.6e13, 1e-9, "sigma T^4 by the table's emissivity");
	CHECK_NEAR(rw_tungsten_heat(&tungsten, 300.0, 2000.0), 127.5 * 1700.0 + 0.5 * 0.0215 * (4e6 - 9e4), 1e-9, "its straight line");
	CHECK_NEAR(rw_emission(3e4, 30500.0, 1900.0), 1.15627e4, 1e-5, "five digits printed");
	CHECK_NEAR(rw_emission(60.2e4, 52400.0, 2400.0), 1.14268e3, 1e-5, "five digits printed");
	rw_arena_release(&arena);
}

/* ---- the start at its worst; the choice of what holds a peak ---- */

static rw_tungsten tungsten;
static const rw_filament_site site = {0, 1, 398.6, 50.0, 0.913, 1.087, &tungsten};

static rw_filament_in peak_in(double volts, double current, double limit)
{
	rw_filament_in in;
	rw_room_blank(&rw_filament_room, &in, NULL, NULL);
	in.voltage_rms = volts;
	in.current_rms = current;
	in.start_limit = limit;
	in.start_measure = RW_START_PEAK;
	return in;
}

static double cold_only(const void *laws, double temperature) { return *(const double *)laws + 0.0 * temperature; }

static double without_end(const void *laws, double temperature) { return 1e12 + cold_only(laws, temperature); }

/* Mains high and the least reactance: the closed forms against a run of a filament that stays cold. */
static void worst_start_is_the_time_domains(void **state)
{
	(void)state;
	const struct { double limit, resistor, series; int stabiliser; } cases[] = {
		{850.0, 0.0, 0.0, RW_STABILISER_NONE}, {850.0, 0.0, 1.3e-3, RW_STABILISER_FITTED}, {600.0, 16.1e-3, 0.7e-3, RW_STABILISER_NONE},
	};
	for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
		rw_error err = {0};
		rw_filament_set set = {0};
		rw_filament_in in = peak_in(8.2, 230.0, cases[k].limit);
		in.start_resistor = cases[k].resistor;
		in.series_resistance = cases[k].series;
		in.stabiliser = cases[k].stabiliser;
		in.stabiliser_error = 0.023;
		in.reactance_tolerance = 0.117;
		CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
		CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
		const rw_hot_wire held = {cold_only, cold_only, without_end, &set.cold_resistance};
		double high = in.stabiliser == RW_STABILISER_NONE ? 1.087 : 1.023, r = in.series_resistance + in.start_resistor;
		const rw_feed feed = {high * set.transformer_voltage_rms, r, 0.883 * in.series_reactance, 50.0};
		rw_start_peak worst;
		rw_start_run run;
		CHECK_OK(rw_start_worst(&held, &feed, NULL, TEST_COLD, &worst, &err), &err);
		CHECK_NEAR(set.start_current_high_pk, worst.peak, 2e-5, "worst angle to half a degree");
		CHECK_OK(rw_start_cycles(&held, &feed, atan2(feed.reactance, r + set.cold_resistance), TEST_COLD, 0.0, 0.02, &run, &err), &err);
		CHECK_NEAR(set.start_current_high_rms, run.first_cycle_rms, 1e-5, "closed without offset");
		assert_true(set.start_current_high_pk > set.start_current_pk && set.start_current_high_rms > set.start_current_rms);
	}
}

/* How far over its bypass the filament comes in half an hour with the resistor in, by the run over seconds. */
static double over_bypass(const rw_filament_in *in)
{
	rw_error err = {0};
	rw_filament_set set = {0};
	rw_wire wire;
	rw_warmed warm;
	CHECK_OK(rw_filament_set_solve(in, &site, &set, &err), &err);
	rw_filament_wire(in, &set, &tungsten, &wire);
	rw_hot_wire laws = rw_wire_laws(&wire);
	rw_feed feed = rw_filament_feed(in, &set, 50.0, true);
	CHECK_OK(rw_warm_up(&laws, &feed, 300.0, 0.0, 1800.0, &warm, &err), &err);
	return laws.resistance(laws.laws, warm.temperature) / in->bypass_resistance;
}

/* The resistor wants reactance with it where the filament would not get past the bypass: as much, and no more. */
static void bypass_is_passed_by_reactance(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_filament_set set = {0};
	rw_filament_in in = peak_in(7.2, 142.0, 250.0), less;
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	assert_true(in.series_reactance > 10.0 * rw_filament_own_leakage(&in) && in.start_resistor > 0.0);
	assert_true(over_bypass(&in) >= 1.05);
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	CHECK_OK(rw_filament_time_solve(&in, &site, &tungsten, &set, &err), &err);
	assert_true(set.start_current_pk <= 250.0 && set.bypass_current_pk <= 250.0 * (1.0 + 1e-4) && set.bypass_at_time < 60.0);
	less = peak_in(7.2, 142.0, 250.0);
	less.series_reactance = in.series_reactance - 1e-4;
	CHECK_OK(rw_filament_choose(&less, &site, &err), &err);
	assert_true(over_bypass(&less) < 1.05 && over_bypass(&less) > 1.0);   /* given, and just passed: taken */
	less = peak_in(7.2, 142.0, 250.0);
	less.series_reactance = 3e-3;
	assert_int_equal(rw_filament_choose(&less, &site, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "filament.start_limit");
	char told[64];
	snprintf(told, sizeof told, "'series_reactance' of %.4g mohm does", 1e3 * in.series_reactance);
	assert_non_null(strstr(err.hint, told));
	less = peak_in(7.2, 142.0, 210.0);
	assert_int_equal(rw_filament_choose(&less, &site, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "filament.start_limit");
	for (double x = 2.6e-3; x < 0.5; x *= 1.03) {   /* none does, by the run */
		less = peak_in(7.2, 142.0, 210.0);
		less.series_reactance = x;
		less.bypass_time = 1.0;   /* so that the choice lets it pass */
		CHECK_OK(rw_filament_choose(&less, &site, &err), &err);
		assert_true(less.start_resistor > 0.0 && over_bypass(&less) < 1.05);
	}
	less = peak_in(7.2, 142.0, 250.0);
	less.start_measure = RW_START_NONE;
	less.start_limit = (double)NAN;
	less.start_resistor = 0.19;
	assert_int_equal(rw_filament_choose(&less, &site, &err), RW_E_NOSOLVE);
	assert_string_equal(err.key, "filament.start_resistor");
}

/* Reactance alone, unless its tolerance takes the volts out of theirs and a resistor keeps them in. */
static void volts_prefer_the_resistor(void **state)
{
	(void)state;
	rw_error err = {0};
	rw_filament_set set = {0};
	rw_filament_in in = peak_in(7.2, 142.0, 500.0);
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	assert_true(in.start_resistor > 0.0 && set.best_reactance_pk < 500.0);
	assert_true(set.voltage_low_rms > 0.95 * 7.2 && set.voltage_high_rms < 1.05 * 7.2 && set.start_current_pk <= 500.0);
	in = peak_in(7.2, 142.0, 500.0);
	in.start_resistor = 0.0;   /* as it would have been */
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	assert_true(set.voltage_high_rms > 1.05 * 7.2 && set.voltage_low_rms < 0.95 * 7.2 && set.start_current_pk <= 500.0);
	double alone = in.series_reactance;
	in = peak_in(7.2, 142.0, 500.0);
	in.stabiliser = RW_STABILISER_NONE;   /* the mains take the volts out: no resistor mends that */
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	assert_true(!(in.start_resistor > 0.0) && in.series_reactance == alone);
	in = peak_in(7.2, 142.0, 500.0);
	in.reactance_tolerance = 0.05;   /* a closer one: nothing leaves anything */
	CHECK_OK(rw_filament_choose(&in, &site, &err), &err);
	assert_true(!(in.start_resistor > 0.0) && in.series_reactance == alone);
}

int main(void)
{
	rw_base_init();
	rw_arena arena;
	rw_arena_init(&arena);
	rw_tungsten_table(&arena, &tungsten);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(peak_agrees_with_equal_steps), cmocka_unit_test(worst_angle_is_the_worst), cmocka_unit_test(heavy_filament_is_the_phasor),
		cmocka_unit_test(heat_is_accounted_for), cmocka_unit_test(wire_is_what_was_wanted),
		cmocka_unit_test(worst_start_is_the_time_domains), cmocka_unit_test(bypass_is_passed_by_reactance),
		cmocka_unit_test(volts_prefer_the_resistor),
	};
	int failed = cmocka_run_group_tests(tests, NULL, NULL);
	rw_arena_release(&arena);
	return failed;
}
