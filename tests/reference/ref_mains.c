/* Switching on and short circuit on the mains side against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "mains/mains.h"
#include "tests/reference/rows.h"

static void test_switch_on(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/mains/switch-on.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_mains_in in;
		rw_mains_set set;
		rw_room_blank(&rw_mains_room, &in, &set, NULL);
		in.air_core_reactance = rw_row_input(row, "air");
		in.core_remanence = rw_row_input(row, "remanence");
		in.core_saturation = rw_row_input(row, "saturation");
		rw_mains_choose_constants(&in);
		double rated = rw_row_input(row, "power") / (sqrt(3.0) * rw_row_input(row, "voltage"));
		rw_mains_around around = {.voltage_rms = rw_row_input(row, "voltage"), .frequency = 50.0, .low = 1.0, .high = rw_row_input(row, "high"),
		    .rated_current_rms = rated, .secondary_current_rms = rated, .short_circuit_voltage = rw_row_input(row, "impedance"), .no_load_voltage_dc = 9e3,
		    .transformer_power = rw_row_input(row, "power"), .impedance_tolerance = rw_row_input(row, "tolerance"), .fault_level_least = rw_row_input(row, "level"),
		    .crest_factor = 1.0, .phase_reactance = 30.0, .phase_resistance = 9.0, .phases = 2.0, .capacitance = 1e-8, .filament_apparent_power = 1e3, .mu = 20.0};
		rw_mains_set_solve(&in, &around, &set);
		rw_row_check(row, strcmp(row->key, "inrush_current_pk") == 0 ? set.inrush_current_pk
		                : strcmp(row->key, "fault_current_rms") == 0 ? set.fault_current_rms : (double)NAN);
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_switch_on)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
