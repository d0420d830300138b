/* Tungsten's properties for tests, from data/tables/tungsten.yaml through the library. From the source root. */
#ifndef RW_TESTS_TUNGSTEN_TABLE_H
#define RW_TESTS_TUNGSTEN_TABLE_H

#include "filament/wire.h"
#include "library/library.h"
#include "tests/check.h"

static inline void rw_tungsten_table(rw_arena *arena, rw_tungsten *out)
{
	rw_error err;
	rw_library *library;
	const rw_entry *entry;
	CHECK_OK(rw_library_open(arena, "data", &library, &err), &err);
	CHECK_OK(rw_library_entry(library, arena, "tables", "tungsten", &entry, &err), &err);
	const rw_fact *properties = rw_entry_fact(entry, "properties"), *heat = rw_entry_fact(entry, "heat_capacity"),
	              *density = rw_entry_fact(entry, "density");
	assert_true(properties && heat && density);
	rw_units *units;
	CHECK_OK(rw_units_new(&units, &err), &err);
	CHECK_OK(rw_table_read(arena, units, rw_tungsten_columns, RW_TUNGSTEN_COLUMNS, 2, properties->value, &out->properties, &err), &err);
	CHECK_OK(rw_table_read(arena, units, rw_tungsten_heat_columns, RW_TUNGSTEN_HEAT_COLUMNS, 2, heat->value, &out->heat, &err), &err);
	CHECK_OK(rw_units_read(units, &rw_kind_density, density->value, &out->density, &err), &err);
	rw_units_free(units);
}

#endif
