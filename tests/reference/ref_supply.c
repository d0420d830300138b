/* Supply against the reference rows: ideal bridge, overlap, short circuit, choice. */
#include <math.h>
#include <stdlib.h>

#include "base/base.h"
#include "library/library.h"
#include "rows.h"
#include "supply/connection.h"
#include "supply/control.h"
#include "supply/supply.h"

static const double pi = 3.14159265358979323846;
static const rw_mains mains = {.voltage_rms = 400.0, .frequency = 50.0, .high = 1.1, .fault_level_least = 5e6, .low = 0.913};

/* A set of one reactance a phase and nothing else that drops volts. */
static void pure_reactance(double line_voltage, double reactance, rw_supply_in *in, rw_supply_set *set)
{
	*in = (rw_supply_in){.duty_voltage_dc = 5e3, .duty_current_dc = 5.0, .secondary_voltage_rms = line_voltage,
	                     .rated_power = reactance > 0.0 ? 0.05 * line_voltage * line_voltage / reactance : 1e5,
	                     .short_circuit_voltage = 0.05, .diodes_in_series = 1};
	CHECK_OK(rw_supply_set_solve(in, &mains, set, NULL), NULL);
	if (reactance == 0.0)
		set->phase_reactance = 0.0;
}

static double bridge_figure(const rw_row *row)
{
	rw_error err = {0};
	rw_supply_in in;
	rw_supply_set set;
	rw_supply_case c;
	pure_reactance(rw_row_input(row, "v"), rw_row_input(row, "xp"), &in, &set);
	CHECK_OK(rw_supply_at(&in, &set, &mains, 1.0, rw_row_input(row, "id"), &c, &err), &err);
	double apparent = sqrt(3.0) * in.secondary_voltage_rms * c.secondary_current_rms;
	double fundamental = sqrt(3.0) * in.secondary_voltage_rms * c.secondary_current_fund_rms;
	const struct { const char *key; double value; } figures[] = {
		{"no_load_per_line_voltage", c.no_load_voltage_dc / in.secondary_voltage_rms},
		{"inverse_per_no_load", set.diode_inverse_voltage_pk / mains.high / set.nominal_no_load_voltage_dc},
		{"line_current_per_dc", c.secondary_current_rms / c.current_dc}, {"va_per_dc_power", apparent / c.output_power},
		{"power_factor", c.power_factor}, {"thd", sqrt(pow(c.secondary_current_rms / c.secondary_current_fund_rms, 2.0) - 1.0)},
		{"no_load_voltage_dc", c.no_load_voltage_dc}, {"voltage_dc", c.voltage_dc}, {"commutation_ratio", c.commutation_ratio},
		{"overlap_deg", c.overlap_angle * 180.0 / pi}, {"secondary_current_rms", c.secondary_current_rms},
		{"secondary_current_fund_rms", c.secondary_current_fund_rms}, {"phi_deg", acos(c.displacement_factor) * 180.0 / pi},
		{"displacement_factor", c.displacement_factor}, {"fundamental_power", fundamental * c.displacement_factor},
		{"four_diodes", (c.overlap_angle - pi / 3.0) / (pi / 3.0)}, {"ripple_rms", c.ripple_voltage_rms}, {"ripple_pp", c.ripple_voltage_pp},
		{"order_5", 100.0 * c.harmonic_5_rms / c.primary_current_fund_rms}, {"order_7", 100.0 * c.harmonic_7_rms / c.primary_current_fund_rms},
		{"order_11", 100.0 * c.harmonic_11_rms / c.primary_current_fund_rms}, {"order_13", 100.0 * c.harmonic_13_rms / c.primary_current_fund_rms},
		{"order_17", 100.0 * c.harmonic_17_rms / c.primary_current_fund_rms}, {"order_19", 100.0 * c.harmonic_19_rms / c.primary_current_fund_rms},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static void check_bridge(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/supply/bridge.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		if (strncmp(row->field[RW_ROW_CASE], "corner", 6)) {
			rw_row_check(row, bridge_figure(row));
			continue;
		}
		rw_error err = {0};
		rw_bridge b = {0};
		CHECK_OK(rw_bridge_at(rw_row_input(row, "x"), &b, &err), &err);
		rw_row_check(row, strcmp(row->key, "overlap_deg") ? b.voltage_ratio : b.overlap * 180.0 / pi);
	}
}

/* Percent of the fundamental, of the line current on the mains side. */
static double of_fundamental(const rw_wave *mains_wave, int order)
{
	return 100.0 * rw_wave_harmonic_rms(mains_wave, order) / rw_wave_harmonic_rms(mains_wave, 1);
}

/* Connections without overlap: a reactance of nought. */
static double connection_figure(const rw_row *row)
{
	int kind = (int)rw_row_input(row, "kind");
	const rw_connection *k = rw_connection_of(kind);
	const double id = 37.3, v = 400.0;
	rw_error err = {0};
	rw_supply_in in = {.duty_voltage_dc = 5e3, .duty_current_dc = id, .secondary_voltage_rms = v, .rated_power = k->rating_factor * v * id,
	                   .short_circuit_voltage = 0.05, .diodes_in_series = 1, .connection = kind, .primary_winding = RW_WINDING_DELTA,
	                   .secondary_winding = RW_WINDING_DELTA};
	rw_supply_set set;
	rw_supply_case c;
	rw_bridge b = {0};
	rw_wave volts, mains_wave;
	CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
	set.phase_reactance = 0.0;
	CHECK_OK(rw_supply_at(&in, &set, &mains, 1.0, id, &c, &err), &err);
	CHECK_OK(rw_connection_at(kind, 0.0, &b, &err), &err);
	rw_connection_volts(kind, 0.0, &b, &volts);
	rw_connection_mains(kind, 0.0, &b, &mains_wave);
	double least, greatest, of_mean = rw_wave_rms(&volts), fundamental = rw_wave_harmonic_rms(&mains_wave, 1);
	double va = k->secondaries * k->phase_factor * v * c.secondary_current_rms;
	rw_wave_span(&volts, &least, &greatest);
	if (sscanf(row->key, "order_%d", &(int){0}) == 1)
		return of_fundamental(&mains_wave, atoi(row->key + strlen("order_")));
	const struct { const char *key; double value; } figures[] = {
		{"no_load_per_voltage", c.no_load_voltage_dc / v}, {"no_load_per_phase", c.no_load_voltage_dc / (v / sqrt(3.0))},
		{"inverse_per_no_load", set.diode_inverse_voltage_pk / mains.high / set.nominal_no_load_voltage_dc},
		{"secondary_per_dc", c.secondary_current_rms / id}, {"delta_per_dc", c.delta_current_rms / id},
		{"diode_mean_per_dc", c.diode_current_mean / id}, {"diode_rms_per_dc", c.diode_current_rms / id},
		{"secondary_va_per_power", va / c.output_power}, {"power_factor", c.power_factor}, {"pulses", set.pulses},
		{"primary_va_per_power", k->phase_factor * mains.voltage_rms * c.primary_current_rms / c.output_power},
		{"ripple_rms", 100.0 * sqrt(of_mean * of_mean - 1.0)}, {"ripple_first", 100.0 * rw_wave_harmonic_rms(&volts, k->pulses)},
		{"ripple_pp", 100.0 * (greatest - least)}, {"thd", 100.0 * sqrt(pow(rw_wave_rms(&mains_wave) / fundamental, 2.0) - 1.0)},
		{"resistive_va_per_power", va / c.output_power * of_mean}, {"resistive_secondary_per_dc", c.secondary_current_rms / id * of_mean},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static void check_connections(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/supply/connections.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, connection_figure(row));
}

/* The greatest direct current the model accepts without resistance and diodes: there the volts are gone. */
static double dc_fault(const rw_supply_in *in, const rw_supply_set *set)
{
	rw_supply_set pure = *set;
	pure.phase_resistance = 0.0;
	double low = 0.0, high = 1e6, volts;
	for (int i = 0; i < 80; i++) {
		double middle = 0.5 * (low + high);
		*(rw_supply_voltage(in, &pure, 1.0, middle, &volts, NULL) == RW_OK ? &low : &high) = middle;
	}
	return low;
}

static double short_circuit_figure(const rw_row *row)
{
	rw_error err = {0};
	rw_supply_in in = {.duty_voltage_dc = 5e3, .duty_current_dc = 5.0, .secondary_voltage_rms = rw_row_input(row, "v"), .rated_power = rw_row_input(row, "s"),
	                   .short_circuit_voltage = rw_row_input(row, "uz"), .short_circuit_resistance = rw_row_input(row, "ur"), .diodes_in_series = 1};
	rw_supply_set set;
	rw_supply_case c;
	CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
	double rated_dc = in.rated_power / (sqrt(2.0) * in.secondary_voltage_rms);
	CHECK_OK(rw_supply_at(&in, &set, &mains, 1.0, rated_dc, &c, &err), &err);
	const struct { const char *key; double value; } figures[] = {
		{"short_circuit_current_rms", set.short_circuit_current_rms},
		{"mains_short_circuit_rms", set.short_circuit_current_rms * in.secondary_voltage_rms / rw_row_input(row, "v1")},
		{"phase_reactance", set.phase_reactance}, {"phase_resistance", set.phase_resistance},
		{"kappa", set.short_circuit_current_pk / (sqrt(2.0) * set.short_circuit_current_rms)}, {"short_circuit_current_pk", set.short_circuit_current_pk},
		{"dc_fault", dc_fault(&in, &set)}, {"overlap_at_rating", c.overlap_drop_dc / c.no_load_voltage_dc},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

/* Mains of a fault level before a transformer of 400 V on the other side, impedance and volts as they are nominally. */
static double fault_figure(const rw_row *row)
{
	rw_error err = {0};
	double s = rw_row_input(row, "s"), level = rw_row_input(row, "ssc");
	const rw_mains at = {.voltage_rms = 400.0, .frequency = 50.0, .high = 1.0, .low = 1.0, .fault_level_greatest = level, .fault_level_least = level};
	rw_supply_in in = {.duty_voltage_dc = 5e3, .duty_current_dc = 5.0, .secondary_voltage_rms = 7600.0, .rated_power = s,
	                   .short_circuit_voltage = rw_row_input(row, "uz"), .short_circuit_resistance = 0.0, .diodes_in_series = 1, .demand_current_rms = 1.0};
	rw_supply_set set;
	CHECK_OK(rw_supply_set_solve(&in, &at, &set, &err), &err);
	const struct { const char *key; double value; } figures[] = {
		{"greatest_multiple", set.fault_current_rms / set.rated_secondary_current_rms}, {"mains_short_circuit_rms", set.site_ratio},
		{"least_multiple", set.fault_current_least_rms / set.rated_secondary_current_rms},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

/* Choke and capacitor: the least choke, and what is left of the ripple. */
static double filter_figure(const rw_row *row)
{
	rw_error err = {0};
	const rw_mains at = {.voltage_rms = 400.0, .frequency = rw_row_input(row, "f"), .high = 1.0, .low = 1.0};
	rw_supply_in in = {.duty_voltage_dc = 5e3, .duty_current_dc = 5.0, .secondary_voltage_rms = rw_row_input(row, "v"), .rated_power = 1e5,
	                   .short_circuit_voltage = 0.05, .diodes_in_series = 1, .connection = (int)rw_row_input(row, "kind"),
	                   .filter_inductance = rw_row_input(row, "lf"), .filter_resistance = rw_row_input(row, "rf"),
	                   .filter_capacitance = rw_row_input(row, "cf"), .sharing_resistance = 1.0, .sharing_capacitance = 1.0};
	rw_supply_set set;
	rw_supply_case c;
	CHECK_OK(rw_supply_set_solve(&in, &at, &set, &err), &err);
	set.phase_reactance = 2.0 * pi * at.frequency * rw_row_input(row, "l");
	set.phase_resistance = rw_row_input(row, "r");
	CHECK_OK(rw_supply_at(&in, &set, &at, 1.0, rw_row_input(row, "id"), &c, &err), &err);
	rw_supply_light_load(&in, &set, 1.0, 1.0, &c);
	const struct { const char *key; double value; } figures[] = {
		{"critical_per_ohm", c.critical_inductance}, {"filtered_rms", c.filtered_ripple_rms}, {"voltage_dc", c.voltage_dc},
		{"attenuation", c.filtered_ripple_rms / c.ripple_voltage_rms},
		{"bridge_voltage_dc", c.voltage_dc + in.filter_resistance * c.current_dc}, {"bridge_ripple_rms", c.ripple_voltage_rms * in.filter_inductance / (in.filter_inductance + 2.0 * rw_row_input(row, "l"))},
		{"secondary_current_rms", c.secondary_current_rms}, {"secondary_current_fund_rms", c.secondary_current_fund_rms},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static double chosen_figure(const rw_row *row)
{
	rw_error err = {0};
	rw_supply_in in;
	rw_supply_set set;
	double volts = (double)NAN;
	rw_room_blank(&rw_supply_room, &in, NULL, NULL);
	in.duty_voltage_dc = rw_row_input(row, "vd");
	in.duty_current_dc = rw_row_input(row, "id");
	bool given = !strcmp(row->key, "voltage_at");
	if (given) {
		in.secondary_voltage_rms = rw_row_input(row, "v");
	} else {
		in.duty_basis = rw_row_input(row, "full") > 0.0 ? RW_DUTY_FULL_LOAD : RW_DUTY_NO_LOAD;
		in.secondary_voltage_step = rw_row_input(row, "step");
	}
	CHECK_OK(rw_supply_choose(&in, &mains, &err), &err);
	CHECK_OK(rw_supply_set_solve(&in, &mains, &set, &err), &err);
	if (given)
		CHECK_OK(rw_supply_voltage(&in, &set, rw_row_input(row, "factor"), rw_row_input(row, "ia"), &volts, &err), &err);
	const struct { const char *key; double value; } figures[] = {
		{"rated_power", in.rated_power}, {"duty_secondary_current_rms", set.duty_secondary_current_rms}, {"secondary_voltage_rms", in.secondary_voltage_rms},
		{"short_circuit_reactance", set.phase_reactance * in.rated_power / (in.secondary_voltage_rms * in.secondary_voltage_rms)},
		{"diode_drop", 2.0 * in.diodes_in_series * in.diode_drop_dc}, {"voltage_at", volts},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static void check_transformer(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/supply/transformer.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, strstr(row->field[RW_ROW_CASE], "kVA") ? short_circuit_figure(row) : chosen_figure(row));
}

static void check_faults_and_filter(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/supply/faults_and_filter.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, !strncmp(row->field[RW_ROW_CASE], "fault", 5) ? fault_figure(row) : filter_figure(row));
}

/* The library's table of limits, row by row, as a site of that short-circuit ratio gets it. */
static void check_limits(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_error err = {0};
	rw_units *units;
	rw_library *library;
	const rw_entry *entry;
	CHECK_OK(rw_units_new(&units, &err), &err);
	CHECK_OK(rw_library_open(&arena, "data", &library, &err), &err);
	CHECK_OK(rw_library_entry(library, &arena, "tables", "ieee-519", &entry, &err), &err);
	rw_table tables[2];
	const char *const keys[] = {"rows_read", "rows_recalled"};
	for (int t = 0; t < 2; t++)
		CHECK_OK(rw_table_read(&arena, units, rw_harmonic_columns, RW_HARMONIC_COLUMNS, 2, rw_entry_fact(entry, keys[t])->value, &tables[t], &err), &err);
	rw_rows rows = rw_rows_open("tests/reference/supply/harmonic_limits.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_supply_set set = {.site_ratio = rw_row_input(row, "ratio")};
		if (rw_supply_limits(&tables[0], &set, NULL) != RW_OK)
			CHECK_OK(rw_supply_limits(&tables[1], &set, &err), &err);
		const struct { const char *key; double value; } figures[] = {
			{"from_2", set.harmonic_limit_2}, {"from_11", set.harmonic_limit_11}, {"from_17", set.harmonic_limit_17},
			{"from_23", set.harmonic_limit_23}, {"from_35", set.harmonic_limit_35}, {"total", set.distortion_limit},
		};
		double value = (double)NAN;
		for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
			if (!strcmp(figures[i].key, row->key))
				value = 100.0 * figures[i].value;
		rw_row_check(row, value);
	}
	rw_units_free(units);
	rw_arena_release(&arena);
}

static double control_figure(const rw_row *row)
{
	double a = rw_row_input(row, "a") * pi / 180.0, value = (double)NAN;
	rw_controlled_bridge bridge = {0};
	rw_controlled_pair pair = {0};
	if (!strcmp(row->key, "continuous_ratio"))
		CHECK_OK(rw_control_continuous(a, &value, NULL), NULL);
	else if (!strcmp(row->key, "star_rms"))
		CHECK_OK(rw_control_star(a, &value, NULL), NULL);
	else if (!strncmp(row->key, "pair_l", 6))
		CHECK_OK(rw_control_pair_inductive(a, &pair, NULL), NULL);
	else if (!strncmp(row->key, "pair", 4))
		CHECK_OK(rw_control_pair_resistive(a, &pair, NULL), NULL);
	else
		CHECK_OK(rw_control_bridge(rw_row_input(row, "p"), a, &bridge, NULL), NULL);
	const struct { const char *key; double value; } figures[] = {
		{"continuous_ratio", value}, {"star_rms", value}, {"mean_ratio", bridge.mean_ratio}, {"ripple_percent", 100.0 * bridge.ripple_ratio},
		{"pair_rms", pair.rms_ratio}, {"pair_mean", pair.rectified_mean_ratio}, {"pair_l_rms", pair.rms_ratio},
		{"pair_l_current", pair.current_rms_ratio}, {"pair_l_fund", pair.current_fund_ratio},
	};
	for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
		if (!strcmp(figures[i].key, row->key))
			return figures[i].value;
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

/* A nought comes as the root of a rounding error: 1e-8. */
static void check_control(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/supply/control.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		double value = control_figure(row);
		if (row->expected != 0.0) {
			rw_row_check(row, value);
			continue;
		}
		assert_true(fabs(value) < 3e-8);
		row->checked = true;
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(check_bridge), cmocka_unit_test(check_connections), cmocka_unit_test(check_transformer),
	                                   cmocka_unit_test(check_faults_and_filter), cmocka_unit_test(check_limits), cmocka_unit_test(check_control)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
