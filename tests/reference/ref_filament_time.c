/* The filament over time, tungsten, and what practice says of one filament, against the reference rows. */
#include <math.h>

#include "base/base.h"
#include "filament/filament.h"
#include "rows.h"
#include "tests/filament_laws.h"
#include "tests/tungsten_table.h"

static const rw_filament_site site = {.cathode = 0, .valves = 1, .mains_voltage_rms = 400.0, .mains_frequency = 50.0, .mains_low = 0.9,
                                      .mains_high = 1.1};   /* thoriated */
static rw_tungsten tungsten;

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }
static double in(const rw_row *row, const char *name) { return rw_row_input(row, name); }

/* ---- F1 to F3: simple laws, given wires ---- */

static double peak_at(const rw_hot_wire *wire, const rw_feed *feed, double angle, bool time)
{
	rw_error err = {0};
	rw_start_peak peak;
	CHECK_OK(rw_start_peak_at(wire, feed, angle, 0.0, TEST_COLD, &peak, &err), &err);
	return time ? peak.time : peak.peak;
}

static double rms_after(const rw_hot_wire *wire, const rw_feed *feed, double time)
{
	rw_error err = {0};
	rw_warmed warm;
	CHECK_OK(rw_warm_up(wire, feed, TEST_COLD, 0.0, time, &warm, &err), &err);
	return rw_feed_current(feed, wire->resistance(wire->laws, warm.temperature));
}

static double over_time(const rw_row *row)
{
	rw_error err = {0};
	test_strands s = {in(row, "n"), in(row, "d"), in(row, "l")};
	rw_hot_wire wire = test_wire(&s);
	double hot = wire.resistance(&s, in(row, "th")), power = wire.loss(&s, in(row, "th"));
	rw_feed feed = {sqrt(power / hot) * hypot(hot + in(row, "rs"), in(row, "x")), in(row, "rs"), in(row, "x"), 50.0};
	rw_start_run run;
	rw_warmed warm;
	if (is(row, "first_cycle_rms") || is(row, "heat_time")) {
		CHECK_OK(rw_start_cycles(&wire, &feed, 0.0, TEST_COLD, is(row, "heat_time") ? 0.9 * hot : 0.0, is(row, "heat_time") ? 60.0 : 0.02, &run,
		                         &err), &err);
		return is(row, "heat_time") ? run.time : run.first_cycle_rms;
	}
	CHECK_OK(rw_warm_up(&wire, &feed, TEST_COLD, 0.9 * hot, 60.0, &warm, &err), &err);
	const struct { const char *key; double value; } figures[] = {
		{"mass", test_mass(&s)}, {"hot_resistance", hot}, {"cold_resistance", wire.resistance(&s, TEST_COLD)}, {"power", power},
		{"emf", feed.emf_rms}, {"heat_time_rms", warm.time},
		{"peak_zero", peak_at(&wire, &feed, 0.0, false)}, {"time_zero", peak_at(&wire, &feed, 0.0, true)},
		{"peak_crest", peak_at(&wire, &feed, 0.5 * test_pi, false)}, {"time_crest", peak_at(&wire, &feed, 0.5 * test_pi, true)},
		{"rms_half", rms_after(&wire, &feed, 0.5)}, {"rms_one", rms_after(&wire, &feed, 1.0)},
	};
	for (size_t k = 0; k < sizeof figures / sizeof *figures; k++)
		if (is(row, figures[k].key))
			return figures[k].value;
	return (double)NAN;
}

static void check_over_time(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/filament/over-time.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, over_time(row));
}

/* ---- warm-up of a wire of tungsten's table, by the program's curve through it and straight from row to row ---- */

static double straight(const rw_table *table, int column, double temperature)
{
	int k = 0;
	while (k < table->n_rows - 2 && rw_table_cell(table, k + 1, 0) < temperature)
		k++;
	double low = rw_table_cell(table, k, 0), high = rw_table_cell(table, k + 1, 0);
	double share = (temperature - low) / (high - low);
	return rw_table_cell(table, k, column) * (1.0 - share) + rw_table_cell(table, k + 1, column) * share;
}

static double straight_resistance(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	return w->want.hot_resistance * straight(&tungsten.properties, 1, temperature) / w->resistivity;
}

static double straight_loss(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	return w->surface * 5.670374e-8 *
	       (straight(&tungsten.properties, 2, temperature) * pow(temperature, 4.0) - straight(&tungsten.properties, 2, 300.0) * pow(300.0, 4.0));
}

static double straight_capacity(const void *laws, double temperature)
{
	const rw_wire *w = laws;
	return w->mass * (127.5 + 0.0215 * temperature);
}

static double warm_up(const rw_row *row)
{
	double v = in(row, "v"), i = in(row, "i"), th = in(row, "th"), hot = v / i;
	double ratio = rw_tungsten_resistivity(&tungsten, th) / rw_tungsten_resistivity(&tungsten, 300.0);
	rw_wire wire;
	rw_wire_size(&tungsten, &(rw_wire_want){hot, hot / ratio, v * i, 0.0, th, 1.0}, &wire);
	rw_feed feed = {v + i * in(row, "rs"), in(row, "rs"), 0.0, 50.0};
	bool by_rows = strstr(row->key, "_straight") != NULL;
	rw_hot_wire laws = by_rows ? (rw_hot_wire){straight_resistance, straight_loss, straight_capacity, &wire} : rw_wire_laws(&wire);
	const struct { const char *key; double value; } figures[] = {
		{"diameter", wire.diameter}, {"length", wire.length}, {"mass", wire.mass}, {"cold_resistance", hot / ratio},
		{"start_current", rw_feed_current(&feed, hot / ratio)},
	}, ends[] = {   /* the resistance at which each time ends */
		{"time_1000", laws.resistance(&wire, 1000.0)}, {"time_1500", laws.resistance(&wire, 1500.0)}, {"time_90", laws.resistance(&wire, 0.9 * th)},
		{"time_15", feed.emf_rms / (1.5 * i) - feed.resistance}, {"time_11", feed.emf_rms / (1.1 * i) - feed.resistance},
	};
	for (size_t k = 0; k < sizeof figures / sizeof *figures; k++)
		if (is(row, figures[k].key))
			return figures[k].value;
	for (size_t k = 0; k < sizeof ends / sizeof *ends; k++) {
		size_t n = strlen(ends[k].key);
		if (strncmp(row->key, ends[k].key, n) || (row->key[n] && row->key[n] != '_'))
			continue;
		rw_error err = {0};
		rw_warmed warm;
		CHECK_OK(rw_warm_up(&laws, &feed, 300.0, ends[k].value, 60.0, &warm, &err), &err);
		return warm.reached ? warm.time : (double)NAN;
	}
	return (double)NAN;
}

static void check_warm_up(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/filament/warm-up.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, warm_up(row));
}

static void check_tungsten(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/filament/tungsten.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		double t = in(row, "t");
		rw_row_check(row, is(row, "resistivity")          ? rw_tungsten_resistivity(&tungsten, t)
		                  : is(row, "radiation")          ? rw_tungsten_radiation(&tungsten, t)
		                  : is(row, "emission_thoriated") ? rw_emission(3e4, 30500.0, t)
		                  : is(row, "emission_tungsten")  ? rw_emission(60.2e4, 52400.0, t)
		                                                  : (double)NAN);
	}
}

/* ---- 8.2 V, 230 A, limit 600 A: what the limit asks for when it is read as peak, and as rms ---- */

typedef struct practice {
	rw_filament_in in;
	rw_filament_set set;
	rw_wire wire;
	rw_hot_wire laws;
} practice;

static void solve_practice(const rw_row *row, practice *p)
{
	rw_error err = {0};
	rw_room_blank(&rw_filament_room, &p->in, &p->set, NULL);
	p->in.voltage_rms = in(row, "v");
	p->in.current_rms = in(row, "i");
	p->in.start_limit = in(row, "limit");
	p->in.start_measure = in(row, "peak") > 0.0 ? RW_START_PEAK : RW_START_RMS;
	p->in.dip_time = 3600.0;
	double ratio = in(row, "ratio");   /* 0: as the table has it */
	p->in.cold_ratio = ratio > 0.0 ? ratio : rw_tungsten_resistivity(&tungsten, 1975.0) / rw_tungsten_resistivity(&tungsten, 300.0);
	CHECK_OK(rw_filament_choose(&p->in, &site, &err), &err);
	CHECK_OK(rw_filament_set_solve(&p->in, &site, &p->set, &err), &err);
	CHECK_OK(rw_filament_time_solve(&p->in, &site, &tungsten, &p->set, &err), &err);
	rw_filament_wire(&p->in, &p->set, &tungsten, &p->wire);
	p->laws = rw_wire_laws(&p->wire);
}

static double worst(const practice *p, double series, double reactance, const rw_feed *before, double temperature)
{
	rw_error err = {0};
	rw_start_peak peak;
	rw_feed feed = {p->in.current_rms * hypot(p->set.hot_resistance, reactance), series, reactance, 50.0};
	CHECK_OK(rw_start_worst(&p->laws, &feed, before, temperature, &peak, &err), &err);
	return peak.peak;
}

/* The least worst peak over all reactances, current and temperature over the first cycle. */
static double best_by_reactance(const practice *p)
{
	double least = 1e9;
	for (double x = 0.5 * p->set.hot_resistance; x < 60.0 * p->set.hot_resistance; x *= 1.15)
		least = fmin(least, worst(p, 0.0, x, NULL, 300.0));
	return least;
}

typedef struct last_cycle { int from; double sum; } last_cycle;

static void gather(void *context, int k, double time, double current, double temperature)
{
	last_cycle *c = context;
	(void)time, (void)temperature;
	if (k >= c->from)
		c->sum += current * current;
}

static double heavy(const void *laws, double temperature) { return 1e9 + 0.0 * (laws != NULL) * temperature; }
static double shorted(const void *laws, double temperature) { return 1e-7 + 0.0 * (laws != NULL) * temperature; }

/* The rms of the 40th cycle, the filament held cold or a short in its place: the offset has died, or, closed at the crest, never was. */
static double settled_rms(const practice *p, double reactance, bool dead_short)
{
	enum { CYCLES = 40, SAMPLES = 64 };
	rw_error err = {0};
	rw_hot_wire wire = p->laws;
	last_cycle last = {(CYCLES - 1) * SAMPLES, 0.0};
	rw_feed feed = {p->in.current_rms * hypot(p->set.hot_resistance, reactance), 0.0, reactance, 50.0};
	wire.capacity = heavy;
	if (dead_short)
		wire.resistance = shorted;
	CHECK_OK(rw_start_sampled(&wire, &feed, dead_short ? 0.5 * test_pi : 0.0, 300.0, 0.02 * (CYCLES - 1.0 / SAMPLES), CYCLES * SAMPLES, gather,
	                          &last, &err), &err);
	return sqrt(last.sum / SAMPLES);
}

static double at_resistance(const practice *p, double resistance)
{
	rw_error err = {0};
	double temperature;
	CHECK_OK(rw_wire_at(&p->laws, resistance, 300.0, 2600.0, &temperature, &err), &err);
	return temperature;
}

static double practice_figure(const rw_row *row)
{
	const double hardly = 1e-5;   /* ohm of reactance: the rule of thumb is of resistances */
	practice p;
	solve_practice(row, &p);
	const rw_feed with = {p.in.voltage_rms, 15.7e-3, hardly, 50.0};
	if (is(row, "best_reactance_warming_pk"))
		return best_by_reactance(&p);
	if (is(row, "resistor_pk"))
		return worst(&p, in(row, "st"), hardly, NULL, 300.0);
	if (is(row, "bypass_pk"))
		return worst(&p, 0.0, hardly, &with, at_resistance(&p, in(row, "by")));
	if (is(row, "dip_held_pk"))   /* mains back when it has cooled down to there, bypass still in */
		return worst(&p, 0.0, hardly, NULL, at_resistance(&p, in(row, "by")));
	if (is(row, "settled_rms") || is(row, "settled_short_rms"))
		return settled_rms(&p, in(row, "xs"), is(row, "settled_short_rms"));
	const struct { const char *key; double value; } figures[] = {
		{"best_reactance_pk", p.set.best_reactance_pk}, {"start_resistor", p.in.start_resistor}, {"bypass_resistance", p.in.bypass_resistance},
		{"warming_pk", p.set.warming_pk}, {"bypass_current_pk", p.set.bypass_current_pk}, {"series_reactance", p.in.series_reactance},
		{"start_current_rms", p.set.start_current_rms}, {"short_circuit_current_rms", p.set.short_circuit_current_rms},
		{"dip_hour_rms", p.set.dip_current_rms},
	};
	for (size_t k = 0; k < sizeof figures / sizeof *figures; k++)
		if (is(row, figures[k].key))
			return figures[k].value;
	return (double)NAN;
}

static void check_practice(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/filament/practice.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, practice_figure(row));
}

int main(void)
{
	rw_base_init();
	rw_arena arena;
	rw_arena_init(&arena);
	rw_tungsten_table(&arena, &tungsten);
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(check_over_time), cmocka_unit_test(check_warm_up), cmocka_unit_test(check_tungsten), cmocka_unit_test(check_practice),
	};
	int failed = cmocka_run_group_tests(tests, NULL, NULL);
	rw_arena_release(&arena);
	return failed;
}
