/* Standing faults: the static point against closed forms and a scan, a missing phase against closed forms and brute force, the earthing device. */
#include "tests/check.h"

#include "base/base.h"
#include "fault/fault.h"

static const double pi = 3.141592653589793238462643;

static void fails(rw_status status, const rw_error *err, const char *key)
{
	assert_int_equal(status, RW_E_RANGE);
	assert_string_equal(err->key, key);
	assert_true(err->what[0] && err->expected[0] && err->hint[0]);
}

/* A supply of so much no-load volts; power VA: of its transformer, so its stiffness. */
typedef struct source { rw_supply_in in; rw_supply_set set; } source;

static source source_of(double volts, double power, double impedance, double resistive)
{
	source s;
	rw_error err;
	const rw_mains mains = {400.0, 50.0, 1.1, 0.0, (double)NAN, 0.9};
	rw_room_blank(&rw_supply_room, &s.in, &s.set, NULL);
	s.in.secondary_voltage_rms = volts * pi / (3.0 * sqrt(2.0));
	s.in.duty_voltage_dc = volts;
	s.in.duty_current_dc = 5.0;
	s.in.rated_power = power;
	s.in.short_circuit_voltage = impedance;
	s.in.short_circuit_resistance = resistive;
	s.in.diode_drop_dc = 0.0;
	CHECK_OK(rw_supply_choose(&s.in, &mains, &err), &err);
	CHECK_OK(rw_supply_set_solve(&s.in, &mains, &s.set, &err), &err);
	return s;
}

/* S1 of the valve references, ideal law. */
static const rw_valve_law s1 = {.law = RW_LAW_IDEAL, .perveance = 2e-3, .mu = 20.0, .exponent = 1.5, .grid_perveance = 0.25e-3, .emission = INFINITY};

static rw_stopped_problem problem_of(const source *s, int valves)
{
	return (rw_stopped_problem){s1, valves, &s->in, &s->set, 1e15, 0.0, 1.0, (double)INFINITY};
}

static rw_stopped solved(const rw_stopped_problem *problem)
{
	rw_stopped out;
	rw_error err;
	CHECK_OK(rw_fault_stopped(problem, &out, &err), &err);
	return out;
}

static void stiff_supply(void **state)
{
	(void)state;
	source s = source_of(10000.0, 1e13, 0.05, 0.015);
	rw_stopped_problem p = problem_of(&s, 1);
	rw_stopped out = solved(&p);
	double current = 2e-3 * pow(500.0, 1.5);
	CHECK_NEAR_SCALE(out.current_dc, current, 1e-6, current, "stiff: 1e13 VA drop a few parts in 1e8");
	CHECK_NEAR_SCALE(out.loss, 1e4 * current, 1e-6, 1e4 * current, "as above");
	assert_int_equal(out.limited, 0);
	p.valves = 3;
	CHECK_NEAR_SCALE(solved(&p).current_dc, 3.0 * current, 1e-6, 3.0 * current, "three valves, stiff");
	CHECK_NEAR_SCALE(solved(&p).loss, 1e4 * current, 1e-6, 1e4 * current, "each of three valves");
}

/* n = 1 and a drop by overlap and resistance that is straight in mode 1: V = V0/(1 + slope P/mu). */
static void straight_line(void **state)
{
	(void)state;
	source s = source_of(8000.0, 1e5, 0.06, 0.02);
	rw_stopped_problem p = problem_of(&s, 2);
	p.law.exponent = 1.0;
	p.law.perveance = 5e-3;
	p.bleeder_resistance = 1e5;
	double conductance = 2.0 * 5e-3 / 20.0 + 1e-5, slope = 3.0 * s.set.phase_reactance / pi + 2.0 * s.set.phase_resistance;
	rw_stopped out = solved(&p);
	double v = 8000.0 / (1.0 + slope * conductance);
	CHECK_NEAR_SCALE(out.voltage_dc, v, 1e-12, v, "root to 1e-13 of the no-load volts");
	CHECK_NEAR_SCALE(out.supply_current_dc, v * conductance, 1e-12, v * conductance, "as above");
	p.mains_factor = 1.1;
	CHECK_NEAR_SCALE(solved(&p).voltage_dc, 1.1 * v, 1e-12, v, "straight: volts go as the mains");
}

/* The limit: volts fold to where the valves take it. */
static void folded(void **state)
{
	(void)state;
	source s = source_of(10000.0, 1e7, 0.05, 0.015);
	rw_stopped_problem p = problem_of(&s, 1);
	p.current_limit_dc = 8.0;
	rw_stopped out = solved(&p);
	double v = 20.0 * pow(8.0 / 2e-3, 2.0 / 3.0);
	assert_int_equal(out.limited, 1);
	CHECK_NEAR_SCALE(out.voltage_dc, v, 1e-11, v, "root to 1e-13 of 10 kV");
	CHECK_NEAR_SCALE(out.loss, 8.0 * v, 1e-11, 8.0 * v, "as above");
	assert_true(out.loss > 2.5 * 15e3);   /* the limit hides a valve that burns: 15 kW rated */
	p.current_limit_dc = 30.0;
	assert_int_equal(solved(&p).limited, 0);
}

/* Soft supply, real law, deep in overlap: the root against a scan that knows nothing of brackets. */
static void scanned(void **state)
{
	(void)state;
	source s = source_of(9000.0, 2.2e4, 0.08, 0.02);
	rw_stopped_problem p = problem_of(&s, 1);
	p.law = (rw_valve_law){.law = RW_LAW_DIVIDED, .perveance = 4e-3, .mu = 20.0, .division = 2.4, .emission = INFINITY};
	p.bleeder_resistance = 2e6;
	rw_stopped out = solved(&p);
	double best = INFINITY, at = 0.0;
	for (int k = 1; k < 90000; k++) {
		double v = 0.1 * k, given, current = 4e-3 * pow(v / 20.0, 1.5) + v / 2e6;
		if (rw_supply_voltage(&s.in, &s.set, 1.0, current, &given, NULL) == RW_OK && fabs(v - given) < best) {
			best = fabs(v - given);
			at = v;
		}
	}
	CHECK_NEAR_SCALE(out.voltage_dc, at, 1e-5, at, "the scan's step is 0.1 V of kilovolts");
	assert_true(out.voltage_dc < 0.8 * 9000.0);
}

static void refused(void **state)
{
	(void)state;
	source s = source_of(10000.0, 1e7, 0.05, 0.015);
	rw_stopped_problem p = problem_of(&s, 0);
	rw_stopped out = {.loss = -1.0};
	rw_error err;
	fails(rw_fault_stopped(&p, &out, &err), &err, "supply.secondary_voltage_rms");
	assert_true(out.loss == -1.0);
	p = problem_of(&s, 1);
	p.current_limit_dc = 0.0;
	fails(rw_fault_stopped(&p, &out, &err), &err, "supply.secondary_voltage_rms");
	rw_fault_in in;
	rw_room_blank(&rw_fault_room, &in, NULL, NULL);
	fails(rw_fault_choose(&in, 0.0, &err), &err, "valve.anode_dissipation_max");
	assert_true(isnan(in.anode_energy));
}

static void chosen(void **state)
{
	(void)state;
	rw_fault_in in;
	rw_error err;
	rw_room_blank(&rw_fault_room, &in, NULL, NULL);
	CHECK_OK(rw_fault_choose(&in, 15e3, &err), &err);
	assert_true(in.anode_energy == 15e3 && in.earthing_resistance == 100.0);
	in.anode_energy = 7e3;
	CHECK_OK(rw_fault_choose(&in, 15e3, &err), &err);
	assert_true(in.anode_energy == 7e3);
}

/* ---- phase missing ---- */

typedef struct brute { double mean, square, second; } brute;

static brute by_sums(const rw_windings *w, int lost)
{
	enum { STEPS = 36000 };
	brute b = {0.0, 0.0, 0.0};
	double cosine = 0.0, sine = 0.0;
	for (int k = 0; k < STEPS; k++) {
		double t = 2.0 * pi * (k + 0.5) / STEPS, v = rw_phase_voltage(w, lost, t);
		b.mean += v / STEPS;
		b.square += v * v / STEPS;
		cosine += 2.0 * v * cos(2.0 * t) / STEPS;
		sine += 2.0 * v * sin(2.0 * t) / STEPS;
	}
	b.second = hypot(cosine, sine) / sqrt(2.0);
	return b;
}

static void each_connection(void (*check)(const rw_windings *w))
{
	for (int primary = RW_WINDING_STAR; primary <= RW_WINDING_DELTA; primary++)
		for (int connection = 0; connection < RW_CONNECT_SINGLE_PHASE; connection++) {
			check(&(rw_windings){connection, primary, RW_WINDING_STAR});
			if (connection != RW_CONNECT_HALF_WAVE)
				check(&(rw_windings){connection, primary, RW_WINDING_DELTA});
		}
}

static void against_sums(const rw_windings *w)
{
	for (int lost = RW_LOST_NOTHING; lost <= RW_LOST_SECONDARY_LINE; lost++) {
		rw_phase out;
		rw_error err;
		CHECK_OK(rw_phase_missing(w, lost, &out, &err), &err);
		brute all = by_sums(w, RW_LOST_NOTHING), left = by_sums(w, lost);
		CHECK_NEAR_SCALE(out.mean_share, left.mean / all.mean, 1e-7, 1.0, "the midpoint rule at a kink: (pi/36000)^2");
		CHECK_NEAR_SCALE(out.ripple, left.second / left.mean, 1e-7, 1.0, "as above");
		CHECK_NEAR_SCALE(out.ripple_all, sqrt(left.square - left.mean * left.mean) / left.mean, 1e-6, 1.0, "as above, small difference of squares");
		assert_true(out.line_share >= out.line_least_share);
	}
}

static void waveforms_by_sums(void **state)
{
	(void)state;
	each_connection(against_sums);
}

typedef struct forms { double primary, secondary; } forms;

/* Windings alike 2/3, unlike 1/sqrt 3, a secondary line 2/3 of its own bridge. Two bridges in series: the mean of both. Side by side: the
 * greater, with the tips of the lame one between the crests of the sound one. Half-wave: two phases of three, nothing below zero. */
static forms forms_of(const rw_windings *w)
{
	double alike = 2.0 / 3.0, unlike = 1.0 / sqrt(3.0);
	switch (w->connection) {
	case RW_CONNECT_TWELVE_SERIES:   return (forms){0.5 * (alike + unlike), 5.0 / 6.0};
	case RW_CONNECT_TWELVE_PARALLEL: return (forms){alike, 1.0 + (4.0 * sin(pi / 12.0) - 1.0) / 3.0};
	case RW_CONNECT_HALF_WAVE:       return (forms){w->primary == RW_WINDING_STAR ? alike : unlike, (2.0 + sqrt(3.0)) / (3.0 * sqrt(3.0))};
	default:                         return (forms){w->primary == w->secondary ? alike : unlike, alike};
	}
}

static void against_forms(const rw_windings *w)
{
	rw_phase primary, secondary;
	rw_error err;
	CHECK_OK(rw_phase_missing(w, RW_LOST_PRIMARY_LINE, &primary, &err), &err);
	CHECK_OK(rw_phase_missing(w, RW_LOST_SECONDARY_LINE, &secondary, &err), &err);
	forms f = forms_of(w);
	CHECK_NEAR_SCALE(primary.mean_share, f.primary, 1e-13, 1.0, "Gauss-Legendre on smooth pieces");
	CHECK_NEAR_SCALE(secondary.mean_share, f.secondary, 1e-13, 1.0, "as above");
	CHECK_NEAR_SCALE(primary.line_least_share, 0.0, 1e-13, 1.0, "the missing line is dead");
	if (w->connection != RW_CONNECT_HALF_WAVE || w->primary == RW_WINDING_STAR)
		CHECK_NEAR_SCALE(primary.ripple, sqrt(2.0) / 3.0, 1e-13, 1.0, "all volts in one phase: |sin|");
	if (w->connection == RW_CONNECT_BRIDGE) {
		/* into a resistance: (k/r)^2 = (3 m/2)^2 over the rms of a six-pulse line, 0.817215 I_d, times V_d0/V_2 */
		double pulse = sqrt(2.0 / 3.0 * (0.5 + 3.0 * sqrt(3.0) / (4.0 * pi)));   /* rms of 60 degree tops of peak 1, each line two thirds of the time */
		CHECK_NEAR_SCALE(primary.line_share, 2.25 * f.primary * f.primary / (sqrt(2.0) * pulse), 1e-12, 1.0, "closed form");
		CHECK_NEAR_SCALE(secondary.ripple, sqrt(2.0) / 3.0, 1e-13, 1.0, "single phase");
	}
	if (w->connection == RW_CONNECT_HALF_WAVE && w->primary == RW_WINDING_STAR) {
		/* one sine of half the volts in the two lines left, against 120 degree tops, two thirds of them in their own line, a third back in each other */
		double tops = 0.5 + sqrt(3.0) / 2.0 / (4.0 * pi / 3.0);
		CHECK_NEAR_SCALE(primary.line_share, 1.0 / (4.0 * sqrt(2.0)) / sqrt(2.0 / 27.0 * tops), 1e-12, 1.0, "closed form");
	}
}

static void waveforms_by_forms(void **state)
{
	(void)state;
	each_connection(against_forms);
	rw_phase out;
	rw_error err;
	const rw_windings wrong[] = {{RW_CONNECTIONS, 0, 0}, {0, 2, 0}, {RW_CONNECT_HALF_WAVE, 0, RW_WINDING_DELTA}};
	for (size_t k = 0; k < sizeof wrong / sizeof wrong[0]; k++)
		fails(rw_phase_missing(&wrong[k], RW_LOST_PRIMARY_LINE, &out, &err), &err, "supply.primary_winding");
	CHECK_OK(rw_phase_missing(&(rw_windings){RW_CONNECT_SINGLE_PHASE, 0, 0}, RW_LOST_PRIMARY_LINE, &out, &err), &err);
	assert_true(out.mean_share == 0.0 && out.ripple == 0.0);
}

/* Second route to the line currents: what the two lines left take is what the load takes. v i over the cycle, from share and rms alone:
 * single-phase volts and current in phase, so P = V I. */
static void power_of_two_lines(const rw_windings *w)
{
	rw_phase out;
	rw_error err;
	if (w->connection == RW_CONNECT_HALF_WAVE)   /* not a sine in both lines: closed form above */
		return;
	CHECK_OK(rw_phase_missing(w, RW_LOST_PRIMARY_LINE, &out, &err), &err);
	brute left = by_sums(w, RW_LOST_PRIMARY_LINE), all = by_sums(w, RW_LOST_NOTHING);
	double current_left = left.square / sqrt(0.5);   /* load 1 ohm, line-to-line rms 1/sqrt 2 */
	double normal = current_left / out.line_share;   /* what the code took as rms with all phases */
	double least = all.square / (sqrt(3.0) * sqrt(0.5));   /* that power at power factor 1 */
	CHECK_NEAR_SCALE(least / normal, w->connection == RW_CONNECT_BRIDGE ? 0.9555 : 0.989, 2e-3, 1.0, "power factor of 6 and 12 pulses on a resistance, close to 0.955 and 0.989");
}

static void line_currents_by_power(void **state)
{
	(void)state;
	each_connection(power_of_two_lines);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(stiff_supply), cmocka_unit_test(straight_line), cmocka_unit_test(folded), cmocka_unit_test(scanned),
	    cmocka_unit_test(refused), cmocka_unit_test(chosen), cmocka_unit_test(waveforms_by_sums), cmocka_unit_test(waveforms_by_forms),
	    cmocka_unit_test(line_currents_by_power),
	};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
