/* Tables of numbers and monotone curves through them. A table is immutable once made; its digest names its content. */
#ifndef RW_BASE_TABLE_H
#define RW_BASE_TABLE_H

#include "base/arena.h"
#include "base/units.h"

enum { RW_TABLE_COLUMNS_MAX = 8 };

typedef struct rw_column {
	const char    *name;   /* "frequency" */
	const rw_kind *kind;
	bool           rising; /* strictly increasing down the table */
	double         min, max; /* accepted, SI; min_open as in rw_input is not needed: the bounds are inclusive */
} rw_column;

typedef struct rw_table {
	int           n_rows, n_columns;
	const double *cells;          /* [n_rows x n_columns], row by row, SI */
	char          digest[65];     /* SHA-256 of the SI cells and column names, hexadecimal */
} rw_table;

/* Text of a block scalar: first line "frequency/kHz resistance/mohm ...", in any order, all columns, then rows of numbers.
 * '#' starts a comment. On error line and column in *err count from the first line of the text (1-based).
 * in   columns [n_columns]   errs RW_E_SYNTAX, RW_E_UNIT, RW_E_VALUE */
RW_MUST_USE rw_status rw_table_read(rw_arena *arena, const rw_units *units, const rw_column *columns, int n_columns, int min_rows,
                                    const char *text, rw_table *out, rw_error *err);

/* Column y over column x by a monotone interpolant (Steffen: no overshoot, C1; straight with 2 rows). x must be a rising column.
 * errs RW_E_RANGE outside the rows, naming the span (numbers in SI; the caller says the units)
 * cost O(log rows); no allocation; may run in parallel */
RW_MUST_USE rw_status rw_table_at(const rw_table *table, int x_column, int y_column, double x, double *y, rw_error *err);
RW_MUST_USE rw_status rw_table_slope(const rw_table *table, int x_column, int y_column, double x, double *dydx, rw_error *err);
double rw_table_cell(const rw_table *table, int row, int column);

/* SHA-256 of bytes as 64 hexadecimal digits and a zero. */
void rw_digest(const void *bytes, size_t n, char out[65]);

#endif
