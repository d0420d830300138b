/* The properties of water for tests: the block of data/tables/water.yaml, read by the table reader alone. From the source root. */
#ifndef RW_TESTS_WATER_TABLE_H
#define RW_TESTS_WATER_TABLE_H

#include <stdio.h>
#include <string.h>

#include "tests/check.h"
#include "water/water.h"

static inline void rw_water_table(rw_arena *arena, rw_table *out)
{
	rw_error err;
	char text[8192];
	FILE *file = fopen("data/tables/water.yaml", "r");
	if (!file)
		fail_msg("data/tables/water.yaml cannot be opened: tests run from the source root");
	size_t n = fread(text, 1, sizeof text - 1, file);
	fclose(file);
	text[n] = '\0';
	char *block = strstr(text, "properties: |\n");
	if (!block)
		fail_msg("data/tables/water.yaml has no literal block 'properties'");
	rw_units *units;
	CHECK_OK(rw_units_new(&units, &err), &err);
	CHECK_OK(rw_table_read(arena, units, rw_water_columns, 4, 2, strchr(block, '\n') + 1, out, &err), &err);
	rw_units_free(units);
}

#endif
