/* The library: every entry of the data folder loads with known sources, its figures read by the valve's table; what an entry must not
 * be is refused at its place. */
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/base.h"
#include "base/table.h"
#include "tests/library_bench.h"
#include "valve/valve.h"

static double number(bench *b, const rw_entry *entry, const char *key, const rw_kind *kind)
{
	double si = (double)NAN;
	rw_error err;
	const rw_fact *fact = rw_entry_fact(entry, key);
	if (!fact)
		return si;
	CHECK_OK(rw_units_read(b->units, kind, fact->value, &si, &err), &err);
	return si;
}

static void test_every_entry(void **state)
{
	bench *b = *state;
	static const char *const shelves[] = {"valves", "materials", "tables"};
	for (int s = 0; s < 3; s++) {
		assert_true(rw_library_count(b->library, shelves[s]) > 0);
		for (int i = 0; i < rw_library_count(b->library, shelves[s]); i++) {
			const rw_entry *entry;
			rw_error err;
			CHECK_OK(rw_library_entry(b->library, &b->arena, shelves[s], rw_library_name(b->library, shelves[s], i), &entry, &err), &err);
			assert_string_equal(entry->name, rw_library_name(b->library, shelves[s], i));
			assert_true(entry->n_facts > 0 && strlen(entry->digest) == 64);
			for (int f = 0; f < entry->n_facts; f++) {
				const rw_fact *fact = &entry->facts[f];
				assert_non_null(rw_library_source(b->library, fact->source));
				assert_true(fact->at.line > 0 && fact->at.end <= entry->tree->n);
				assert_int_equal(fact->unverified, strcmp(fact->status, "memory") == 0 || strcmp(fact->status, "invented") == 0);
			}
			if (i > 0)
				assert_true(strcmp(rw_library_name(b->library, shelves[s], i - 1), entry->name) < 0);
		}
	}
}

/* Each figure of a valve entry is a member of the valve's input or one of the filament's, reads by its kind and stands within its span;
 * what is not optional is there. */
static void test_valves_fill_the_table(void **state)
{
	bench *b = *state;
	for (int i = 0; i < rw_library_count(b->library, "valves"); i++) {
		const rw_entry *entry;
		rw_error err;
		CHECK_OK(rw_library_entry(b->library, &b->arena, "valves", rw_library_name(b->library, "valves", i), &entry, &err), &err);
		int known = 0;
		for (int k = 0; k < rw_valve_room.n_items; k++) {
			const rw_item *item = &rw_valve_room.items[k];
			const rw_fact *fact = rw_entry_fact(entry, item->key);
			bool library = item->input->rule && strcmp(item->input->rule, "library") == 0;
			if (!fact) {
				if (library && !item->input->optional)
					fail_msg("%s has no %s", entry->name, item->key);
				continue;
			}
			known++;
			assert_true(library);
			if (item->type == RW_CHOICE) {
				int c = 0;
				while (item->input->choices[c] && strcmp(item->input->choices[c], fact->value) != 0)
					c++;
				assert_non_null(item->input->choices[c]);
				continue;
			}
			double si = number(b, entry, item->key, item->kind);
			assert_true(item->input->min_open ? si > item->input->min : si >= item->input->min);
			assert_true(si <= item->input->max);
		}
		static const struct { const char *key; const rw_kind *kind; } filament[] = {
			{"filament_voltage", &rw_kind_voltage_rms}, {"filament_current", &rw_kind_current_rms},
			{"filament_start_limit", &rw_kind_current_rms}, {"filament_cold_ratio", &rw_kind_number},
		};
		for (size_t k = 0; k < sizeof filament / sizeof *filament; k++) {
			known += rw_entry_fact(entry, filament[k].key) != NULL;
			assert_false(number(b, entry, filament[k].key, filament[k].kind) <= 0.0);
		}
		known += rw_entry_fact(entry, "filament_start_measure") != NULL;
		known += rw_entry_fact(entry, "operation") != NULL;
		assert_int_equal(known, entry->n_facts);
	}
}

/* Perveance and division of the entries are what the fit gives for the rows that stand in the same file. */
static void test_entries_are_fitted(void **state)
{
	bench *b = *state;
	static const rw_column columns[] = {
		{"anode_voltage", &rw_kind_voltage_dc, false, 0.0, 1e5}, {"grid_bias", &rw_kind_voltage_dc, false, -1e5, 0.0},
		{"anode_current", &rw_kind_current_dc, false, 0.0, 1e3}, {"grid_current", &rw_kind_current_dc, false, 0.0, 1e3},
		{"drive", &rw_kind_power, false, 0.0, 1e5},              {"output", &rw_kind_power, false, 0.0, 1e7},
	};
	int fitted = 0;
	for (int i = 0; i < rw_library_count(b->library, "valves"); i++) {
		const rw_entry *entry;
		rw_error err;
		CHECK_OK(rw_library_entry(b->library, &b->arena, "valves", rw_library_name(b->library, "valves", i), &entry, &err), &err);
		const rw_fact *fact = rw_entry_fact(entry, "operation");
		if (!fact)
			continue;
		rw_table table;
		CHECK_OK(rw_table_read(&b->arena, b->units, columns, 6, 1, fact->value, &table, &err), &err);
		rw_operation rows[16];
		rw_valve_fit fit = {0};
		for (int r = 0; r < table.n_rows; r++) {
			rows[r] = (rw_operation){rw_table_cell(&table, r, 0), rw_table_cell(&table, r, 1), rw_table_cell(&table, r, 2),
			                         rw_table_cell(&table, r, 3), rw_table_cell(&table, r, 4), rw_table_cell(&table, r, 5)};
			fit.used[r] = true;
		}
		CHECK_OK(rw_valve_fit_rows(number(b, entry, "mu", &rw_kind_number), rows, table.n_rows, &fit, &err), &err);
		CHECK_NEAR(number(b, entry, "perveance", &rw_kind_perveance), fit.perveance, 5e-4, entry->name);
		CHECK_NEAR(number(b, entry, "division", &rw_kind_number), fit.division, 5e-4, entry->name);
		fitted++;
	}
	assert_int_equal(fitted, 7);
}

static void test_unknown(void **state)
{
	bench *b = *state;
	const rw_entry *entry = NULL;
	rw_error err;
	assert_int_equal(rw_library_entry(b->library, &b->arena, "valves", "833A", &entry, &err), RW_E_KEY);
	assert_string_equal(err.hint, "did you mean '833-A'?");
	assert_int_equal(rw_library_entry(b->library, &b->arena, "valves", "../sources/sources", &entry, &err), RW_E_KEY);
	assert_int_equal(rw_library_entry(b->library, &b->arena, "coils", "833-A", &entry, &err), RW_E_KEY);
	assert_null(entry);
	assert_int_equal(rw_library_count(b->library, "coils"), 0);
	assert_null(rw_library_name(b->library, "valves", -1));
	assert_null(rw_library_name(b->library, "valves", rw_library_count(b->library, "valves")));
	assert_null(rw_library_source(b->library, "nobody"));
	assert_string_equal(rw_library_dir(b->library), "data");
	rw_library *library = NULL;
	assert_int_equal(rw_library_open(&b->arena, "no-such-folder", &library, &err), RW_E_IO);
	assert_null(library);
}

#define HEAD  "format: 1\nname: x1\ntitle: An invented valve\n"
#define BLOCK HEAD "ratings:\n  source: s\n  status: memory\n"

static void test_good_entry(void **state)
{
	bench *b = *state;
	rw_entry entry;
	rw_error err;
	static const char text[] = BLOCK "  conditions: at night\n  mu: 21.7\n  perveance:\n    value: 1.613 mA/V^1.5\n    source: t\n    status: derived\n"
	                           "curves:\n  points:\n    value: |\n      a b\n      1 2\n    source: u\n    status: read\n    conditions: warm\n";
	CHECK_OK(rw_entry_read(&b->arena, "x1.yaml", text, sizeof text - 1, &entry, &err), &err);
	assert_string_equal(entry.name, "x1");
	assert_string_equal(entry.title, "An invented valve");
	assert_int_equal(entry.n_facts, 3);
	const rw_fact *mu = rw_entry_fact(&entry, "mu"), *perveance = rw_entry_fact(&entry, "perveance"), *points = rw_entry_fact(&entry, "points");
	assert_string_equal(mu->value, "21.7");
	assert_string_equal(mu->block, "ratings");
	assert_string_equal(mu->conditions, "at night");
	assert_true(mu->unverified && mu->at.line == 8 && mu->at.column == 7);
	assert_string_equal(perveance->source, "t");
	assert_string_equal(perveance->conditions, "at night");
	assert_false(perveance->unverified);
	assert_string_equal(points->value, "a b\n1 2\n");
	assert_string_equal(points->conditions, "warm");
	assert_null(rw_entry_fact(&entry, "source"));
}

static void test_bad_entries(void **state)
{
	bench *b = *state;
	static const struct { const char *text; rw_status status; unsigned line; const char *key; } bad[] = {
		{"name: x1\ntitle: t\n", RW_E_MISSING, 1, ""},
		{"format: 2\nname: x1\ntitle: t\n", RW_E_VALUE, 1, "format"},
		{"format: 1\ntitle: t\n", RW_E_MISSING, 1, ""},
		{"format: 1\nname: x1\n", RW_E_MISSING, 1, ""},
		{"format: 1\nname:\n  a: b\ntitle: t\n", RW_E_VALUE, 2, "name"},
		{HEAD "mu: 21.7\n", RW_E_VALUE, 4, "mu"},
		{HEAD "ratings:\n  status: memory\n  mu: 21.7\n", RW_E_MISSING, 6, "ratings.mu"},
		{HEAD "ratings:\n  source: s\n  mu: 21.7\n", RW_E_MISSING, 6, "ratings.mu"},
		{HEAD "ratings:\n  source: s\n  status: rumour\n  mu: 21.7\n", RW_E_VALUE, 6, "ratings.status"},
		{BLOCK "  mu:\n", RW_E_VALUE, 7, "ratings.mu"},
		{BLOCK "  mu:\n    status: read\n", RW_E_MISSING, 7, "ratings.mu"},
		{BLOCK "  mu:\n    value: 21.7\n    unit: V\n", RW_E_KEY, 9, "ratings.mu.unit"},
		{BLOCK "  mu:\n    value:\n      a: b\n", RW_E_VALUE, 8, "ratings.mu.value"},
		{BLOCK "  Mu: 21.7\n", RW_E_KEY, 7, "ratings.Mu"},
		{BLOCK "  mu: 21.7\nlaw:\n  source: s\n  status: read\n  mu: 21.8\n", RW_E_KEY, 11, "law.mu"},
		{BLOCK "  mu: 21.7\n  mu: 21.8\n", RW_E_KEY, 8, "ratings.mu"},
		{"format: 1\nname: [x1\n", RW_E_SYNTAX, 3, NULL},
	};
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		rw_entry entry = {.n_facts = -7};
		rw_error err;
		rw_status status = rw_entry_read(&b->arena, "x1.yaml", bad[i].text, strlen(bad[i].text), &entry, &err);
		if (status != bad[i].status || (bad[i].key && (err.line != bad[i].line || strcmp(err.key, bad[i].key) != 0)) || entry.n_facts != -7)
			fail_msg("%zu: status %d, line %u, key '%s': %s", i, (int)status, err.line, err.key, err.what);
		assert_string_equal(err.file, "x1.yaml");
	}
}

static void write_file(const char *path, const char *text)
{
	FILE *file = fopen(path, "w");
	assert_non_null(file);
	assert_true(fputs(text, file) >= 0 && fclose(file) == 0);
}

/* What needs a folder: a source that is not listed, a name that is not the file's, a list of sources with faults. */
static void test_bad_folder(void **state)
{
	bench *b = *state;
	char dir[] = "/tmp/rw-library-XXXXXX", path[96];
	static const char *const folders[] = {"sources", "valves", "materials", "tables"};
	static const struct { const char *path, *text; } files[] = {
		{"sources/sources.yaml", "format: 1\nsources:\n  s:\n    text: somebody's notes\n    status: memory\n"},
		{"valves/x1.yaml", BLOCK "  mu: 21.7\n"}, {"valves/x2.yaml", BLOCK "  mu: 21.7\n"},
		{"valves/x3.yaml", "format: 1\nname: x3\ntitle: t\nratings:\n  source: s\n  status: read\n  mu:\n    value: 3\n    source: nobody\n"},
		{"valves/.x4.yaml", "no entry"}, {"valves/x5.yaml~", "no entry"}, {"valves/x 6.yaml", "no entry"},
	};
	assert_non_null(mkdtemp(dir));
	for (int i = 0; i < 4; i++) {
		snprintf(path, sizeof path, "%s/%s", dir, folders[i]);
		assert_int_equal(mkdir(path, 0700), 0);
	}
	for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
		snprintf(path, sizeof path, "%s/%s", dir, files[i].path);
		write_file(path, files[i].text);
	}
	rw_library *library;
	const rw_entry *entry;
	rw_error err;
	CHECK_OK(rw_library_open(&b->arena, dir, &library, &err), &err);
	assert_int_equal(rw_library_count(library, "valves"), 3);
	CHECK_OK(rw_library_entry(library, &b->arena, "valves", "x1", &entry, &err), &err);
	assert_int_equal(rw_library_entry(library, &b->arena, "valves", "x2", &entry, &err), RW_E_VALUE);
	assert_true(err.line == 2);
	assert_int_equal(rw_library_entry(library, &b->arena, "valves", "x3", &entry, &err), RW_E_KEY);
	assert_true(err.line == 9);
	assert_string_equal(err.key, "ratings.mu.source");
	static const char *const lists[] = {"format: 1\n", "format: 1\nsources: s\n", "format: 1\nsources:\n  s: t\n", "format: 1\nsources:\n  s:\n    text: t\n",
	                                    "format: 1\nsources:\n  s:\n    text: t\n    status: hearsay\n", "sources:\n  s:\n    text: t\n    status: read\n"};
	for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
		snprintf(path, sizeof path, "%s/sources/sources.yaml", dir);
		write_file(path, lists[i]);
		rw_library *other = NULL;
		assert_int_not_equal(rw_library_open(&b->arena, dir, &other, &err), RW_OK);
		assert_true(other == NULL && err.line > 0);
	}
	for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
		snprintf(path, sizeof path, "%s/%s", dir, files[i].path);
		unlink(path);
	}
	for (int i = 0; i < 4; i++) {
		snprintf(path, sizeof path, "%s/%s", dir, folders[i]);
		rmdir(path);
	}
	assert_int_equal(rmdir(dir), 0);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
		cmocka_unit_test(test_every_entry), cmocka_unit_test(test_valves_fill_the_table), cmocka_unit_test(test_entries_are_fitted),
		cmocka_unit_test(test_unknown),     cmocka_unit_test(test_good_entry),            cmocka_unit_test(test_bad_entries),
		cmocka_unit_test(test_bad_folder),
	};
	return cmocka_run_group_tests(tests, set_up, tear_down);
}
