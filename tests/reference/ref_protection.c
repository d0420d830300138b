/* Discharge of stored energy, flash-arc, crowbar, step start and wire test against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "protection/protection.h"
#include "tests/reference/rows.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

static void check_discharge(rw_row *row)
{
	rw_error err;
	rw_protection_in in;
	rw_protection_set set;
	rw_room_blank(&rw_protection_room, &in, &set, NULL);
	double volts = rw_row_input(row, "voltage_dc");
	in.n_stores = 1;
	in.stores[0].capacitance = rw_row_input(row, "capacitance");
	in.safe_voltage_dc = rw_row_input(row, "to");
	if (!is(row, "bleeder_resistance"))
		in.bleeder_resistance = rw_row_input(row, "resistance");
	CHECK_OK(rw_protection_choose(&in, volts, 0.0, &err), &err);
	CHECK_OK(rw_protection_solve(&in, volts, 0.0, &set, &err), &err);
	rw_row_check(row, is(row, "discharge_time") ? set.discharge_time : is(row, "stored_energy") ? set.stored_energy
	                : is(row, "bleeder_power") ? set.bleeder_power : is(row, "bleeder_resistance") ? in.bleeder_resistance : (double)NAN);
}

static void test_discharge(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/protection/discharge.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		check_discharge(row);
}

static double optional(const rw_row *row, const char *name, double other)
{
	size_t n = strlen(name);
	for (const char *at = row->field[RW_ROW_INPUTS]; *(at += strspn(at, "; ")); at += strcspn(at, "; "))
		if (strncmp(at, name, n) == 0 && at[n] == '=')
			return rw_row_input(row, name);
	return other;
}

static double arc_figure(const rw_row *row, const rw_protection_set *s)
{
	const struct { const char *key; double value; } figures[] = {
		{"surge_energy", s->surge_energy}, {"surge_current_pk", s->surge_current_pk}, {"arc_capacitor_energy_low", s->arc_capacitor_energy_low},
		{"surge_resistor_energy", s->surge_resistor_energy}, {"surge_action", s->surge_action}, {"crowbar_charge", s->crowbar_charge},
		{"crowbar_current_pk", s->crowbar_current_pk}, {"crowbar_energy", s->crowbar_energy}, {"follow_on_energy_low", s->follow_on_energy_low},
		{"follow_on_action", s->follow_on_action}, {"clearing_time_guide", s->clearing_time_guide}, {"wire_melt_energy", s->wire_melt_energy},
		{"wire_melt_action", s->wire_melt_action}, {"step_current_pk", s->step_current_pk}, {"step_time", s->step_time},
		{"step_energy", s->step_energy}, {"step_voltage", s->step_voltage},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (is(row, figures[i].key))
			return figures[i].value;
	return (double)NAN;
}

static void check_arc(rw_row *row)
{
	rw_error err;
	rw_protection_in in;
	rw_protection_set set;
	rw_room_blank(&rw_protection_room, &in, &set, NULL);
	in.n_stores = 1;
	in.stores[0].capacitance = optional(row, "capacitance", 0.0);
	in.stores[0].path = RW_STORE_RESISTOR;
	in.surge_resistance = optional(row, "resistance", 0.0);
	in.surge_inductance = optional(row, "inductance", 0.0);
	in.arc_voltage_low = in.arc_voltage_high = optional(row, "arc", 100.0);
	in.clearing_time = optional(row, "time", 0.06);
	in.crowbar = strstr(row->field[RW_ROW_INPUTS], "crowbar") ? RW_CROWBAR_FITTED : RW_CROWBAR_NONE;
	in.anode_resistance = optional(row, "anode_resistance", (double)NAN);
	in.crowbar_voltage = optional(row, "crowbar_voltage", (double)NAN);
	in.crowbar_time = optional(row, "crowbar_time", (double)NAN);
	in.step_resistance = optional(row, "step_resistance", (double)NAN);
	in.step_share = optional(row, "step_share", 0.95);
	in.wire_diameter = optional(row, "wire_diameter", 1e-4);
	in.wire_length = optional(row, "wire_length", 0.1);
	double volts = optional(row, "voltage_dc", 1e4);
	rw_protection_choose_surge(&in, volts, 1.0);
	rw_trips_choose_times(&in, 50.0);
	CHECK_OK(rw_protection_choose(&in, volts, 0.0, &err), &err);
	CHECK_OK(rw_protection_solve(&in, volts, 0.0, &set, &err), &err);
	CHECK_OK(rw_arc_solve(&in, optional(row, "fault", 100.0), 1.7320508 * volts, &set, &err), &err);
	rw_row_check(row, arc_figure(row, &set));
}

static void test_arc(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/protection/arc.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		check_arc(row);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_discharge), cmocka_unit_test(test_arc)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
