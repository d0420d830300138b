/* Coil and conductor closed forms against the reference rows. */
#include "tests/check.h"

#include "base/base.h"
#include "coil/conductor.h"
#include "coil/inductance.h"
#include "coil/leads.h"
#include "tests/medhurst_table.h"
#include "tests/reference/rows.h"

/* What the row of a file asks for, in the row's unit. */
typedef double (*figure)(const rw_row *row, const void *context);

static void check_file(const char *path, figure of, const void *context)
{
	rw_rows rows = rw_rows_open(path);
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)
		rw_row_check(row, of(row, context));
}

static bool asks(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }

static double unknown(const rw_row *row)
{
	rw_row_bad(row, "no figure", row->key);
	return (double)NAN;
}

static double nagaoka(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double k;
	CHECK_OK(rw_nagaoka(rw_row_input(row, "diameter_to_length"), &k, &err), &err);
	return k;
}

static double sheet_inductance(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double l;
	CHECK_OK(rw_sheet_inductance(rw_row_input(row, "turns"), rw_row_input(row, "diameter"), rw_row_input(row, "length"), &l, &err), &err);
	return l * 1e6;
}

static double thick_coil(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double l, error, r1 = rw_row_input(row, "r1"), r2 = rw_row_input(row, "r2");
	CHECK_OK(rw_thick_coil_inductance(rw_row_input(row, "turns"), r1, r2, rw_row_input(row, "height"), &l, &error, &err), &err);
	assert_true(error > 0.0 && error < 1e-8 * l);
	return asks(row, "inductance") ? l * 1e6 : asks(row, "brooks") ? l * 1e6 / (0.5 * (r1 + r2)) : unknown(row);
}

static double mutual(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double m;
	CHECK_OK(rw_filament_mutual(rw_row_input(row, "a"), rw_row_input(row, "b"), rw_row_input(row, "distance"), &m, &err), &err);
	return m * 1e9;
}

static double sheet_field(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	rw_field b;
	CHECK_OK(rw_sheet_field(rw_row_input(row, "turns"), rw_row_input(row, "diameter"), rw_row_input(row, "length"), rw_row_input(row, "r"),
	                        rw_row_input(row, "z"), &b, &err), &err);
	return asks(row, "axial") ? b.axial * 1e6 : asks(row, "radial") ? b.radial * 1e6 : unknown(row);
}

static double wire_or_tube(const rw_row *row, const void *context)
{
	rw_error err;
	rw_skin skin;
	const bool *tube = context;
	double x = rw_row_input(row, "radius_to_skin");
	CHECK_OK(*tube ? rw_round_tube(x, rw_row_input(row, "bore"), &skin, &err) : rw_round_wire(x, &skin, &err), &err);
	return asks(row, "resistance") ? skin.resistance : asks(row, "inductance") ? skin.inductance : unknown(row);
}

static double strip_layer(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double ratio;
	CHECK_OK(rw_strip_layer(rw_row_input(row, "thickness_to_skin"), (int)rw_row_input(row, "layers"), &ratio, &err), &err);
	return ratio;
}

static double parallel_wires(const rw_row *row, const void *context)
{
	(void)context;
	rw_error err;
	double ratio;
	CHECK_OK(rw_parallel_wires(rw_row_input(row, "spacing_to_diameter"), &ratio, &err), &err);
	return ratio;
}

static double medhurst(const rw_row *row, const void *context)
{
	rw_error err;
	double ratio;
	CHECK_OK(rw_medhurst_ratio(context, rw_row_input(row, "wire_to_pitch"), rw_row_input(row, "length_to_diameter"), &ratio, &err), &err);
	return ratio;
}

static double skin_depth(const rw_row *row, const void *context)
{
	(void)context;
	return rw_skin_depth(rw_row_input(row, "resistivity") / rw_row_input(row, "permeability"), rw_row_input(row, "frequency")) * 1e3;
}

static void test_inductance(void **state)
{
	(void)state;
	check_file("tests/reference/coil/nagaoka.csv", nagaoka, NULL);
	check_file("tests/reference/coil/sheet-inductance.csv", sheet_inductance, NULL);
	check_file("tests/reference/coil/thick-coil.csv", thick_coil, NULL);
	check_file("tests/reference/coil/mutual.csv", mutual, NULL);
}

static void test_field(void **state)
{
	(void)state;
	check_file("tests/reference/coil/sheet-field.csv", sheet_field, NULL);
}

static void test_conductors(void **state)
{
	(void)state;
	check_file("tests/reference/coil/round-wire.csv", wire_or_tube, &(bool){false});
	check_file("tests/reference/coil/round-tube.csv", wire_or_tube, &(bool){true});
	check_file("tests/reference/coil/strip-layers.csv", strip_layer, NULL);
	check_file("tests/reference/coil/skin-depth.csv", skin_depth, NULL);
}

static void test_proximity(void **state)
{
	(void)state;
	rw_arena arena;
	rw_arena_init(&arena);
	rw_medhurst table;
	rw_medhurst_table(&arena, &table);
	check_file("tests/reference/coil/parallel-wires.csv", parallel_wires, NULL);
	check_file("tests/reference/coil/medhurst.csv", medhurst, &table);
	rw_arena_release(&arena);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_inductance), cmocka_unit_test(test_field), cmocka_unit_test(test_conductors),
	                                   cmocka_unit_test(test_proximity)};
	return cmocka_run_group_tests(tests, NULL, NULL);
}
