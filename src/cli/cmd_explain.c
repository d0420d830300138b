#include "cli/cli.h"
#include "item/explain.h"

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

/* Above the first figure; nothing stands above an error. */
static void put_title(const char *title, int i)
{
	if (i == 0)
		printf("Case: %s\n", title);
}

static rw_status put_working(rw_session *session, const rw_options *o, int scase, rw_error *err)
{
	rw_view view = rw_chain_view(&session->chain, session->chain.solution->cases[scase].job, scase);
	rw_explain_options how = {o->depth, source_words, session->base.library, session->chain.unverified};
	char title[128];
	rw_case_title(session->chain.solution, scase, title, sizeof title);
	for (int i = 0; i < o->n_keys; i++) {
		const rw_series *series = rw_chain_find_series(&session->chain, o->key[i]);
		if (series) {
			put_title(title, i);
			RW_TRY(put_series(session, series, o->key[i], scase, err));
			continue;
		}
		rw_text text;
		rw_text_init(&text);
		rw_status status = rw_explain(&view, session->units, session->chain.graph, &session->arena, o->key[i], &how, &text, err);
		if (status == RW_OK) {
			put_title(title, i);
			printf("\n%s", text.bytes);
		}
		rw_text_release(&text);
		RW_TRY(status);
	}
	return RW_OK;
}

static int put(const rw_cli *cli, const rw_options *o, rw_session *session)
{
	rw_error err;
	int scase = rw_pick_case(cli, &session->chain, o->job, o->kase);
	if (scase < 0)
		return 2;
	if (put_working(session, o, scase, &err) == RW_OK)
		return 0;
	rw_print_error(cli, &err);
	return err.status == RW_E_KEY ? 2 : rw_status_exit_code(err.status);   /* the key came from the command line */
}

int rw_cmd_explain(const rw_cli *cli, int argc, char **argv)
{
	rw_options o;
	rw_options_read(&o, argc, argv, RW_TAKES_KEYS | RW_TAKES_A_KEY, "cjdr", "FILE KEY...",
	                "The working of a figure: formula, the same with numbers, where each came from.\v"
	                "Keys are listed by 'solve FILE --format csv'; the curves are oscillator.cycle and supply.regulation.");
	return rw_on_solved(cli, &o, put);
}
