#include <argp.h>
#include <stdlib.h>

#include "cli/cli.h"
#include "item/explain.h"

enum { KEYS_MAX = 32 };
typedef struct options {
	const char *file, *job, *kase, *key[KEYS_MAX];
	int n, depth;
} options;

static const struct argp_option table[] = {
    {"case", 'c', "LOAD/MAINS", 0, "the case: cold/high, cold, high", 0},
    {"job", 'j', "NAME", 0, "the job", 0},
    {"depth", 'd', "N", 0, "how many steps back (2)", 0},
    {0},
};

static error_t parse(int key, char *arg, struct argp_state *state)
{
	options *o = state->input;
	char *end;
	switch (key) {
	case 'c': o->kase = arg; return 0;
	case 'j': o->job = arg; return 0;
	case 'd':
		o->depth = (int)strtol(arg, &end, 10);
		if (*end || end == arg || o->depth < 0 || o->depth > 50)
			argp_error(state, "depth '%s' is not a whole number from 0 to 50", arg);
		return 0;
	case ARGP_KEY_ARG:
		if (!o->file)
			o->file = arg;
		else if (o->n < KEYS_MAX)
			o->key[o->n++] = arg;
		else
			argp_error(state, "at most %d keys at once", KEYS_MAX);
		return 0;
	case ARGP_KEY_END:
		if (!o->file || o->n == 0)
			argp_error(state, "which file, and which figure?");
		return 0;
	default: return ARGP_ERR_UNKNOWN;
	}
}

static const char *source_words(void *context, const char *key)
{
	const rw_source *source = rw_library_source(context, key);
	return source ? source->text : NULL;
}

enum { POINTS = 25, CURVES_MAX = 6 };

static rw_status put_series(rw_session *session, const rw_series *series, const char *key, int scase, rw_error *err)
{
	double x[POINTS], y[CURVES_MAX * POINTS];
	char heading[CURVES_MAX + 1][64], cell[CURVES_MAX + 1][64];
	const char *headings[CURVES_MAX + 1], *cells[CURVES_MAX + 1];
	RW_TRY(rw_chain_series(&session->chain, key, scase, POINTS, x, y, err));
	for (int c = 0; c <= series->n_curves; c++) {
		snprintf(heading[c], sizeof heading[c], ">%s", c ? series->curve_text[c - 1] : series->x_text);
		headings[c] = heading[c];
		cells[c] = cell[c];
	}
	printf("\n%s: %s\n", key, series->text);
	rw_grid *grid = rw_grid_new(headings, series->n_curves + 1);
	for (int k = 0; k < POINTS; k++) {
		rw_units_print(session->units, series->x_kind, x[k], 3, cell[0], sizeof cell[0]);
		for (int c = 0; c < series->n_curves; c++)
			rw_units_print(session->units, series->curve_kind[c], y[c * POINTS + k], 3, cell[c + 1], sizeof cell[c + 1]);
		rw_grid_row(grid, cells);
	}
	rw_grid_print(grid);
	return RW_OK;
}

static rw_status put_working(rw_session *session, const options *o, int scase, rw_error *err)
{
	const rw_graph *graph;
	rw_view view = rw_chain_view(&session->chain, session->chain.solution->cases[scase].job, scase);
	rw_explain_options how = {o->depth, source_words, session->base.library};
	char title[128];
	RW_TRY(rw_graph_new(&session->arena, rw_all_stages.registry, &graph, err));
	rw_case_title(session->chain.solution, scase, title, sizeof title);
	printf("Case: %s\n", title);
	for (int i = 0; i < o->n; i++) {
		const rw_series *series = rw_chain_find_series(&session->chain, o->key[i]);
		if (series) {
			RW_TRY(put_series(session, series, o->key[i], scase, err));
			continue;
		}
		rw_text text;
		rw_text_init(&text);
		rw_status status = rw_explain(&view, session->units, graph, &session->arena, o->key[i], &how, &text, err);
		if (status == RW_OK)
			printf("\n%s", text.bytes);
		rw_text_release(&text);
		RW_TRY(status);
	}
	return RW_OK;
}

int rw_cmd_explain(const rw_cli *cli, int argc, char **argv)
{
	const struct argp argp = {table, parse, "FILE KEY...", "The working of a figure: formula, the same with numbers, where each came from.\v"
	                                                       "Keys are listed by 'solve FILE --format csv'; the curves are oscillator.cycle and supply.regulation.", NULL, NULL, NULL};
	options o = {.depth = 2};
	argp_parse(&argp, argc, argv, 0, NULL, &o);
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_solve(&session, cli, o.file);
	if (code == 0) {
		rw_error err;
		int scase = rw_pick_case(cli, &session.chain, o.job, o.kase);
		if (scase < 0) {
			code = 2;
		} else if (put_working(&session, &o, scase, &err) != RW_OK) {
			rw_print_error(cli, &err);
			code = err.status == RW_E_KEY ? 2 : rw_status_exit_code(err.status);   /* the key came from the command line */
		}
	}
	rw_session_release(&session);
	return code;
}
