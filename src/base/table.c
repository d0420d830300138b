#include "base/table.h"

#include <math.h>
#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/units_internal.h"

/* A word of the text and where it stands. */
typedef struct word {
	const char *at;
	size_t      n;
	uint32_t    line, column, length;   /* 1-based, in characters */
} word;

typedef struct cursor {
	const char *at;
	uint32_t    line, column;
} cursor;

/* The columns in the order of the text: which of ours, and in which unit. */
typedef struct head {
	int             n;
	int             which[RW_TABLE_COLUMNS_MAX];
	const rw__unit *unit[RW_TABLE_COLUMNS_MAX];
} head;

static void hex(const struct sha256_ctx *done, char out[65])
{
	struct sha256_ctx context = *done;
	uint8_t sum[SHA256_DIGEST_SIZE];
	sha256_digest(&context, sizeof sum, sum);
	for (size_t i = 0; i < sizeof sum; i++)
		snprintf(out + 2 * i, 3, "%02x", sum[i]);
}

void rw_digest(const void *bytes, size_t n, char out[65])
{
	struct sha256_ctx context;
	sha256_init(&context);
	sha256_update(&context, n, bytes);
	hex(&context, out);
}

/* Names zero-ended, then the cells as 64-bit IEEE numbers, most significant byte first: the same on every machine. */
static void digest(rw_table *table, const rw_column *columns)
{
	struct sha256_ctx context;
	sha256_init(&context);
	for (int j = 0; j < table->n_columns; j++)
		sha256_update(&context, strlen(columns[j].name) + 1, (const uint8_t *)columns[j].name);
	for (int i = 0; i < table->n_rows * table->n_columns; i++) {
		uint64_t bits;
		uint8_t bytes[8];
		memcpy(&bits, &table->cells[i], sizeof bits);
		for (int k = 0; k < 8; k++)
			bytes[k] = (uint8_t)(bits >> (56 - 8 * k));
		sha256_update(&context, sizeof bytes, bytes);
	}
	hex(&context, table->digest);
}

static void step(cursor *c)
{
	if (*c->at == '\n') {
		c->line++;
		c->column = 0;
	}
	c->at++;
	c->column += ((unsigned char)*c->at & 0xC0) != 0x80;
}

static bool ends_word(char c) { return c == '\0' || c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '#'; }

/* Next word of this line; false at its end, which is not passed. */
static bool next_word(cursor *c, word *w)
{
	while (*c->at == ' ' || *c->at == '\t' || *c->at == '\r')
		step(c);
	if (*c->at == '#')
		while (*c->at && *c->at != '\n')
			step(c);
	*w = (word){.at = c->at, .line = c->line, .column = c->column};
	while (!ends_word(*c->at)) {
		w->length += ((unsigned char)*c->at & 0xC0) != 0x80;
		step(c);
	}
	w->n = (size_t)(c->at - w->at);
	return w->n > 0;
}

/* To the first line with a word in it; false when there is none. */
static bool next_line(cursor *c)
{
	for (;;) {
		cursor look = *c;
		word w;
		if (next_word(&look, &w))
			return true;
		*c = look;
		if (!*c->at)
			return false;
		step(c);
	}
}

static rw_status at(rw_status status, const word *w, rw_error *err)
{
	rw_error_at(err, "", w->line, w->column, w->length);
	return status;
}

/* Room for what a message shows of a word: 40 bytes. */
static int shown(const word *w)
{
	size_t n = w->n < 40 ? w->n : 40;
	while (n > 0 && n < w->n && ((unsigned char)w->at[n] & 0xC0) == 0x80)
		n--;
	return (int)n;
}

static void expect_columns(const rw_column *columns, int n_columns, rw_error *err)
{
	char list[200] = "";
	for (int j = 0; j < n_columns; j++) {
		size_t used = strlen(list);
		bool bare = strcmp(columns[j].kind->si, "1") == 0;
		snprintf(list + used, sizeof list - used, "%s%s%s%s", j ? " " : "", columns[j].name, bare ? "" : "/", bare ? "" : columns[j].kind->si);
	}
	rw_error_expected(err, "a first line such as '%s'", list);
}

static rw_status read_heading(const rw_units *units, const rw_column *columns, int n_columns, const word *w, head *h, rw_error *err)
{
	const char *slash = memchr(w->at, '/', w->n);
	size_t n = slash ? (size_t)(slash - w->at) : w->n;
	int found = -1;
	for (int j = 0; j < n_columns; j++)
		if (strlen(columns[j].name) == n && memcmp(columns[j].name, w->at, n) == 0)
			found = j;
	rw_status status = RW_OK;
	if (found < 0) {
		status = RW_RAISE(err, RW_E_SYNTAX, "", "'%.*s' is no column of this table", shown(&(word){.at = w->at, .n = n}), w->at);
		expect_columns(columns, n_columns, err);
		rw_error_hint(err, "name the columns in the first line, blanks between them");
		return at(status, w, err);
	}
	for (int i = 0; i < h->n; i++)
		if (h->which[i] == found) {
			status = RW_RAISE(err, RW_E_SYNTAX, "", "column '%s' stands twice", columns[found].name);
			rw_error_expected(err, "each column once");
			rw_error_hint(err, "take one of the two out");
			return at(status, w, err);
		}
	const char *unit = slash ? slash + 1 : "1";
	size_t unit_n = slash ? w->n - n - 1 : 1;
	if (!slash && strcmp(columns[found].kind->si, "1") != 0) {
		status = RW_RAISE(err, RW_E_UNIT, "", "column '%s' has no unit", columns[found].name);
		rw_error_expected(err, "a unit behind the name: '%s/%s'", columns[found].name, columns[found].kind->si);
		rw_error_hint(err, "the unit of a column stands in the first line only");
		return at(status, w, err);
	}
	status = rw__unit_find(units, columns[found].kind, unit, unit_n, &h->unit[h->n], err);
	if (status != RW_OK)
		return at(status, w, err);
	h->which[h->n++] = found;
	return RW_OK;
}

static rw_status read_head(const rw_units *units, const rw_column *columns, int n_columns, cursor *c, head *h, rw_error *err)
{
	*h = (head){0};
	if (!next_line(c)) {
		rw_status status = RW_RAISE(err, RW_E_SYNTAX, "", "the table is empty");
		rw_error_at(err, "", 1, 1, 1);
		expect_columns(columns, n_columns, err);
		rw_error_hint(err, "write the table on the lines below, indented");
		return status;
	}
	word w, first = {.line = c->line, .column = 1, .length = 1};
	while (next_word(c, &w))
		RW_TRY(read_heading(units, columns, n_columns, &w, h, err));
	for (int j = 0; j < n_columns; j++) {
		bool there = false;
		for (int i = 0; i < h->n; i++)
			there = there || h->which[i] == j;
		if (there)
			continue;
		rw_status status = RW_RAISE(err, RW_E_SYNTAX, "", "column '%s' is missing", columns[j].name);
		expect_columns(columns, n_columns, err);
		rw_error_hint(err, "add it; the order of the columns is free");
		return at(status, &first, err);
	}
	return RW_OK;
}

static rw_status no_number(const word *w, const char *end, rw_error *err)
{
	rw_status status = RW_RAISE(err, RW_E_VALUE, "", "'%.*s' is not a number", shown(w), w->at);
	rw_error_expected(err, "a decimal number without unit; the unit stands in the first line");
	rw_error_hint(err, *end == ',' ? "a point for decimals, blanks between columns" : "leave the whole row out when it was not measured");
	return at(status, w, err);
}

static rw_status read_cell(const rw_column *column, const rw__unit *unit, const word *w, const double *above, double *cell, rw_error *err)
{
	const char *end;
	double value = rw_text_number(w->at, &end);
	if (end != w->at + w->n)
		return no_number(w, end, err);
	double si = rw__unit_to_si(unit, value);
	if (!(si >= column->min && si <= column->max && isfinite(si))) {
		char min[32], max[32];
		rw_text_shortest(min, sizeof min, rw__unit_from_si(unit, column->min));
		rw_text_shortest(max, sizeof max, rw__unit_from_si(unit, column->max));
		rw_status status = RW_RAISE(err, RW_E_VALUE, "", "'%.*s' in column '%s' is out of bounds", shown(w), w->at, column->name);
		rw_error_expected(err, "%s to %s %s", min, max, unit->name);
		rw_error_hint(err, "check the number, and the unit in the first line");
		return at(status, w, err);
	}
	if (column->rising && above && !(si > *above)) {
		rw_status status = RW_RAISE(err, RW_E_VALUE, "", "'%.*s' in column '%s' does not rise", shown(w), w->at, column->name);
		rw_error_expected(err, "more than in the row above");
		rw_error_hint(err, "put the rows in rising order, each once");
		return at(status, w, err);
	}
	*cell = si;
	return RW_OK;
}

static rw_status read_row(const rw_column *columns, const head *h, cursor *c, bool first, double *row, rw_error *err)
{
	word w, last = {0};
	int n = 0;
	for (; next_word(c, &w); n++) {
		last = w;
		if (n == h->n)
			break;
		int j = h->which[n];
		RW_TRY(read_cell(&columns[j], h->unit[n], &w, first ? NULL : &row[j - h->n], &row[j], err));
	}
	if (n == h->n && last.at != w.at)
		return RW_OK;
	rw_status status = n < h->n ? RW_RAISE(err, RW_E_SYNTAX, "", "the row has %d of %d numbers", n, h->n)
	                            : RW_RAISE(err, RW_E_SYNTAX, "", "the row has more than %d numbers", h->n);
	rw_error_expected(err, "one number a column");
	rw_error_hint(err, n < h->n ? "leave the whole row out when a number is not known" : "blanks only between columns, none inside a number");
	return at(status, &last, err);
}

static size_t count_lines(const char *text)
{
	size_t n = 1;
	for (const char *p = text; *p; p++)
		n += *p == '\n';
	return n;
}

static rw_status read_rows(const rw_column *columns, const head *h, int min_rows, cursor *c, double *cells, int *n_rows, rw_error *err)
{
	int n = 0;
	for (; next_line(c); n++)
		RW_TRY(read_row(columns, h, c, n == 0, cells + (size_t)n * (size_t)h->n, err));
	if (n < min_rows) {
		rw_status status = RW_RAISE(err, RW_E_VALUE, "", "the table has %d row%s", n, n == 1 ? "" : "s");
		rw_error_expected(err, "at least %d", min_rows);
		rw_error_hint(err, "add rows: nothing is read beyond the first and the last");
		rw_error_at(err, "", c->line, 1, 1);
		return status;
	}
	*n_rows = n;
	return RW_OK;
}

rw_status rw_table_read(rw_arena *arena, const rw_units *units, const rw_column *columns, int n_columns, int min_rows, const char *text,
                        rw_table *out, rw_error *err)
{
	if (n_columns < 1 || n_columns > RW_TABLE_COLUMNS_MAX)
		RW_BUG(err, "a table of no or too many columns");
	cursor c = {text, 1, 1};
	head h;
	RW_TRY(read_head(units, columns, n_columns, &c, &h, err));
	rw_arena_mark mark = rw_arena_here(arena);
	double *cells = RW_ARENA_NEW(arena, double, count_lines(text) * (size_t)n_columns);
	if (!cells)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out for a table");
	rw_table table = {.n_columns = n_columns, .cells = cells};
	rw_status status = read_rows(columns, &h, min_rows, &c, cells, &table.n_rows, err);
	if (status != RW_OK) {
		rw_arena_rewind(arena, mark);
		return status;
	}
	digest(&table, columns);
	*out = table;
	return RW_OK;
}

double rw_table_cell(const rw_table *table, int row, int column) { return table->cells[row * table->n_columns + column]; }

/* The row below x, at most the last but one. */
static int row_below(const rw_table *table, int column, double x)
{
	int low = 0, high = table->n_rows - 1;
	while (high - low > 1) {
		int middle = low + (high - low) / 2;
		if (rw_table_cell(table, middle, column) <= x)
			low = middle;
		else
			high = middle;
	}
	return low;
}

/* One interval of the curve: y = y0 + d (c + d (b + d a)), d = x - x0. */
typedef struct piece {
	double d, step, y0, y1, a, b, c;
} piece;

static double secant(const rw_table *t, int xc, int yc, int row)
{
	return (rw_table_cell(t, row + 1, yc) - rw_table_cell(t, row, yc)) / (rw_table_cell(t, row + 1, xc) - rw_table_cell(t, row, xc));
}

/* Steffen, A simple method for monotonic interpolation in one dimension, Astron. Astrophys. 239, 1990, eq. 11; at the ends the secant,
 * as the numeric library has it. */
static double slope_at_row(const rw_table *t, int xc, int yc, int row)
{
	if (row == 0 || row == t->n_rows - 1)
		return secant(t, xc, yc, row == 0 ? 0 : row - 1);
	double before = secant(t, xc, yc, row - 1), behind = secant(t, xc, yc, row);
	double x = rw_table_cell(t, row, xc);
	double h_before = x - rw_table_cell(t, row - 1, xc), h_behind = rw_table_cell(t, row + 1, xc) - x;
	double middle = (before * h_behind + behind * h_before) / (h_before + h_behind);
	double least = fmin(fmin(fabs(before), fabs(behind)), 0.5 * fabs(middle));
	return before * behind > 0.0 ? copysign(2.0 * least, before) : 0.0;
}

static rw_status find_piece(const rw_table *t, int xc, int yc, double x, piece *p, rw_error *err)
{
	if (t->n_rows < 1 || xc < 0 || xc >= t->n_columns || yc < 0 || yc >= t->n_columns)
		RW_BUG(err, "a table without that column or without rows");
	double least = rw_table_cell(t, 0, xc), most = rw_table_cell(t, t->n_rows - 1, xc);
	if (!(x >= least && x <= most)) {
		char is[32], from[32], to[32];
		rw_text_shortest(is, sizeof is, x);
		rw_text_shortest(from, sizeof from, least);
		rw_text_shortest(to, sizeof to, most);
		rw_status status = RW_RAISE(err, RW_E_RANGE, "", "%s is outside the table", is);
		rw_error_expected(err, "%s to %s", from, to);
		return status;
	}
	if (t->n_rows == 1) {
		*p = (piece){.y0 = rw_table_cell(t, 0, yc), .y1 = rw_table_cell(t, 0, yc)};
		return RW_OK;
	}
	int row = row_below(t, xc, x);
	double x0 = rw_table_cell(t, row, xc), h = rw_table_cell(t, row + 1, xc) - x0;
	double s = secant(t, xc, yc, row), c = slope_at_row(t, xc, yc, row), e = slope_at_row(t, xc, yc, row + 1);
	*p = (piece){.d = x - x0, .step = h, .y0 = rw_table_cell(t, row, yc), .y1 = rw_table_cell(t, row + 1, yc),
	             .a = (c + e - 2.0 * s) / (h * h), .b = (3.0 * s - 2.0 * c - e) / h, .c = c};
	return RW_OK;
}

rw_status rw_table_at(const rw_table *table, int x_column, int y_column, double x, double *y, rw_error *err)
{
	piece p;
	RW_TRY(find_piece(table, x_column, y_column, x, &p, err));
	double value = p.d == p.step ? p.y1 : p.y0 + p.d * (p.c + p.d * (p.b + p.d * p.a));
	*y = fmin(fmax(value, fmin(p.y0, p.y1)), fmax(p.y0, p.y1));   /* rounding must not overshoot either */
	return RW_OK;
}

rw_status rw_table_slope(const rw_table *table, int x_column, int y_column, double x, double *dydx, rw_error *err)
{
	piece p;
	RW_TRY(find_piece(table, x_column, y_column, x, &p, err));
	*dydx = p.c + p.d * (2.0 * p.b + 3.0 * p.d * p.a);
	return RW_OK;
}
