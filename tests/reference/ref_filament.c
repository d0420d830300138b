/* Filament starting current against the reference rows. */
#include <math.h>

#include "base/base.h"
#include "filament/filament.h"
#include "rows.h"

static const rw_filament_site site = {.valves = 1, .mains_voltage_rms = 400.0, .mains_frequency = 50.0, .mains_low = 0.9, .mains_high = 1.1};

static double start_figure(const rw_row *row)
{
	rw_error err = {0};
	rw_filament_in in = {.voltage_rms = rw_row_input(row, "rh") * rw_row_input(row, "i"), .current_rms = rw_row_input(row, "i"),
	                     .cold_ratio = rw_row_input(row, "ratio"), .start_limit = (double)NAN, .series_reactance = rw_row_input(row, "xs"),
	                     .series_resistance = rw_row_input(row, "rs"), .start_measure = -1, .valves_on_transformer = 1};
	rw_filament_set set = {0};
	CHECK_OK(rw_filament_set_solve(&in, &site, &set, &err), &err);
	const struct { const char *key; double value; } figures[] = {
		{"transformer_voltage_rms", set.transformer_voltage_rms}, {"start_current_rms", set.start_current_rms},
		{"short_circuit_current_rms", set.short_circuit_current_rms}, {"start_current_pk", set.start_current_pk},
	};
	/* 2e-4: half the last printed digit */
	if (!strcmp(row->key, "start_current_pk") && !(set.start_current_pk >= row->expected * (1.0 - 2e-4)))
		rw_row_bad(row, "without warming the peak must not be less than with it:", row->field[RW_ROW_CASE]);
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static double rule_figure(const rw_row *row)
{
	rw_error err = {0};
	double hot = rw_row_input(row, "v") / rw_row_input(row, "i"), reactance = (double)NAN;
	CHECK_OK(rw_filament_reactance(hot, hot / rw_row_input(row, "ratio"), 0.0, rw_row_input(row, "i"), rw_row_input(row, "limit"), RW_START_RMS,
	                               &reactance, &err), &err);
	return reactance;
}

static void check_start(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/filament/start.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, strncmp(row->field[RW_ROW_CASE], "rule", 4) ? start_figure(row) : rule_figure(row));
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(check_start)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
