#include "cli/choice_table.h"

#include <jansson.h>
#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

void rw_choice_note(rw_choice_table *t, const char *format, ...)
{
	if (t->n_notes == RW_CHOICE_NOTES_MAX)
		return;
	va_list args;
	va_start(args, format);
	vsnprintf(t->note[t->n_notes++], RW_CHOICE_LINE_BYTES, format, args);
	va_end(args);
}

rw_choice_figure rw_choice_show(const rw_units *units, const rw_kind *kind, double si, int digits)
{
	rw_choice_figure f;
	rw_units_print(units, kind, si, digits, f.text, sizeof f.text);
	return f;
}

/* Above 1000 degC whole degrees still, as limits have them. */
static int digits_of(const rw_choice_column *column, double si)
{
	return column->digits + (column->kind == &rw_kind_temperature && si >= 1273.15);
}

static void put_grid(const rw_units *units, const rw_choice_table *t)
{
	char heading[RW_CHOICE_COLUMNS_MAX + 1][64], cell[RW_CHOICE_COLUMNS_MAX + 1][80];
	const char *headings[RW_CHOICE_COLUMNS_MAX + 1], *cells[RW_CHOICE_COLUMNS_MAX + 1];
	for (int c = 0; c < t->n_columns; c++) {
		snprintf(heading[c], sizeof heading[c], ">%s%s", t->columns[c].heading, c == 0 && t->own >= 0 ? "  " : "");
		headings[c] = heading[c];
		cells[c] = cell[c];
	}
	headings[t->n_columns] = "Verdict";
	rw_grid *grid = rw_grid_new(headings, t->n_columns + 1);
	for (int i = 0; i < t->n_rows; i++) {
		for (int c = 0; c < t->n_columns; c++) {
			const char *mark = c > 0 || t->own < 0 ? "" : i == t->own ? " *" : "  ";
			double si = t->value[i][c];
			snprintf(cell[c], sizeof cell[c], "%s%s", rw_choice_show(units, t->columns[c].kind, si, digits_of(&t->columns[c], si)).text, mark);
		}
		cells[t->n_columns] = t->verdict[i];
		rw_grid_row(grid, cells);
	}
	rw_grid_print(grid);
}

static void put_text(const rw_cli *cli, const rw_units *units, const rw_choice_table *t)
{
	printf("%s%s%s\n\n", cli->color_out ? "\033[1m" : "", t->title, cli->color_out ? "\033[0m" : "");
	put_grid(units, t);
	if (t->own >= 0)
		printf("* as in the file\n");
	if (t->has_range) {
		char low[64];
		snprintf(low, sizeof low, "%s", rw_choice_show(units, &rw_kind_frequency, t->end[RW_CHOICE_LOWER], 2).text);
		if (t->range_empty)
			printf("\nRange: no frequency keeps both ends\n");
		else
			printf("\nRange: %s to %s\n", low, rw_choice_show(units, &rw_kind_frequency, t->end[RW_CHOICE_UPPER], 2).text);
		printf("Lower end, %s: %s\n", low, t->end_text[RW_CHOICE_LOWER]);
		printf("Upper end, %s: %s\n", rw_choice_show(units, &rw_kind_frequency, t->end[RW_CHOICE_UPPER], 2).text, t->end_text[RW_CHOICE_UPPER]);
	}
	if (t->n_notes)
		putchar('\n');
	for (int i = 0; i < t->n_notes; i++)
		printf("- %s\n", t->note[i]);
}

static void put_csv(const rw_choice_table *t)
{
	printf("job");
	for (int c = 0; c < t->n_columns; c++)
		printf(",%s", t->columns[c].name);
	printf(",of_file,verdict\n");
	for (int i = 0; i < t->n_rows; i++) {
		printf("%s", t->job);
		for (int c = 0; c < t->n_columns; c++) {
			char value[64] = "";
			if (isfinite(t->value[i][c]))
				rw_text_shortest(value, sizeof value, t->value[i][c]);
			printf(",%s", value);
		}
		printf(",%d,\"%s\"\n", i == t->own, t->verdict[i]);
	}
}

static json_t *number(double x) { return isfinite(x) ? json_real(x) : json_null(); }

static json_t *rows_json(const rw_choice_table *t)
{
	json_t *rows = json_array();
	for (int i = 0; i < t->n_rows; i++) {
		json_t *row = json_object();
		for (int c = 0; c < t->n_columns; c++)
			json_object_set_new(row, t->columns[c].name, number(t->value[i][c]));
		json_object_set_new(row, "of_file", json_boolean(i == t->own));
		json_object_set_new(row, "verdict", json_string(t->verdict[i]));
		json_array_append_new(rows, row);
	}
	return rows;
}

static json_t *range_json(const rw_choice_table *t)
{
	if (!t->has_range)
		return json_null();
	return json_pack("{s:f, s:f, s:b, s:s, s:s, s:s, s:s}", "lower", t->end[RW_CHOICE_LOWER], "upper", t->end[RW_CHOICE_UPPER], "empty",
	    (int)t->range_empty, "lower_by", t->end_by[RW_CHOICE_LOWER], "upper_by", t->end_by[RW_CHOICE_UPPER], "lower_text",
	    t->end_text[RW_CHOICE_LOWER], "upper_text", t->end_text[RW_CHOICE_UPPER]);
}

static int put_json(const rw_cli *cli, const rw_choice_table *t)
{
	json_t *notes = json_array();
	for (int i = 0; i < t->n_notes; i++)
		json_array_append_new(notes, json_string(t->note[i]));
	json_t *root = json_pack("{s:i, s:s, s:s, s:s, s:o, s:o, s:o}", "format", 1, "choice", t->subject, "job", t->job, "title", t->title,
	    "rows", rows_json(t), "range", range_json(t), "notes", notes);
	char *text = root ? json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(15)) : NULL;
	json_decref(root);
	if (text) {
		puts(text);
		free(text);
		return 0;
	}
	rw_error err;
	(void)RW_RAISE(&err, RW_E_MEMORY, "", "memory ran out, or a text is not UTF-8");
	rw_print_error(cli, &err);
	return rw_status_exit_code(err.status);
}

int rw_choice_put(const rw_cli *cli, const rw_units *units, const rw_choice_table *table, const char *format)
{
	if (strcmp(format, "json") == 0)
		return put_json(cli, table);
	if (strcmp(format, "csv") == 0)
		put_csv(table);
	else
		put_text(cli, units, table);
	return 0;
}
