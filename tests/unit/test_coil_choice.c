/* Frequencies and turns compared: efficiencies against direct calls, the heat wanted found again, bounds by the rows on either side of
 * them, the bar of best power factor, the transformer's share found again by the impedance; plates by hand. The steel is invented. */
#include <complex.h>
#include <string.h>

#include "base/base.h"
#include "base/bessel.h"
#include "coil/choice.h"
#include "coil/transform.h"
#include "tests/medhurst_table.h"
#include "work/eddy.h"
#include "work/heating.h"

static const double mu0 = 1.25663706127e-6;   /* H/m, CODATA 2022 */

typedef struct bench {
	rw_arena arena;
	rw_units *units;
	rw_medhurst table;
	rw_work_in work;
	rw_work_stuff stuff;
	rw_coil_in coil;
	rw_choice_job job;
} bench;

static const char *text_of(const void *context, const char *key)
{
	(void)context;
	static const char *const texts[][2] = {
	    {"density", "7813 kg/m3"}, {"heat_capacity", "647 J/kg/K"}, {"conductivity", "31.7 W/m/K"}, {"emissivity", "0.79"},
	    {"resistivity", "temperature/degC resistivity/uohm.m\n20 0.183\n700 0.937\n1400 1.213\n"},
	    {"permeability", "field_strength/kA/m permeability\n0 93.7\n20 71.3\n100 17.3\n2000 1.83\n"},
	    {"curie_temperature", "757 degC"}, {"melting_temperature", "1467 degC"}, {"temperature_min", "0 degC"},
	    {"temperature_max", "1467 degC"},
	};
	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
		if (strcmp(texts[i][0], key) == 0)
			return texts[i][1];
	return NULL;
}

static int set_up(void **state)
{
	static bench b;
	rw_error err;
	rw_work_set set = {0};
	memset(&b, 0, sizeof b);
	rw_arena_init(&b.arena);
	CHECK_OK(rw_units_new(&b.units, &err), &err);
	rw_medhurst_table(&b.arena, &b.table);
	CHECK_OK(rw_material_read(&b.arena, b.units, "steel", text_of, NULL, &b.stuff.material, &err), &err);
	rw_room_blank(&rw_work_room, &b.work, NULL, NULL);
	rw_room_blank(&rw_coil_room, &b.coil, NULL, NULL);
	b.work.kind = RW_WORK_BAR;
	b.work.treatment = RW_TREATMENT_SURFACE;
	b.work.motion = RW_MOTION_SINGLE_SHOT;
	b.work.diameter = 37.3e-3;
	b.work.length = 27.1e-3;
	b.work.part_length = 213e-3;
	b.work.depth = 2.13e-3;
	b.work.time = 4.37;
	b.work.target_temperature = 1147.0;
	b.work.surface_temperature_max = 1411.0;
	b.coil = (rw_coil_in){.turns = 3, .inner_diameter = 44.3e-3, .length = 31.7e-3, .width = 7.3e-3, .thickness = 1.1e-3,
	    .temperature = (double)NAN, .field_pk_max = (double)NAN, .water_rise = (double)NAN, .velocity_max = (double)NAN, .kind = RW_COIL_TURNS,
	    .conductor = RW_WINDING_TUBE};
	CHECK_OK(rw_work_choose(&b.work, &b.stuff, 413e3, &set, &err), &err);
	CHECK_OK(rw_coil_choose(&b.coil, b.work.diameter, &err), &err);
	b.job = (rw_choice_job){&b.work, &b.stuff, &b.coil, &b.table};
	*state = &b;
	return 0;
}

static int tear_down(void **state)
{
	bench *b = *state;
	rw_units_free(b->units);
	rw_arena_release(&b->arena);
	return 0;
}

static rw_choice_row look(const bench *b, double frequency, bool cold)
{
	rw_error err;
	rw_choice_row row;
	CHECK_OK(rw_choice_at(&b->job, frequency, cold, &row, &err), &err);
	return row;
}

static void test_hot_against_direct(void **state)
{
	const bench *b = *state;
	rw_error err;
	rw_coil_turns turns = {3, 44.3e-3, 31.7e-3, 7.3e-3, 1.1e-3, 333.15, RW_WINDING_TUBE, 0};
	rw_coil_body body = {.radius = 0.5 * 37.3e-3, .length = 213e-3, .permeability = 1.0};
	rw_coil_loaded_result direct;
	rw_choice_row row = look(b, 413e3, false);
	CHECK_OK(rw_material_at(&b->stuff.material, RW_RESISTIVITY, 1147.0, &body.resistivity, &err), &err);
	CHECK_OK(rw_coil_loaded(&turns, &body, &b->table, 413e3, &direct, &err), &err);
	CHECK_NEAR(row.hot_efficiency, direct.efficiency, 1e-14, "the same called directly");
	CHECK_NEAR(row.hot_depth, rw_eddy_depth(body.resistivity, 1.0, 413e3), 1e-14, "skin depth");
	CHECK_NEAR(row.thickness, 37.3e-3 / row.hot_depth, 1e-14, "diameter over it");
	CHECK_NEAR(row.current_rms * row.current_rms * direct.resistance_reflected, b->work.heat_power, 1e-13, "the heat wanted");
	CHECK_NEAR(row.voltage_rms, row.current_rms * hypot(direct.resistance, direct.reactance), 1e-13, "volts");
	assert_true(isnan(row.cold_efficiency) && isnan(row.cold_depth));
	rw_coil_duty duty = {row.voltage_rms, row.current_rms, row.current_rms * row.current_rms * direct.resistance, 413e3, 300e3};
	rw_coil_stresses stress;
	CHECK_OK(rw_coil_stress(&turns, &body, &b->table, &duty, &stress, &err), &err);
	CHECK_NEAR(row.stress * 300e3, fmax(stress.work_field_pk, stress.turn_field_pk), 1e-12, "fields called directly, R16's 300 kV/m");
}

/* Cold: the permeability of the field that the heat wanted makes, found again in full. */
static void test_cold_is_at_its_heat(void **state)
{
	const bench *b = *state;
	rw_error err;
	rw_choice_state cold;
	double mur, resistivity;
	CHECK_OK(rw_choice_state_at(&b->job, &b->coil, b->work.start_temperature, 413e3, &cold, &err), &err);
	CHECK_NEAR(cold.current_rms * cold.current_rms * cold.loaded.resistance_reflected, b->work.heat_power, 1e-13, "the heat wanted");
	double field = cold.current_rms * cold.loaded.field_per_ampere;
	CHECK_OK(rw_material_permeability(&b->stuff.material, b->work.start_temperature, field, &mur, &err), &err);
	CHECK_NEAR(cold.permeability, mur, 2e-3, "at the field of that current; settled to 1e-3 of it");
	CHECK_OK(rw_material_at(&b->stuff.material, RW_RESISTIVITY, b->work.start_temperature, &resistivity, &err), &err);
	rw_choice_row row = look(b, 413e3, true);
	CHECK_NEAR(row.cold_depth, sqrt(resistivity / (M_PI * 413e3 * mu0 * cold.permeability)), 1e-12, "skin depth with it");
	CHECK_NEAR(row.cold_efficiency, cold.loaded.efficiency, 1e-14, "the same state");
	assert_true(row.cold_efficiency > row.hot_efficiency);
	assert_true(row.cold_depth < 0.2 * row.hot_depth);
}

static const double frequencies[] = {1.3e3, 3.1e3, 7.9e3, 23.7e3, 71.3e3, 193e3, 413e3, 887e3, 1.91e6, 4.7e6};
enum { ROWS = sizeof frequencies / sizeof frequencies[0] };

static void all_rows(const bench *b, rw_choice_row rows[ROWS])
{
	for (int i = 0; i < ROWS; i++)
		rows[i] = look(b, frequencies[i], false);
}

static void test_monotone(void **state)
{
	const bench *b = *state;
	rw_choice_row rows[ROWS];
	all_rows(b, rows);
	for (int i = 1; i < ROWS; i++) {
		assert_true(rows[i].hot_depth < rows[i - 1].hot_depth);
		assert_true(rows[i].current_rms < rows[i - 1].current_rms);
		assert_true(rows[i].voltage_rms > rows[i - 1].voltage_rms);
		assert_true(rows[i].surface_temperature > rows[i - 1].surface_temperature);
	}
	assert_true(rows[0].hot_efficiency < 0.7 * rows[5].hot_efficiency);
	assert_true(rows[5].treatment == RW_CHOICE_KEEPS && rows[ROWS - 1].treatment == RW_CHOICE_OVER);
	/* thin skin: the heat for the square of a current goes as the root of the frequency */
	double current = pow(rows[ROWS - 2].current_rms / rows[ROWS - 1].current_rms, 2.0);
	CHECK_NEAR(current, sqrt(4.7 / 1.91), 0.02, "limit of thin skin");
	/* all power in the surface */
	rw_surface_heat limit;
	rw_error err;
	const rw_surface_job skinless = {.radius = 0.5 * b->work.diameter, .length = b->work.length, .depth = b->work.depth, .start = 293.15,
	    .target = 1147.0, .surface_max = 1411.0, .time = 4.37, .skin_depth = 0.0, .ambient = 293.15, .convection = 10.0};
	CHECK_OK(rw_heating_surface(&skinless, &b->stuff.material, &limit, &err), &err);
	double far = look(b, 4.7e9, false).surface_temperature;
	CHECK_NEAR(far, limit.surface_temperature, 2e-3, "limit of no skin depth");
}

static void test_bounds(void **state)
{
	const bench *b = *state;
	rw_error err;
	rw_choice_row rows[ROWS];
	rw_choice_range range;
	all_rows(b, rows);
	CHECK_OK(rw_choice_range_of(&b->job, rows, ROWS, &range, &err), &err);
	double *bound = range.bound, best = range.efficiency_best, heat = b->work.surface_temperature_max;
	assert_true(look(b, 0.985 * bound[RW_CHOICE_EFFICIENCY], false).hot_efficiency < 0.9 * best);
	assert_true(look(b, 1.015 * bound[RW_CHOICE_EFFICIENCY], false).hot_efficiency > 0.9 * best);
	assert_true(look(b, 0.985 * bound[RW_CHOICE_SURFACE], false).surface_temperature < heat);
	assert_true(look(b, 1.015 * bound[RW_CHOICE_SURFACE], false).surface_temperature > heat);
	assert_true(look(b, 0.985 * bound[RW_CHOICE_VOLTS], false).stress < 1.0);
	assert_true(look(b, 1.015 * bound[RW_CHOICE_VOLTS], false).stress > 1.0);
	CHECK_NEAR(look(b, bound[RW_CHOICE_THIN], false).thickness, 3.0, 1e-12, "three skin depths");
	assert_true(isnan(bound[RW_CHOICE_GAIN]));   /* 2.13 mm over 10: beyond the rows */
	CHECK_NEAR(range.lower, fmax(bound[RW_CHOICE_EFFICIENCY], bound[RW_CHOICE_THIN]), 0.0, "the greater");
	CHECK_NEAR(range.upper, fmin(bound[RW_CHOICE_SURFACE], bound[RW_CHOICE_VOLTS]), 0.0, "the lesser");
	assert_false(range.empty);
	assert_int_equal(range.lower_by, range.lower == bound[RW_CHOICE_EFFICIENCY] ? RW_CHOICE_EFFICIENCY : RW_CHOICE_THIN);
	assert_int_equal(range.upper_by, range.upper == bound[RW_CHOICE_SURFACE] ? RW_CHOICE_SURFACE : RW_CHOICE_VOLTS);
}

static void test_bounds_at_the_ends(void **state)
{
	bench b = *(bench *)*state;
	rw_error err;
	rw_choice_row rows[ROWS];
	rw_choice_range range;
	b.job.work = &b.work;
	b.job.coil = &b.coil;
	b.job.stuff = &b.stuff;
	b.work.depth = 7.3e-3;
	b.work.time = 37.1;
	b.work.surface_temperature_max = 1500.0;
	all_rows(&b, rows);
	CHECK_OK(rw_choice_range_of(&b.job, rows, ROWS, &range, &err), &err);
	assert_true(isnan(range.bound[RW_CHOICE_SURFACE]));
	CHECK_NEAR(look(&b, range.bound[RW_CHOICE_GAIN], false).hot_depth, 0.73e-3, 1e-12, "a tenth of the depth");
	/* so little field that no frequency will do */
	b.coil.field_pk_max = 7.0;
	all_rows(&b, rows);
	CHECK_OK(rw_choice_range_of(&b.job, rows, ROWS, &range, &err), &err);
	assert_true(range.empty);
	assert_int_equal(range.upper_by, RW_CHOICE_VOLTS);
	CHECK_NEAR(range.upper, frequencies[0], 0.0, "at any frequency");
	/* a span in which nothing happens */
	b.coil.field_pk_max = 1e9;
	assert_int_equal(rw_choice_range_of(&b.job, rows + 4, 1, &range, &err), RW_E_RANGE);
	for (int i = 0; i < 2; i++)
		rows[i] = look(&b, 91e3 * (1 + i), false);
	CHECK_OK(rw_choice_range_of(&b.job, rows, 2, &range, &err), &err);
	assert_true(range.lower_by == RW_CHOICE_SPAN && range.upper_by == RW_CHOICE_SPAN && range.lower == 91e3 && range.upper == 182e3);
}

/* A bound between the first two rows; a surface that goes from keeping under its greatest to melting. */
static void test_bounds_narrow(void **state)
{
	bench b = *(bench *)*state;
	rw_error err;
	rw_choice_row rows[ROWS];
	rw_choice_range whole, part;
	int first = 0;
	b.job.work = &b.work;
	all_rows(&b, rows);
	CHECK_OK(rw_choice_range_of(&b.job, rows, ROWS, &whole, &err), &err);
	while (rows[first + 1].frequency < whole.bound[RW_CHOICE_EFFICIENCY])
		first++;
	CHECK_OK(rw_choice_range_of(&b.job, rows + first, ROWS - first, &part, &err), &err);
	CHECK_NEAR(part.bound[RW_CHOICE_EFFICIENCY], whole.bound[RW_CHOICE_EFFICIENCY], 0.0, "the same two rows");
	b.work.surface_temperature_max = 1739.0;   /* melting: 1740.15 K */
	b.work.time = 1.37;
	all_rows(&b, rows);
	assert_true(rows[1].treatment == RW_CHOICE_KEEPS && rows[ROWS - 1].treatment == RW_CHOICE_MELTS);
	CHECK_OK(rw_choice_range_of(&b.job, rows, ROWS, &part, &err), &err);
	assert_int_equal(look(&b, 0.98 * part.bound[RW_CHOICE_SURFACE], false).treatment, RW_CHOICE_KEEPS);
	assert_true(look(&b, 1.02 * part.bound[RW_CHOICE_SURFACE], false).treatment != RW_CHOICE_KEEPS);
}

/* Melts and deep are told apart. */
static void test_treatment(void **state)
{
	bench b = *(bench *)*state;
	rw_choice_row row;
	b.job.work = &b.work;
	row = look(&b, 0.53e3, false);
	assert_true(row.hot_depth > 0.5 * b.work.diameter && row.treatment == RW_CHOICE_DEEP && isnan(row.surface_temperature));
	b.work.time = 0.53;
	row = look(&b, 2.3e6, false);
	assert_true(row.treatment == RW_CHOICE_MELTS && isnan(row.surface_temperature) && row.hot_efficiency > 0.5);
}

/* Heated through: with the power in the surface the difference is the work room's own; deeper power, less of it. */
static void test_through(void **state)
{
	bench b = *(bench *)*state;
	rw_error err;
	rw_work_set set = {0};
	b.job.work = &b.work;
	b.work.treatment = RW_TREATMENT_THROUGH;
	b.work.diameter = 17.3e-3;
	b.work.time = 23.9;
	b.work.heat_power = (double)NAN;
	CHECK_OK(rw_work_choose(&b.work, &b.stuff, 413e3, &set, &err), &err);
	double whole = set.surface_temperature - set.core_temperature, before = 0.0;
	for (double f = 19e3; f < 1e7; f *= 3.0) {
		rw_choice_row row = look(&b, f, false);
		assert_true(row.difference > before && row.difference < whole);
		before = row.difference;
	}
	rw_choice_row row = look(&b, 4.7e9, false);
	CHECK_NEAR(row.difference, whole, 2e-3, "all power in the surface");
	CHECK_NEAR(row.surface_temperature, set.surface_temperature, 1e-3, "likewise");
}

/* A bar 3.5567 skin depths thick takes most power in a given field: the frequency told for it is that of the greatest p. */
static void test_best_power_factor(void **state)
{
	const bench *b = *state;
	rw_error err;
	double best, p, frequency, resistivity;
	rw_eddy_factor here, under, over;
	CHECK_OK(rw_eddy_best_bar(&best, &p, &err), &err);
	CHECK_NEAR(best, 3.5567, 2e-5, "fields-and-heat, known case");
	CHECK_OK(rw_choice_thick_at(&b->job, best, &frequency, &err), &err);
	CHECK_OK(rw_material_at(&b->stuff.material, RW_RESISTIVITY, 1147.0, &resistivity, &err), &err);
	double a = 0.5 * b->work.diameter;
	CHECK_OK(rw_eddy_bar(a / rw_eddy_depth(resistivity, 1.0, frequency), &here, &err), &err);
	CHECK_OK(rw_eddy_bar(a / rw_eddy_depth(resistivity, 1.0, 0.9 * frequency), &under, &err), &err);
	CHECK_OK(rw_eddy_bar(a / rw_eddy_depth(resistivity, 1.0, 1.1 * frequency), &over, &err), &err);
	CHECK_NEAR(here.p, p, 1e-9, "greatest p");
	assert_true(here.p > under.p && here.p > over.p);
}

static void test_turns(void **state)
{
	const bench *b = *state;
	rw_coil_in other;
	assert_true(rw_choice_turns(&b->coil, 3.0, &other));
	assert_memory_equal(&other, &b->coil, sizeof other);
	assert_true(rw_choice_turns(&b->coil, 2.0, &other));
	CHECK_NEAR(other.width, 7.3e-3, 0.0, "there is room");
	assert_true(rw_choice_turns(&b->coil, 5.0, &other));
	double pitch = (other.length - other.width) / 4.0;
	CHECK_NEAR(other.width, 2.0 / 3.0 * pitch, 1e-13, "a third of the pitch is air");
	CHECK_NEAR(other.thickness / other.width, 1.1 / 7.3, 1e-13, "in proportion");
	CHECK_NEAR(other.length, b->coil.length, 0.0, "the same length");
	assert_true(rw_choice_turns(&b->coil, 7.0, &other));
	CHECK_NEAR(other.thickness, 0.5e-3, 0.0, "least wall");
	assert_false(rw_choice_turns(&b->coil, 8.0, &other));   /* 2/3 of 31.7 mm/7.67 is 2.76 mm */
	CHECK_NEAR(other.turns, 7.0, 0.0, "unchanged");
}

static const rw_choice_line line = {8.37e3, 1.31e-3, 14.7e-9, 0.887, 287.0, 313.0};

static rw_choice_fit match(double complex coil, double current)
{
	rw_error err;
	rw_choice_fit fit;
	CHECK_OK(rw_choice_match(&line, 413e3, coil, current, &fit, &err), &err);
	return fit;
}

static void test_match(void **state)
{
	(void)state;
	double leads = 2.0 * M_PI * 413e3 * line.leads_inductance;
	rw_choice_fit fit = match(rw_complex(0.317, 13.1), 271.0);
	CHECK_NEAR(fit.reactance_wanted, 8.37e3 / sqrt(2.0) / 271.0, 1e-14, "V_pk/(sqrt2 I)");
	CHECK_NEAR(fit.share, (13.1 + leads) / fit.reactance_wanted, 1e-14, "by hand");
	assert_true(fit.verdict == RW_CHOICE_DIRECT && fit.ratio == 1.0 && fit.efficiency == 1.0);
	fit = match(rw_complex(0.317, 23.1), 271.0);
	assert_true(fit.verdict == RW_CHOICE_TOO_MUCH && fit.share > 0.9);
	int n = 0;
	for (double x = 0.083; x < 2.9; x *= 1.37) {
		double current = 1173.0;
		fit = match(rw_complex(0.0173 + 0.03 * x, x), current);
		if (fit.share_direct >= 0.4)
			continue;
		n++;
		assert_true(fit.verdict == RW_CHOICE_RATIO && fit.ratio == rint(fit.ratio));
		assert_true(fit.share >= 0.4 && fit.share <= 0.9);
		/* applied: the network found again, and the volts its current needs */
		rw_error err;
		double complex z_load = rw_complex(0.0173 + 0.03 * x + line.leads_resistance, x + leads), seen, ratio;
		const rw_transform t = {fit.ratio, 1.5 * fit.ratio * fit.ratio * (x + leads) / (2.0 * M_PI * 413e3), line.coupling, line.primary_q,
		    line.secondary_q};
		CHECK_OK(rw_transform_impedance(&t, 413e3, z_load, &seen, &ratio, &err), &err);
		double tank_current = current / cabs(ratio), wanted = line.drive_voltage_pk / (sqrt(2.0) * tank_current);
		CHECK_NEAR(cimag(seen) / wanted, fit.share, 1e-12, "the share that was promised");
		CHECK_NEAR(fit.efficiency, current * current * creal(z_load) / (tank_current * tank_current * creal(seen)), 1e-12, "power out over in");
	}
	assert_true(n >= 8);
}

static void test_plates(void **state)
{
	(void)state;
	rw_error err;
	rw_plates plates = {.area = 0.237, .gap = 0.0, .n_layers = 1, .layer = {{31.7e-3, {3.71, 0.293}}}};
	rw_choice_plates at, twice;
	CHECK_OK(rw_choice_plates_at(&plates, 5.37e3, 13.56e6, &at, &err), &err);
	double density = 5.37e3 / (0.237 * 31.7e-3), field = sqrt(density / (2.0 * M_PI * 13.56e6 * 8.8541878188e-12 * 0.293));
	CHECK_NEAR(at.field_rms, field, 1e-8, "2 pi f e0 eps'' E^2");
	CHECK_NEAR(at.voltage_rms, field * 31.7e-3, 1e-8, "over the thickness");
	CHECK_NEAR(at.quality, 3.71 / 0.293, 1e-12, "eps' over eps''");
	CHECK_NEAR(at.current_rms, 5.37e3 / at.voltage_rms * sqrt(1.0 + at.quality * at.quality), 1e-12, "heat over volts and power factor");
	CHECK_NEAR(at.gap_field_pk, 0.0, 0.0, "no gap");
	double wave = 299792458.0 / 13.56e6 / sqrt(3.71);
	CHECK_NEAR(cos(2.0 * M_PI * 0.5 * at.length_most / wave), 0.9, 1e-9, "a tenth less at half the length");
	plates.gap = 2.3e-3;
	CHECK_OK(rw_choice_plates_at(&plates, 5.37e3, 13.56e6, &at, &err), &err);
	CHECK_NEAR(at.field_rms, field, 1e-8, "the heat is the stuff's alone");
	CHECK_NEAR(at.gap_field_pk, sqrt(2.0) * field * hypot(3.71, 0.293), 1e-8, "displacement current goes on");
	CHECK_OK(rw_choice_plates_at(&plates, 5.37e3, 27.12e6, &twice, &err), &err);
	CHECK_NEAR(twice.field_rms, at.field_rms / sqrt(2.0), 1e-12, "one over the root of the frequency");
	CHECK_NEAR(twice.length_most, 0.5 * at.length_most, 1e-12, "one over the frequency");
	plates.layer[0].permittivity.loss = 0.0;
	assert_int_equal(rw_choice_plates_at(&plates, 5.37e3, 13.56e6, &twice, &err), RW_E_RANGE);
	CHECK_NEAR(twice.length_most, 0.5 * at.length_most, 1e-12, "unchanged on error");
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(test_hot_against_direct), cmocka_unit_test(test_cold_is_at_its_heat), cmocka_unit_test(test_monotone),
	    cmocka_unit_test(test_bounds), cmocka_unit_test(test_bounds_at_the_ends), cmocka_unit_test(test_bounds_narrow),
	    cmocka_unit_test(test_treatment),
	    cmocka_unit_test(test_through), cmocka_unit_test(test_best_power_factor), cmocka_unit_test(test_turns), cmocka_unit_test(test_match),
	    cmocka_unit_test(test_plates),
	};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
