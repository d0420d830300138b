#include <math.h>

#include <string.h>

#include "cli/cli.h"
#include "cli/valve_points.h"
#include "valve/valve.h"

static int list(const rw_cli *cli, rw_session *session, const char *name)
{
	(void)name;
	const char *const headings[] = {"Valve", "What it is", ">Anode", ">Greatest V", ">mu", "Law from"};
	rw_grid *grid = rw_grid_new(headings, 6);
	rw_error err;
	for (int i = 0; i < rw_library_count(session->base.library, "valves"); i++) {
		const rw_entry *entry;
		if (rw_library_entry(session->base.library, &session->arena, "valves", rw_library_name(session->base.library, "valves", i), &entry,
		    &err) != RW_OK)
			return rw_entry_report(cli, &err);
		const rw_fact *law = rw_entry_fact(entry, "perveance");
		rw_grid_row(grid, (const char *const[]){entry->name, entry->title, rw_entry_value(entry, "anode_dissipation_max"),
		                                        rw_entry_value(entry, "anode_voltage_max"), rw_entry_value(entry, "mu"),
		                                                    law ? law->status : "\u2014"});
	}
	rw_grid_print(grid);
	printf("Data from memory and invented data are unverified wherever they are used: read the maker's sheet.\n");
	return 0;
}

static int show(const rw_cli *cli, rw_session *session, const char *name)
{
	const rw_entry *entry;
	const rw_table *points = NULL;
	rw_error err;
	double mu;
	int code = rw_entry_show(cli, session, "valves", name);
	if (code != 0)
		return code;
	if (rw_library_entry(session->base.library, &session->arena, "valves", name, &entry, &err) != RW_OK ||
	    rw_entry_points(session, entry, &points, &mu, &err) != RW_OK)
		return rw_entry_report(cli, &err);
	if (points)
		putchar('\n');
	if (points && rw_put_valve_points(session, entry->name, points, mu, false, &err) != RW_OK)
		return rw_entry_report(cli, &err);
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
static int fit_operation(const rw_cli *cli, rw_session *session, const rw_entry *entry)
{
	const char *const headings[] = {">V_A", ">I_a", ">I_g", ">fit to all: I_a, I_g off by", ">row left out: I_a, I_g off by"};
	rw_operation rows[16];
	rw_valve_fit all, without;
	rw_error err;
	double mu = 0.0;
	int n = 0;
	if (operation_rows(session, entry, rows, &n, &mu, &err) != RW_OK)
		return rw_entry_report(cli, &err);
	for (int i = 0; i < 16; i++)
		all.used[i] = i < n;
	if (rw_valve_fit_rows(mu, rows, n, &all, &err) != RW_OK)
		return rw_entry_report(cli, &err);
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

/* The points of a generator file. */
static int fit_file(const rw_cli *cli, const char *file)
{
	rw_session session;
	rw_session_init(&session);
	int code = rw_session_read(&session, cli, file);
	rw_error err;
	rw_view view = {session.generator.design, NULL, 0, RW_NO_CASE};
	rw_slot points, mu;
	if (code == 0 && rw_slot_find(&view, "valve.points", RW_NO_ELEMENT, &points, &err) == RW_OK &&
	    rw_slot_find(&view, "valve.mu", RW_NO_ELEMENT, &mu, &err) == RW_OK) {
		const rw_bound_table *table = rw_slot_table(&view, points);
		rw_status status = table ? rw_put_valve_points(&session, file, &table->table, rw_slot_get(&view, mu), true, &err)
		                         : RW_RAISE(&err, RW_E_MISSING, "valve.points", "the file gives no points to fit to");
		if (status != RW_OK) {
			rw_generator_mark(&session.generator, 0, &err);
			code = rw_entry_report(cli, &err);
		}
	}
	rw_session_release(&session);
	return code;
}

/* A name with a dot or a slash is a file's. An entry's points, then its rows of typical operation; one of the two at least. */
static int fit(const rw_cli *cli, rw_session *session, const char *name)
{
	const rw_entry *entry;
	const rw_table *points;
	rw_error err;
	double mu;
	if (strpbrk(name, "./"))
		return fit_file(cli, name);
	if (rw_library_entry(session->base.library, &session->arena, "valves", name, &entry, &err) != RW_OK ||
	    rw_entry_points(session, entry, &points, &mu, &err) != RW_OK)
		return rw_entry_report(cli, &err);
	if (points && rw_put_valve_points(session, entry->name, points, mu, true, &err) != RW_OK)
		return rw_entry_report(cli, &err);
	if (points && !rw_entry_fact(entry, "operation"))
		return 0;
	if (points)
		putchar('\n');
	return fit_operation(cli, session, entry);
}

int rw_cmd_valve(const rw_cli *cli, int argc, char **argv)
{
	static const char usage[] = "Usage: rfwright valve list | show NAME | fit NAME|FILE\n"
	                            "list: the library. show: every figure with status and source. fit: the law fitted to published points and to "
	                            "typical operation, of a library entry or of a generator file (points only), with its errors.\n";
	static const rw_entry_action actions[] = {{"list", false, list}, {"show", true, show}, {"fit", true, fit}};
	return rw_entry_command(cli, actions, 3, usage, argc, argv);
}
