/* Dielectric work, dielectric materials and ISM bands against reference rows. */
#include "tests/library_bench.h"

#include "base/base.h"
#include "tests/material_entry.h"
#include "tests/reference/rows.h"
#include "work/bands.h"
#include "work/dielectric.h"

static bool is(const rw_row *row, const char *key) { return strcmp(row->key, key) == 0; }
static double in(const rw_row *row, const char *name) { return rw_row_input(row, name); }

static double of_plates(const rw_row *row)
{
	rw_error err;
	rw_plates plates = {in(row, "area"), in(row, "gap"), 1, {{in(row, "thickness"), {in(row, "real"), in(row, "loss")}}}};
	rw_plates_field f;
	CHECK_OK(rw_plates_field_of(&plates, in(row, "frequency"), in(row, "voltage"), &f, &err), &err);
	return is(row, "power") ? f.power : is(row, "current") ? f.current_rms : is(row, "field") ? f.field_rms[0] : is(row, "gap_field") ? f.gap_field_rms :
	       is(row, "capacitance") ? f.load.capacitance : is(row, "power_density") ? f.power_density[0] :
	       is(row, "volume") ? f.layer_power[0] / f.power_density[0] : (double)NAN;
}

static double of_drying(const rw_row *row)
{
	rw_error err;
	double value, water = in(row, "water");
	rw_drying d = {.water_mass = water, .water_heat_capacity = in(row, "capacity"), .evaporated_mass = water, .latent_heat = in(row, "latent"),
	               .temperature_from = in(row, "from"), .temperature_to = in(row, "to")};
	if (is(row, "drying_time")) {
		CHECK_OK(rw_drying_time(&d, in(row, "power"), &value, &err), &err);
		return value;
	}
	CHECK_OK(rw_drying_heat(&d, &value, &err), &err);
	return value / in(row, "time");
}

static double of_matter(const rw_row *row)
{
	rw_error err;
	double value;
	rw_permittivity p;
	if (is(row, "density")) {
		CHECK_OK(rw_dielectric_power_density(in(row, "loss"), in(row, "field"), in(row, "frequency"), &value, &err), &err);
	} else if (is(row, "conduction")) {
		CHECK_OK(rw_dielectric_conduction(in(row, "conductivity"), in(row, "frequency"), &value, &err), &err);
	} else if (is(row, "breakdown")) {
		CHECK_OK(rw_air_breakdown(in(row, "gap"), in(row, "frequency"), &value, &err), &err);
	} else {
		CHECK_OK(rw_dielectric_debye(in(row, "static"), in(row, "infinite"), in(row, "relaxation"), in(row, "frequency"), &p, &err), &err);
		value = is(row, "debye_real") ? p.real : is(row, "debye_loss") ? p.loss : (double)NAN;
	}
	return value;
}

/* A row without inputs is a figure of the entry it names; its status is the entry's. */
static double of_entry(bench *b, const rw_row *row)
{
	rw_error err;
	rw_dielectric d;
	const rw_entry *entry;
	CHECK_OK(rw_library_entry(b->library, &b->arena, "materials", row->field[RW_ROW_CASE], &entry, &err), &err);
	CHECK_OK(rw_dielectric_read(b->units, entry->name, rw_entry_text, entry, &d, &err), &err);
	const rw_fact *fact = rw_entry_fact(entry, row->key);
	assert_non_null(fact);
	assert_string_equal(fact->status, row->field[RW_ROW_STATUS]);
	const double value[RW_DIELECTRIC_FIGURES] = {d.min.real, d.max.real, d.min.loss, d.max.loss};
	for (int i = 0; i < RW_DIELECTRIC_FIGURES; i++)
		if (is(row, rw_dielectric_key(i)))
			return value[i];
	return (double)NAN;
}

static void test_dielectric(void **state)
{
	rw_rows rows = rw_rows_open("tests/reference/work/dielectric.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		const char *inputs = row->field[RW_ROW_INPUTS];
		rw_row_check(row, !*inputs ? of_entry(*state, row) : strstr(inputs, "area=") ? of_plates(row) :
		             strstr(inputs, "water=") ? of_drying(row) : of_matter(row));
	}
}

static void test_bands(void **state)
{
	bench *b = *state;
	rw_error err;
	const rw_entry *entry;
	rw_bands bands;
	CHECK_OK(rw_library_entry(b->library, &b->arena, "tables", "ism-bands", &entry, &err), &err);
	CHECK_OK(rw_bands_read(&b->arena, b->units, rw_entry_text, entry, &bands, &err), &err);
	assert_int_equal(bands.n, 12);
	rw_rows rows = rw_rows_open("tests/reference/work/bands.csv");
	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;) {
		rw_band_place at;
		CHECK_OK(rw_band_of(&bands, in(row, "frequency"), &at, &err), &err);
		assert_true(at.inside);
		const rw_band *band = &bands.band[at.band];
		rw_row_check(row, is(row, "centre") ? band->centre : is(row, "lower") ? band->lower : is(row, "upper") ? band->upper :
		             is(row, "footnote") ? band->footnote : is(row, "region") ? band->region : (double)NAN);
	}
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {cmocka_unit_test(test_dielectric), cmocka_unit_test(test_bands)};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
