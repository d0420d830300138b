/* The mains side: switch-on current against a stepped core, closing volts against a stepped circuit, steps of breakers, parts chosen. */
#include "tests/check.h"

#include "base/base.h"
#include "mains/mains.h"

static const double pi = 3.14159265358979323846;

static rw_mains_in constants(void)
{
	rw_mains_in in;
	rw_room_blank(&rw_mains_room, &in, NULL, NULL);
	rw_mains_choose_constants(&in);
	return in;
}

static const rw_mains_around around = {
	.voltage_rms = 400.0, .frequency = 50.0, .low = 0.9, .high = 1.1, .rated_current_rms = 86.60254037844387, .short_circuit_voltage = 0.05,
	.no_load_voltage_dc = 9200.0, .crest_factor = 1.0471975511965976, .phase_reactance = 36.0, .phase_resistance = 11.0, .phases = 2.0,
	.capacitance = 8e-9, .filament_apparent_power = 2600.0, .mu = 22.0, .impedance_tolerance = 0.1, .transformer_power = 60e3,
	.secondary_current_rms = 86.60254037844387, .fault_level_least = (double)NAN,
};

/* A core that carries all flux to its saturation and none beyond: flux by trapezia, current what the air must carry. In a phase switched on at
 * its voltage zero. */
static double inrush_by_steps(const rw_mains_in *in, const rw_mains_around *a)
{
	enum { N = 200000 };
	double w = 2.0 * pi * a->frequency, crest = sqrt(2.0 / 3.0) * a->voltage_rms, nominal_flux = crest / w;
	double flux = in->core_remanence * nominal_flux, h = 0.02 / N, peak = 0.0;
	double air = in->air_core_reactance * a->voltage_rms / (sqrt(3.0) * a->rated_current_rms) / w;   /* H */
	for (int k = 0; k < N; k++) {
		flux += 0.5 * h * a->high * crest * (sin(w * h * k) + sin(w * h * (k + 1)));
		peak = fmax(peak, (flux - in->core_saturation * nominal_flux) / air);
	}
	return peak;
}

static void test_inrush(void **state)
{
	(void)state;
	rw_mains_in in = constants();
	rw_mains_set set;
	rw_mains_set_solve(&in, &around, &set);
	CHECK_NEAR(set.inrush_current_pk, inrush_by_steps(&in, &around), 1e-8, "stepped, error of second order: 1e-9");
	in.core_saturation = 3.0;
	in.core_remanence = 0.1;
	rw_mains_set_solve(&in, &around, &set);
	CHECK_NEAR_SCALE(set.inrush_current_pk, 0.0, 0.0, 1.0, "such a core never saturates");
	in = constants();
	in.keying = RW_KEYING_THYRISTORS;
	rw_mains_set_solve(&in, &around, &set);
	CHECK_NEAR(set.inrush_current_pk, inrush_by_steps(&in, &around), 1e-8, "thyristors that only close: as a contactor");
	assert_true(set.closing_voltage_pk > 1.5 * 1.1 * 9200.0);
	rw_mains_around controlled = around;
	controlled.angle_controlled = true;
	rw_mains_set_solve(&in, &controlled, &set);
	CHECK_NEAR_SCALE(set.inrush_current_pk, 0.0, 0.0, 1.0, "run up by the angle");
	CHECK_NEAR(set.closing_voltage_pk, 1.1 * 9200.0 * pi / 3.0, 1e-12, "no step");
}

/* Phases and choke in series on a capacitor, switched on a crest that lasts: leapfrog steps. */
static double closing_by_steps(const rw_mains_around *a)
{
	double l = a->phases * a->phase_reactance / (2.0 * pi * a->frequency) + a->filter_inductance;
	double r = a->phases * a->phase_resistance + a->filter_resistance, v = 0.0, i = 0.0, peak = 0.0;
	double crest = a->crest_factor * a->no_load_voltage_dc * a->high, h = sqrt(l * a->capacitance) / 20000.0;
	for (int k = 0; k < 100000; k++) {
		i = (i * (1.0 - 0.5 * h * r / l) + h / l * (crest - v)) / (1.0 + 0.5 * h * r / l);
		v += h / a->capacitance * i;
		peak = fmax(peak, v);
	}
	return peak;
}

static void test_closing(void **state)
{
	(void)state;
	rw_mains_in in = constants();
	rw_mains_set set;
	rw_mains_around a = around;
	static const double farads[] = {8e-9, 2e-6, 4e-5};
	for (size_t k = 0; k < sizeof farads / sizeof farads[0]; k++) {
		a.capacitance = farads[k];
		rw_mains_set_solve(&in, &a, &set);
		CHECK_NEAR(set.closing_voltage_pk, closing_by_steps(&a), 1e-4, "stepped, half a step between current and volts");
	}
	a.capacitance = 1.0;
	rw_mains_set_solve(&in, &a, &set);
	CHECK_NEAR(set.closing_voltage_pk, 1.1 * 9200.0 * pi / 3.0, 1e-9, "beyond the aperiodic limit");
	a.filter_inductance = 2.0;   /* supply-and-protection references, section 7, LC switch-on without load: 19321.5 V on 10 kV */
	a.filter_resistance = 20.0;
	a.phases = 0.0;
	a.capacitance = 10e-6;
	rw_mains_set_solve(&in, &a, &set);
	CHECK_NEAR(set.closing_voltage_pk, 1.1 * 9200.0 * pi / 3.0 * 1.93215, 3e-6, "half the last printed digit");
	CHECK_NEAR(set.closing_voltage_pk, closing_by_steps(&a), 1e-4, "stepped, half a step between current and volts");
}

/* Mains and transformer in series, ohm a phase on the mains. */
static double least_fault(const rw_mains_around *a, double fault_level)
{
	double mains = a->voltage_rms * a->voltage_rms / fault_level;
	double transformer = 1.1 * a->short_circuit_voltage * a->voltage_rms * a->voltage_rms / a->transformer_power;
	return a->low * a->voltage_rms / sqrt(3.0) / (mains + transformer);
}

static void test_least_fault(void **state)
{
	(void)state;
	rw_mains_in in = constants();
	rw_mains_set set;
	rw_mains_around a = around;
	static const double levels[] = {0.5e6, 2e6, 12e6, 1e12};
	for (size_t k = 0; k < sizeof levels / sizeof levels[0]; k++) {
		a.fault_level_least = levels[k];
		rw_mains_set_solve(&in, &a, &set);
		CHECK_NEAR(set.fault_current_rms, least_fault(&a, levels[k]), 1e-12, "in ohms");
		CHECK_NEAR(set.mains_impedance, 60e3 / levels[k], 1e-12, "on the rating");
	}
	a.fault_level_least = (double)NAN;
	rw_mains_set_solve(&in, &a, &set);
	CHECK_NEAR(set.fault_current_rms, least_fault(&a, 1e18), 1e-9, "not known: stiff");
	CHECK_NEAR_SCALE(set.mains_impedance, 0.0, 0.0, 1.0, "not known: stiff");
}

static void test_breaker_steps(void **state)
{
	(void)state;
	static const double asked[][2] = {{0.0, 16.0}, {16.0, 16.0}, {16.1, 20.0}, {99.0, 100.0}, {126.0, 160.0}, {201.0, 250.0}, {1600.0, 1600.0},
	    {1601.0, 1700.0}};
	for (size_t k = 0; k < sizeof asked / sizeof asked[0]; k++)
		CHECK_NEAR(rw_mains_breaker_step(asked[k][0]), asked[k][1], 1e-12, "common practice");
}

static void test_parts(void **state)
{
	(void)state;
	rw_mains_in in = constants();
	rw_mains_set set;
	rw_mains_set_solve(&in, &around, &set);
	CHECK_NEAR(set.filament_current_rms, 6.5, 1e-12, "2600 VA on 400 V");
	CHECK_NEAR(set.fault_current_rms, 0.9 * 60e3 / (sqrt(3.0) * 400.0 * 0.055), 1e-12, "stiff mains, greatest impedance");
	assert_true(isnan(set.blocking_bias));
	rw_mains_choose_parts(&in, &set, 0.4, 41.0, 60.0, 60e3, 100.0);
	CHECK_NEAR(in.transformer_power, 24e3, 1e-12, "factor of the heaviest duty");
	CHECK_NEAR(in.breaker_current, 63.0, 1e-12, "60/1.05 A rules over 1.25 x 41 A");
	assert_true(sqrt(2.0) * in.breaker_magnetic_multiple * 0.8 * in.breaker_current >= 1.1 * set.inrush_current_pk);
	assert_true(sqrt(2.0) * (in.breaker_magnetic_multiple - 1.0) * 0.8 * in.breaker_current < 1.1 * set.inrush_current_pk);
	rw_mains_in kept = in;
	rw_mains_choose_parts(&in, &set, 0.9, 400.0, 400.0, 60e3, 100.0);
	assert_memory_equal(&in, &kept, sizeof in);   /* what is there stays */
	in = constants();
	in.keying = RW_KEYING_GRID_BIAS;
	rw_mains_set_solve(&in, &around, &set);
	CHECK_NEAR(set.blocking_bias, 1.3 * 1.1 * 9200.0 * pi / 3.0 / 22.0, 1e-12, "cut-off with a margin");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_inrush), cmocka_unit_test(test_closing), cmocka_unit_test(test_least_fault), cmocka_unit_test(test_breaker_steps),
	    cmocka_unit_test(test_parts)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
