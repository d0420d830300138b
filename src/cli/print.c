#include <libsmartcols.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"

static const char red[] = "\033[1;31m", bold[] = "\033[1m", plain[] = "\033[0m";

static const char *paint(const rw_cli *cli, const char *code) { return cli->color_err ? code : ""; }

/* The line of the file and a row of carets under the fault. */
static void put_underline(const rw_cli *cli, const rw_error *err)
{
	if (!err->source_line[0] || err->line == 0)
		return;
	fprintf(stderr, "%5u | %s\n      | ", err->line, err->source_line);
	uint32_t column = 1;
	for (const char *p = err->source_line; *p && column < err->column; p++)
		if (((unsigned char)*p & 0xC0) != 0x80) {
			fputc(*p == '\t' ? '\t' : ' ', stderr);
			column++;
		}
	fputs(paint(cli, red), stderr);
	for (uint32_t k = 0; k < (err->length ? err->length : 1) && k < 100; k++)
		fputc('^', stderr);
	fprintf(stderr, "%s\n", paint(cli, plain));
}

void rw_print_error(const rw_cli *cli, const rw_error *err)
{
	fputs(paint(cli, bold), stderr);
	if (err->file[0] && err->line)
		fprintf(stderr, "%s:%u:%u: ", err->file, err->line, err->column);
	else if (err->file[0])
		fprintf(stderr, "%s: ", err->file);
	else
		fprintf(stderr, "rfwright: ");
	fputs(paint(cli, plain), stderr);
	if (err->key[0])
		fprintf(stderr, "%s: ", err->key);
	fprintf(stderr, "%s%s%s", paint(cli, red), err->what, paint(cli, plain));
	if (err->expected[0])
		fprintf(stderr, "; expected %s", err->expected);
	if (err->hint[0])
		fprintf(stderr, "; %s", err->hint);
	fputc('\n', stderr);
	put_underline(cli, err);
	if (cli->debug)
		fprintf(stderr, "      raised at %s:%d: %s\n", err->c_file, err->c_line, rw_status_text(err->status));
}

void rw_print_errors(const rw_cli *cli, const rw_errors *errs)
{
	for (int i = 0; i < errs->n; i++)
		rw_print_error(cli, &errs->list[i]);
	if (errs->n_more)
		fprintf(stderr, "rfwright: and %d more errors\n", errs->n_more);
}

int rw_usage_error(const rw_cli *cli, const char *format, ...)
{
	va_list args;
	va_start(args, format);
	fprintf(stderr, "%srfwright:%s ", paint(cli, bold), paint(cli, plain));
	vfprintf(stderr, format, args);
	fputc('\n', stderr);
	va_end(args);
	return 2;
}

static bool same_job(const rw_chain *chain, int k, const char *job)
{
	return !job || strcmp(chain->full->job_names[chain->solution->cases[k].job], job) == 0;
}

static int no_job(const rw_cli *cli, const rw_chain *chain, const char *job)
{
	const char *names[RW_JOBS_MAX];
	rw_error err;
	for (int j = 0; j < chain->full->n_jobs; j++)
		names[j] = chain->full->job_names[j];
	(void)RW_RAISE(&err, RW_E_USAGE, "", "there is no job '%s'", job);
	(void)rw_text_expect(&err, job, names, chain->full->n_jobs);
	rw_print_error(cli, &err);
	return -1;
}

static int no_case(const rw_cli *cli, const rw_chain *chain, const char *job, const char *name)
{
	static const char *const mains[] = {"low", "nominal", "high"};
	const rw_solution *s = chain->solution;
	rw_text list;
	rw_text_init(&list);
	for (int k = 0; k < s->n_cases; k++)
		if (same_job(chain, k, job) && s->cases[k].valve == 0)
			rw_text_addf(&list, "%s%s/%s", list.n ? ", " : "", s->cases[k].load_name, mains[s->cases[k].mains]);
	rw_usage_error(cli, "there is no case '%s'%s%s; expected LOAD/MAINS, LOAD or MAINS of %s%s", name, job ? " in job " : "", job ? job : "",
	    list.bytes, s->cases[s->n_cases - 1].valve ? ", with '/worn' behind it for the worn valve" : "");
	rw_text_release(&list);
	return -1;
}

/* What a name given to --case asks for: "hot/low", "hot", "low", each with "/worn" behind it, or "worn". Parts not named stay as they are. */
typedef struct wanted_case { char load[64], level[16]; int valve; } wanted_case;

static void read_name(const rw_solution *s, const char *name, wanted_case *out)
{
	char rest[96];
	snprintf(rest, sizeof rest, "%s", name);
	bool is_load = false;
	for (int k = 0; k < s->n_cases; k++)
		is_load = is_load || strcmp(s->cases[k].load_name, rest) == 0;
	size_t n = strlen(rest);
	if (!is_load && n >= 5 && strcmp(rest + n - 5, "/worn") == 0) {
		out->valve = 1;
		rest[n - 5] = '\0';
		for (int k = 0; k < s->n_cases; k++)
			is_load = is_load || strcmp(s->cases[k].load_name, rest) == 0;
	} else if (!is_load && strcmp(rest, "worn") == 0) {
		out->valve = 1;
		return;
	}
	char *slash = strchr(rest, '/');
	if (slash) {
		*slash = '\0';
		snprintf(out->level, sizeof out->level, "%.15s", slash + 1);
		snprintf(out->load, sizeof out->load, "%.63s", rest);
	} else if (!is_load && (strcmp(rest, "low") == 0 || strcmp(rest, "nominal") == 0 || strcmp(rest, "high") == 0)) {
		snprintf(out->level, sizeof out->level, "%.15s", rest);
	} else {
		snprintf(out->load, sizeof out->load, "%.63s", rest);
	}
}

int rw_pick_case(const rw_cli *cli, const rw_chain *chain, const char *job, const char *name)
{
	static const char *const mains[] = {"low", "nominal", "high"};
	const rw_solution *s = chain->solution;
	const rw_case_name *sized = &s->cases[s->design_case];
	wanted_case wanted = {.level = "nominal"};
	bool known = !job;
	for (int k = 0; k < s->n_cases; k++)
		known = known || same_job(chain, k, job);
	if (!known)
		return no_job(cli, chain, job);
	if (name)
		read_name(s, name, &wanted);
	bool by_load = wanted.load[0];
	if (!by_load)
		snprintf(wanted.load, sizeof wanted.load, "%s", sized->load_name);
	for (int pass = 0; pass < 2; pass++)   /* in the named job first; the sizing load may not exist in another job */
		for (int k = 0; k < s->n_cases; k++) {
			bool load_ok = strcmp(s->cases[k].load_name, wanted.load) == 0 || (pass == 1 && !by_load);
			if (same_job(chain, k, job) && load_ok && strcmp(mains[s->cases[k].mains], wanted.level) == 0 &&
			    s->cases[k].valve == wanted.valve && (job || s->cases[k].job == sized->job))
				return k;
		}
	return no_case(cli, chain, job, name ? name : wanted.load);
}

struct rw_grid {
	struct libscols_table *table;
	int n;
};

rw_grid *rw_grid_new(const char *const *headings, int n)
{
	rw_grid *grid = malloc(sizeof *grid);
	struct libscols_table *table = scols_new_table();
	if (!grid || !table) {
		free(grid);
		scols_unref_table(table);
		return NULL;
	}
	scols_table_set_column_separator(table, "  ");
	scols_table_enable_maxout(table, 0);
	scols_table_set_termforce(table, SCOLS_TERMFORCE_NEVER);   /* never cut a figure to the terminal's width */
	for (int i = 0; i < n; i++) {
		bool right = headings[i][0] == '>';
		scols_table_new_column(table, headings[i] + right, 0.0, right ? SCOLS_FL_RIGHT : 0);
	}
	*grid = (rw_grid){table, n};
	return grid;
}

void rw_grid_row(rw_grid *grid, const char *const *cells)
{
	struct libscols_line *line = grid ? scols_table_new_line(grid->table, NULL) : NULL;
	for (int i = 0; line && i < grid->n; i++)
		scols_line_set_data(line, (size_t)i, cells[i]);
}

void rw_grid_print(rw_grid *grid)
{
	if (!grid)
		return;
	fflush(stdout);
	scols_print_table(grid->table);
	scols_unref_table(grid->table);
	free(grid);
}
