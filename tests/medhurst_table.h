/* Medhurst's table for tests, from data/tables/medhurst.yaml through the library. From the source root. */
#ifndef RW_TESTS_MEDHURST_TABLE_H
#define RW_TESTS_MEDHURST_TABLE_H

#include "coil/conductor.h"
#include "library/library.h"
#include "tests/check.h"

static inline void rw_medhurst_table(rw_arena *arena, rw_medhurst *out)
{
	rw_error err;
	rw_library *library;
	const rw_entry *entry;
	CHECK_OK(rw_library_open(arena, "data", &library, &err), &err);
	CHECK_OK(rw_library_entry(library, arena, "tables", "medhurst", &entry, &err), &err);
	const rw_fact *short_coils = rw_entry_fact(entry, "resistance_ratio_short"), *long_coils = rw_entry_fact(entry, "resistance_ratio_long");
	assert_true(short_coils && long_coils);
	rw_units *units;
	CHECK_OK(rw_units_new(&units, &err), &err);
	CHECK_OK(rw_table_read(arena, units, rw_medhurst_short_columns, RW_MEDHURST_COLUMNS, 2, short_coils->value, &out->short_coils, &err), &err);
	CHECK_OK(rw_table_read(arena, units, rw_medhurst_long_columns, RW_MEDHURST_COLUMNS, 2, long_coils->value, &out->long_coils, &err), &err);
	rw_units_free(units);
}

#endif
