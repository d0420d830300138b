/* Supply against the reference rows: ideal bridge, overlap, short circuit, choice. */
#include <math.h>
#include <stdlib.h>

#include "base/base.h"
#include "rows.h"
#include "supply/connection.h"
#include "supply/supply.h"

static const double pi = 3.14159265358979323846;
static const rw_mains mains = {.voltage_rms = 400.0, .frequency = 50.0, .high = 1.1};

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
		{"four_diodes", (c.overlap_angle - pi / 3.0) / (pi / 3.0)},
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

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(check_bridge), cmocka_unit_test(check_connections), cmocka_unit_test(check_transformer)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
