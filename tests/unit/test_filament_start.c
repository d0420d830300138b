/* The filament over time against a separate integration, closed forms, and itself from another side. */
#include "filament/start.h"

#include <math.h>

#include "base/base.h"
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

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(peak_agrees_with_equal_steps), cmocka_unit_test(worst_angle_is_the_worst), cmocka_unit_test(heavy_filament_is_the_phasor),
		cmocka_unit_test(heat_is_accounted_for), cmocka_unit_test(wire_is_what_was_wanted),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
