/* Reference rows: published or derived values in a CSV file, one a row, read by a reference test.
 * Columns: case,inputs,key,expected,unit,tol,why,where,status. A field may stand in double quotes ("" for one inside). Blank lines and
 * lines that start with # are skipped. inputs: name=value pairs with ';' or blanks between, SI without units. tol is relative to |expected|.
 * status: read, derived or memory. A malformed row, a row nobody checked and a file without rows fail the test.
 *	rw_rows rows = rw_rows_open("tests/reference/ROOM/NAME.csv");
 *	for (rw_row *row; (row = rw_rows_next(&rows)) != NULL;)      // prints the counts after the last
 *		rw_row_check(row, computed(rw_row_input(row, "l"), rw_row_input(row, "c"))); */
#ifndef RW_TESTS_ROWS_H
#define RW_TESTS_ROWS_H

#include <string.h>
#include "base/text.h"
#include "check.h"

enum { RW_ROW_CASE, RW_ROW_INPUTS, RW_ROW_KEY, RW_ROW_EXPECTED, RW_ROW_UNIT, RW_ROW_TOL, RW_ROW_WHY, RW_ROW_WHERE, RW_ROW_STATUS, RW_ROW_FIELDS };

typedef struct rw_row {
	char       *field[RW_ROW_FIELDS];   /* texts, until the next row */
	const char *key, *path;             /* key: as field[RW_ROW_KEY] */
	double      expected, tol;          /* in unit, NAN where the text is no number; 1 */
	bool        checked;                /* by rw_row_check, or set by a test that checks otherwise */
	int         line;
	char        text[4096];
} rw_row;

typedef struct rw_rows { FILE *file; int count[3]; rw_row row; } rw_rows;   /* count: read, derived, memory */

_Noreturn static inline void rw_row_bad(const rw_row *row, const char *what, const char *text)
{
	print_error("%s:%d: %s '%s'\n", row->path, row->line, what, text);
	_fail(row->path, row->line);
	__builtin_trap();
}

static inline rw_rows rw_rows_open(const char *path)
{
	rw_rows rows = {.file = fopen(path, "r"), .row = {.path = path, .checked = true}};
	if (rows.file)
		return rows;
	rw_row_bad(&rows.row, "not found from the source root:", path);
}

/* Splits the line in place; returns how many fields it has, -1 when quotes do not match. */
static inline int rw_row_split(char *at, char *field[RW_ROW_FIELDS])
{
	for (int n = 0;; at++) {
		bool quoted = *at == '"';
		char *end = at += quoted;
		if (n < RW_ROW_FIELDS)
			field[n] = at;
		for (; *at && (quoted ? *at != '"' || at[1] == '"' : *at != ','); *end++ = *at++)
			at += quoted && *at == '"';
		if ((quoted && *at++ != '"') || (*at && *at != ','))
			return -1;
		bool last = !*at;
		*end = 0, n++;
		if (last)
			return n;
	}
}

static inline double rw_row_number(const char *text, size_t n)
{
	const char *end = text;
	double x = rw_text_number(text, &end);
	return n > 0 && end == text + n ? x : (double)NAN;
}

/* The next row, or NULL after the last. */
static inline rw_row *rw_rows_next(rw_rows *rows)
{
	rw_row *row = &rows->row;
	char **f = row->field;
	if (!row->checked)
		rw_row_bad(row, "no check for the key", row->key);
	do {
		if (!fgets(row->text, sizeof row->text, rows->file)) {
			fclose(rows->file);
			print_message("%s: %d read, %d derived, %d memory\n", row->path, rows->count[0], rows->count[1], rows->count[2]);
			if (row->key)
				return NULL;
			rw_row_bad(row, "no rows in", row->path);
		}
		row->line++;
		row->text[strcspn(row->text, "\r\n")] = 0;
	} while (!*row->text || *row->text == '#' || !strncmp(row->text, "case,inputs,key,", 16));
	if (strlen(row->text) + 2 >= sizeof row->text || rw_row_split(row->text, f) != RW_ROW_FIELDS)
		rw_row_bad(row, "not 9 fields, quotes that do not match or too long, from", row->text);
	row->key = f[RW_ROW_KEY];
	row->expected = rw_row_number(f[RW_ROW_EXPECTED], strlen(f[RW_ROW_EXPECTED]));
	row->tol = rw_row_number(f[RW_ROW_TOL], strlen(f[RW_ROW_TOL]));
	int kind = !strcmp(f[RW_ROW_STATUS], "read") ? 0 : !strcmp(f[RW_ROW_STATUS], "derived") ? 1 : !strcmp(f[RW_ROW_STATUS], "memory") ? 2 : -1;
	if (kind < 0 || !(row->tol >= 0.0 && row->tol < 1.0) || !*f[RW_ROW_WHY] || !*f[RW_ROW_WHERE])
		rw_row_bad(row, "status, tol, why or where is missing or not accepted in the row of", f[RW_ROW_CASE]);
	rows->count[kind]++;
	row->checked = false;
	return row;
}

/* The number given for name among the inputs; fails the test when it is missing or no number. */
static inline double rw_row_input(const rw_row *row, const char *name)
{
	double x = (double)NAN;
	size_t n = strlen(name);
	for (const char *at = row->field[RW_ROW_INPUTS]; *(at += strspn(at, "; ")); at += strcspn(at, "; "))
		if (!strncmp(at, name, n) && at[n] == '=')
			x = rw_row_number(at + n + 1, strcspn(at + n + 1, "; "));
	if (isnan(x))
		rw_row_bad(row, "no number among the inputs for", name);
	return x;
}

static inline void rw_row_check(rw_row *row, double got)
{
	row->checked = true;
	rw_check_near(got, row->expected, row->tol, row->expected, row->key, row->field[RW_ROW_WHERE], row->path, row->line);
}

#endif
