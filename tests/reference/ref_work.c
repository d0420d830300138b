/* Eddy currents in closed form and materials against reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "tests/material_entry.h"
#include "tests/reference/rows.h"
#include "work/eddy.h"

static rw_arena arena;
static rw_units *units;
static rw_library *library;

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }
static double in(const rw_row *row, const char *name) { return rw_row_input(row, name); }

static void test_bar(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/bar.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_eddy_factor f;
		if (strncmp(row->key, "best_", 5) == 0) {
			double diameter, p;
			CHECK_OK(rw_eddy_best_bar(&diameter, &p, &err), &err);
			rw_row_check(row, is(row, "best_x") ? 0.5 * diameter : is(row, "best_diameter") ? diameter : p);
			continue;
		}
		CHECK_OK(rw_eddy_bar(in(row, "x"), &f, &err), &err);
		rw_row_check(row, is(row, "p") ? f.p : is(row, "q") ? f.q : is(row, "xp") ? in(row, "x") * f.p : (double)NAN);
	}
}

static void test_slab(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/slab.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_eddy_factor f;
		CHECK_OK(rw_eddy_slab(in(row, "y"), &f, &err), &err);
		rw_row_check(row, is(row, "p") ? f.p : is(row, "q") ? f.q : (double)NAN);
	}
}

static void test_tube(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/tube.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_eddy_tube_factor f;
		CHECK_OK(rw_eddy_tube(in(row, "x"), in(row, "ratio"), in(row, "permeability"), &f, &err), &err);
		double phase = f.bore_phase * 180.0 / M_PI;
		rw_row_check(row, is(row, "p") ? f.p : is(row, "q") ? f.q : is(row, "bore_field") ? f.bore_field : is(row, "bore_phase") ? phase : (double)NAN);
	}
}

static void test_solenoid(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/solenoid.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_eddy_body body = {in(row, "radius"), 0.0, in(row, "resistivity"), in(row, "permeability")};
		rw_eddy_loading l;
		CHECK_OK(rw_eddy_in_solenoid(&body, in(row, "coil_radius"), in(row, "turns"), in(row, "current"), in(row, "frequency"), &l, &err), &err);
		rw_row_check(row, is(row, "depth") ? l.depth : is(row, "power") ? l.power : is(row, "resistance") ? l.resistance : is(row, "reactance") ? l.reactance :
		             is(row, "surface_power") ? l.surface_power : (double)NAN);
	}
}

static void test_depth(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/work/depth.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		assert_string_equal(row->key, "depth");
		rw_row_check(row, rw_eddy_depth(in(row, "resistivity"), in(row, "permeability"), in(row, "frequency")));
	}
}

static void test_rod(void **state)
{
	(void)state;
	rw_error err;
	rw_rows rows = rw_rows_open("tests/reference/work/rod.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_eddy_body rod = {in(row, "radius"), 0.0, 1.0 / in(row, "conductivity"), in(row, "permeability")};
		rw_eddy_coil coil = {in(row, "turns"), in(row, "length"), in(row, "inner"), in(row, "outer")};
		rw_eddy_change c;
		CHECK_OK(rw_eddy_coil_on_rod(&rod, &coil, in(row, "frequency"), &c, &err), &err);
		rw_row_check(row, is(row, "resistance") ? c.resistance : is(row, "reactance") ? c.reactance : is(row, "inductance") ? c.inductance : (double)NAN);
	}
}

/* Figures that are in the entry but in no property. */
static double other_figure(const rw_row *row, const rw_entry *entry)
{
	rw_error err;
	double value = (double)NAN;
	rw_table table;
	const rw_fact *fact = rw_entry_fact(entry, row->key);
	assert_non_null(fact);
	if (is(row, "conductivity_annealed")) {
		CHECK_OK(rw_table_read(&arena, units, rw_property_columns(RW_CONDUCTIVITY), 2, 2, fact->value, &table, &err), &err);
		CHECK_OK(rw_table_at(&table, 0, 1, in(row, "temperature"), &value, &err), &err);
	} else if (is(row, "density_melting")) {
		CHECK_OK(rw_units_read(units, &rw_kind_density, fact->value, &value, &err), &err);
	} else if (is(row, "resistivity_melting")) {
		CHECK_OK(rw_units_read(units, &rw_kind_resistivity, fact->value, &value, &err), &err);
	}
	return value;
}

static double of_material(const rw_row *row)
{
	rw_error err;
	rw_material m;
	double value, slope;
	const rw_entry *entry = rw_material_entry(&arena, units, library, row->field[RW_ROW_CASE], &m);
	if (is(row, "heat")) {
		CHECK_OK(rw_material_heat(&m, in(row, "from"), in(row, "to"), &value, &err), &err);
		return value;
	}
	if (is(row, "permeability")) {
		CHECK_OK(rw_material_permeability(&m, in(row, "temperature"), in(row, "field"), &value, &err), &err);
		return value;
	}
	for (int p = 0; p < RW_PROPERTIES; p++)
		if (is(row, rw_property_key((rw_property)p))) {
			CHECK_OK(rw_material_at(&m, (rw_property)p, in(row, "temperature"), &value, &err), &err);
			return value;
		}
	if (is(row, "resistivity_slope")) {
		CHECK_OK(rw_material_at(&m, RW_RESISTIVITY, in(row, "temperature"), &value, &err), &err);
		CHECK_OK(rw_table_slope(&m.table[RW_RESISTIVITY], 0, 1, in(row, "temperature"), &slope, &err), &err);
		return slope / value;
	}
	return is(row, "density") ? m.density : is(row, "melting_temperature") ? m.melting_temperature : is(row, "latent_heat") ? m.latent_heat :
	       is(row, "curie_temperature") ? m.curie_temperature : other_figure(row, entry);
}

static void test_material(void **state)
{
	(void)state;
	rw_rows rows = rw_rows_open("tests/reference/work/material.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, of_material(row));
}

int main(void)
{
	rw_base_init();
	rw_arena_init(&arena);
	rw_error err;
	if (rw_units_new(&units, &err) != RW_OK || rw_library_open(&arena, "data", &library, &err) != RW_OK) {
		fprintf(stderr, "%s\n", err.what);
		return 1;
	}
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_bar),   cmocka_unit_test(test_slab), cmocka_unit_test(test_tube),     cmocka_unit_test(test_solenoid),
		cmocka_unit_test(test_depth), cmocka_unit_test(test_rod),  cmocka_unit_test(test_material),
	};
	int failed = cmocka_run_group_tests(tests, NULL, NULL);
	rw_units_free(units);
	rw_arena_release(&arena);
	return failed;
}
