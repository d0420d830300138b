/* What the reference programs of the valve share: the swing a row states, and a figure by name. */
#ifndef RW_TESTS_REFERENCE_CLASS_C_ROW_H
#define RW_TESTS_REFERENCE_CLASS_C_ROW_H

#include "tests/reference/rows.h"
#include "valve/valve.h"

typedef struct named { const char *key; double value; } named;

static inline rw_swing class_c_swing(rw_row *row)
{
	return (rw_swing){rw_row_input(row, "anode_voltage"), rw_row_input(row, "anode_swing"), rw_row_input(row, "grid_bias"), rw_row_input(row, "grid_swing")};
}

static inline double value_named(const named *figures, size_t n, const char *key)
{
	for (size_t i = 0; i < n; i++)
		if (strcmp(figures[i].key, key) == 0)
			return figures[i].value;
	return (double)NAN;
}

#endif
