#include <math.h>
#include <string.h>

#include "cli/cli.h"
#include "valve/valve.h"

static int report(const rw_cli *cli, const rw_error *err)
{
	rw_print_error(cli, err);
	return err->status == RW_E_KEY && err->line == 0 ? 2 : rw_status_exit_code(err->status);
}

static const char *fact_value(const rw_entry *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : "\u2014";
}

static int list(const rw_cli *cli, rw_session *session)
{
	const char *const headings[] = {"Valve", "What it is", ">Anode", ">Greatest V", ">mu", "Law from"};
	rw_grid *grid = rw_grid_new(headings, 6);
	rw_error err;
	for (int i = 0; i < rw_library_count(session->base.library, "valves"); i++) {
		const rw_entry *entry;
		const char *name = rw_library_name(session->base.library, "valves", i);
		if (rw_library_entry(session->base.library, &session->arena, "valves", name, &entry, &err) != RW_OK)
			return report(cli, &err);
		const rw_fact *law = rw_entry_fact(entry, "perveance");
		rw_grid_row(grid, (const char *const[]){entry->name, entry->title, fact_value(entry, "anode_dissipation_max"),
		    fact_value(entry, "anode_voltage_max"),
		                                        fact_value(entry, "mu"), law ? law->status : "\u2014"});
	}
	rw_grid_print(grid);
	printf("Data from memory and invented data are unverified wherever they are used: read the maker's sheet.\n");
	return 0;
}

static int show(const rw_cli *cli, rw_session *session, const char *name)
{
	const char *const headings[] = {"Block", "Figure", ">Value", "Status", "Source"};
	const rw_entry *entry;
	rw_error err;
	if (rw_library_entry(session->base.library, &session->arena, "valves", name, &entry, &err) != RW_OK)
		return report(cli, &err);
	printf("%s: %s   SHA-256 %.12s\n\n", entry->name, entry->title, entry->digest);
	rw_grid *grid = rw_grid_new(headings, 5);
	for (int i = 0; i < entry->n_facts; i++) {
		const rw_fact *f = &entry->facts[i];
		const char *value = strchr(f->value, '\n') ? "table" : f->value;
		rw_grid_row(grid, (const char *const[]){f->block, f->key, value, f->status, f->source});
	}
	rw_grid_print(grid);
	putchar('\n');
	for (int i = 0; i < entry->n_facts; i++) {
		bool told = false;
		for (int k = 0; k < i; k++)
			told = told || strcmp(entry->facts[k].source, entry->facts[i].source) == 0;
		const rw_source *source = rw_library_source(session->base.library, entry->facts[i].source);
		if (!told && source)
			printf("%s: %s (%s)\n", source->key, source->text, source->status);
	}
	return 0;
}

static const rw_column operation_columns[6] = {
    {"anode_voltage", &rw_kind_voltage_dc, false, 1.0, 1e6},  {"grid_bias", &rw_kind_voltage_dc, false, -1e5, 0.0},
    {"anode_current", &rw_kind_current_dc, false, 1e-6, 1e4}, {"grid_current", &rw_kind_current_dc, false, 1e-6, 1e4},
    {"drive", &rw_kind_power, false, 1e-6, 1e6},              {"output", &rw_kind_power, false, 1e-3, 1e8},
};

static rw_status operation_rows(rw_session *session, const rw_entry *entry, rw_operation *rows, int *n, double *mu, rw_error *err)
{
	const rw_fact *fact = rw_entry_fact(entry, "operation"), *factor = rw_entry_fact(entry, "mu");
	rw_table table;
	if (!fact || !factor)
		return RW_RAISE(err, RW_E_NOSOLVE, entry->name, "'%s' has no %s to fit to", entry->name,
		    fact ? "amplification factor" : "rows of typical operation");
	RW_TRY(rw_units_read(session->units, &rw_kind_number, factor->value, mu, err));
	RW_TRY(rw_table_read(&session->arena, session->units, operation_columns, 6, 1, fact->value, &table, err));
	*n = table.n_rows < 16 ? table.n_rows : 16;
	for (int i = 0; i < *n; i++)
		rows[i] = (rw_operation){rw_table_cell(&table, i, 0), rw_table_cell(&table, i, 1), rw_table_cell(&table, i, 2),
		                         rw_table_cell(&table, i, 3), rw_table_cell(&table, i, 4), rw_table_cell(&table, i, 5)};
	return RW_OK;
}

static void put_fit_row(rw_session *session, rw_grid *grid, const rw_operation *row, const rw_valve_fit *all, const rw_valve_fit *without, int i)
{
	char va[32], ia[32], ig[32], fit[64], left_out[64];
	rw_units_print(session->units, &rw_kind_voltage_dc, row->anode_voltage_dc, 3, va, sizeof va);
	rw_units_print(session->units, &rw_kind_current_dc, row->anode_current_dc, 3, ia, sizeof ia);
	rw_units_print(session->units, &rw_kind_current_dc, row->grid_current_dc, 3, ig, sizeof ig);
	snprintf(fit, sizeof fit, "%+.0f %%, %+.0f %%", 100.0 * all->anode_current_error[i], 100.0 * all->grid_current_error[i]);
	if (without)
		snprintf(left_out, sizeof left_out, "%+.0f %%, %+.0f %%", 100.0 * without->anode_current_error[i],
		    100.0 * without->grid_current_error[i]);
	else
		snprintf(left_out, sizeof left_out, "\u2014");
	rw_grid_row(grid, (const char *const[]){va, ia, ig, fit, left_out});
}

/* Fits to all rows, and for each row once without it, so that the error told of a row is of a fit that never saw it. */
static int fit(const rw_cli *cli, rw_session *session, const char *name)
{
	const char *const headings[] = {">V_A", ">I_a", ">I_g", ">fit to all: I_a, I_g off by", ">row left out: I_a, I_g off by"};
	const rw_entry *entry;
	rw_operation rows[16];
	rw_valve_fit all, without;
	rw_error err;
	double mu = 0.0;
	int n = 0;
	if (rw_library_entry(session->base.library, &session->arena, "valves", name, &entry, &err) != RW_OK ||
	    operation_rows(session, entry, rows, &n, &mu, &err) != RW_OK)
		return report(cli, &err);
	for (int i = 0; i < 16; i++)
		all.used[i] = i < n;
	if (rw_valve_fit_rows(mu, rows, n, &all, &err) != RW_OK)
		return report(cli, &err);
	char p[64];
	rw_units_print(session->units, &rw_kind_perveance, all.perveance, 3, p, sizeof p);
	printf("%s: divided law at \u03bc %g: P %s, d %.2f, from %d row%s of typical operation\n\n", entry->name, mu, p, all.division, n,
	    n == 1 ? "" : "s");
	rw_grid *grid = rw_grid_new(headings, 5);
	for (int i = 0; i < n; i++) {
		bool enough = n > 2;
		for (int k = 0; k < 16; k++)
			without.used[k] = k < n && k != i;
		if (enough && rw_valve_fit_rows(mu, rows, n, &without, NULL) != RW_OK)
			enough = false;
		put_fit_row(session, grid, &rows[i], &all, enough ? &without : NULL, i);
	}
	rw_grid_print(grid);
	printf("\n%sGrid currents of a model are good to about 30 %%.\n",
	       n > 2 ? "" : "Too few rows to leave one out: how the fit does on a row it has not seen is not known. ");
	return 0;
}

int rw_cmd_valve(const rw_cli *cli, int argc, char **argv)
{
	static const char usage[] = "Usage: rfwright valve list | show NAME | fit NAME\n"
	                            "list: the library. show: every figure with status and source. fit: the law fitted to typical operation, "
	                                        "with its errors.\n";
	if (argc == 2 && strcmp(argv[1], "--help") == 0) {
		fputs(usage, stdout);
		return 0;
	}
	bool wants_list = argc == 2 && strcmp(argv[1], "list") == 0;
	bool wants_show = argc == 3 && strcmp(argv[1], "show") == 0, wants_fit = argc == 3 && strcmp(argv[1], "fit") == 0;
	if (!wants_list && !wants_show && !wants_fit) {
		const char *nearest = argc > 1 ? rw_text_nearest(argv[1], (const char *const[]){"list", "show", "fit"}, 3) : NULL;
		if (nearest && strcmp(nearest, argv[1]) != 0)
			(void)rw_usage_error(cli, "there is no 'valve %s'; did you mean 'valve %s'?", argv[1], nearest);
		else if (nearest)
			(void)rw_usage_error(cli, "'valve %s' wants %s behind it", nearest,
			    strcmp(nearest, "list") == 0 ? "nothing" : "the name of one valve");
		fputs(usage, stderr);
		return 2;
	}
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_base(&session, cli);
	if (code == 0)
		code = wants_list ? list(cli, &session) : wants_show ? show(cli, &session, argv[2]) : fit(cli, &session, argv[2]);
	rw_session_release(&session);
	return code;
}
