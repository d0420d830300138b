/* What 'choose' shows, in text, JSON and CSV. */
#ifndef RW_CLI_CHOICE_TABLE_H
#define RW_CLI_CHOICE_TABLE_H

#include "cli/cli.h"

enum { RW_CHOICE_COLUMNS_MAX = 16, RW_CHOICE_ROWS_MAX = 24, RW_CHOICE_NOTES_MAX = 12, RW_CHOICE_LINE_BYTES = 640 };
enum { RW_CHOICE_LOWER, RW_CHOICE_UPPER };

typedef struct rw_choice_column { const char *name, *heading; const rw_kind *kind; int digits; } rw_choice_column;

/* Figures in rows, one of them the file's own, the span that practice keeps to, and words. */
typedef struct rw_choice_table {
	const char *subject, *job;
	const rw_choice_column *columns;
	int n_columns, n_rows, n_notes;
	int own;                               /* the row of the file; -1: none */
	double value[RW_CHOICE_ROWS_MAX][RW_CHOICE_COLUMNS_MAX];   /* SI; NAN: a dash */
	char verdict[RW_CHOICE_ROWS_MAX][96], title[RW_CHOICE_LINE_BYTES], note[RW_CHOICE_NOTES_MAX][RW_CHOICE_LINE_BYTES];
	bool has_range, range_empty;
	double end[2];                         /* Hz */
	const char *end_by[2];                 /* names */
	char end_text[2][RW_CHOICE_LINE_BYTES];
} rw_choice_table;

/* One figure as it is printed, for use within a statement. */
typedef struct rw_choice_figure { char text[64]; } rw_choice_figure;
rw_choice_figure rw_choice_show(const rw_units *units, const rw_kind *kind, double si, int digits);

/* A note behind the table; one too many is left out. */
void rw_choice_note(rw_choice_table *table, const char *format, ...) RW_PRINTF(2, 3);

/* Prints it; format text, json or csv. Returns the exit code. */
int rw_choice_put(const rw_cli *cli, const rw_units *units, const rw_choice_table *table, const char *format);

#endif
