/* Points of a valve told: the table's span, the law fitted to it, and how far the law is from each point. */
#include <math.h>
#include <string.h>

#include "cli/valve_points.h"
#include "valve/valve.h"

/* Points with what the law makes of them. */
typedef struct told {
	const rw_table *table;
	rw_valve_point *points;
	rw_points_fit fit;
	double anode_most, grid_most;
	bool rectangle;              /* the law 'points' takes them */
	rw_error why_not;
} told;

static rw_status lay_out(rw_session *session, const rw_table *table, told *out, rw_error *err)
{
	*out = (told){.table = table, .points = RW_ARENA_NEW(&session->arena, rw_valve_point, table->n_rows)};
	if (!out->points)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	for (int r = 0; r < table->n_rows; r++) {
		rw_valve_point *p = &out->points[r];
		*p = (rw_valve_point){rw_table_cell(table, r, 0), rw_table_cell(table, r, 1), rw_table_cell(table, r, 2), rw_table_cell(table, r, 3)};
		out->anode_most = fmax(out->anode_most, p->anode_current);
		out->grid_most = fmax(out->grid_most, p->grid_current);
	}
	return RW_OK;
}

/* A few points tell perveance, but not mu with it: there mu is held when it is known. */
static rw_status fit_law(rw_session *session, told *t, double mu, rw_error *err)
{
	const rw_valve_points *made;
	t->rectangle = rw_valve_points_make(&session->arena, t->table, &made, &t->why_not) == RW_OK;
	return rw_valve_fit_points(t->points, t->table->n_rows, t->rectangle ? (double)NAN : mu, &t->fit, err);
}

static const char *volts(rw_session *session, double value, char out[32])
{
	rw_units_print(session->units, &rw_kind_voltage_dc, value, 3, out, 32);
	return out;
}

static const char *amps(rw_session *session, double value, char out[32])
{
	rw_units_print(session->units, &rw_kind_current_dc, value, 3, out, 32);
	return out;
}

/* In per cent to a tenth, without a sign on nothing. */
static double per_cent(double share)
{
	double tenths = round(1000.0 * share);
	return tenths == 0.0 ? 0.0 : tenths / 10.0;
}

static void put_span(rw_session *session, const told *t)
{
	double low[2] = {(double)INFINITY, (double)INFINITY}, high[2] = {-(double)INFINITY, -(double)INFINITY};
	char text[6][32];
	for (int r = 0; r < t->table->n_rows; r++) {
		const double at[2] = {t->points[r].anode_voltage, t->points[r].grid_voltage};
		for (int e = 0; e < 2; e++) {
			low[e] = fmin(low[e], at[e]);
			high[e] = fmax(high[e], at[e]);
		}
	}
	printf("%d points: anode %s to %s, grid %s to %s; greatest I_a %s, greatest I_g %s\n", t->table->n_rows, volts(session, low[0], text[0]),
	    volts(session, high[0], text[1]), volts(session, low[1], text[2]), volts(session, high[1], text[3]),
	    amps(session, t->anode_most, text[4]), amps(session, t->grid_most, text[5]));
	if (t->rectangle)
		printf("A full rectangle: the law 'points' goes through each of them.\n");
	else
		printf("Not for the law 'points': %s.\n", t->why_not.what);
}

static void put_error(rw_session *session, const char *what, double rms, double most, const rw_valve_point *worst)
{
	char va[32], vg[32];
	printf("  %s off by %.1f %% rms of the greatest, at most %+.1f %%, at %s anode, %s grid\n", what, per_cent(rms), per_cent(most),
	    volts(session, worst->anode_voltage, va), volts(session, worst->grid_voltage, vg));
}

static void put_fit(rw_session *session, const told *t, double mu)
{
	const rw_points_fit *fit = &t->fit;
	char p[64];
	rw_units_print(session->units, &rw_kind_perveance, fit->perveance, 3, p, sizeof p);
	printf("Divided law on them: P %s, \u03bc %.3g%s", p, fit->mu, !t->rectangle && !isnan(mu) ? " (held)" : "");
	if (isnan(fit->division))
		printf(", no d: no point has grid current\n");
	else
		printf(", d %.2f\n", fit->division);
	put_error(session, "I_a", fit->anode_error_rms, fit->anode_error_most, &t->points[fit->anode_worst]);
	if (!isnan(fit->division))
		put_error(session, "I_g", fit->grid_error_rms, fit->grid_error_most, &t->points[fit->grid_worst]);
}

static void put_points(rw_session *session, const told *t)
{
	static const char *const headings[] = {">V_A", ">V_G", ">I_a", ">I_g", ">I_a of the law off by", ">I_g of the law off by"};
	const rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = t->fit.perveance, .mu = t->fit.mu,
	    .division = isnan(t->fit.division) ? 1.0 : t->fit.division, .emission = (double)INFINITY};
	rw_grid *grid = rw_grid_new(headings, 6);
	for (int r = 0; r < t->table->n_rows; r++) {
		const rw_valve_point *p = &t->points[r];
		char va[32], vg[32], ia[32], ig[32], off_a[32], off_g[32] = "\u2014";
		double a, g;
		rw_valve_currents(&law, p->anode_voltage, p->grid_voltage, &a, &g);
		snprintf(off_a, sizeof off_a, "%+.1f %%", per_cent((a - p->anode_current) / t->anode_most));
		if (t->grid_most > 0.0)
			snprintf(off_g, sizeof off_g, "%+.1f %%", per_cent((g - p->grid_current) / t->grid_most));
		rw_grid_row(grid, (const char *const[]){volts(session, p->anode_voltage, va), volts(session, p->grid_voltage, vg),
		    amps(session, p->anode_current, ia), amps(session, p->grid_current, ig), off_a, off_g});
	}
	rw_grid_print(grid);
	printf("\nOff by: of the greatest current of its kind. Curves read from print are good to about 5 %% of it, grid currents of single "
	    "valves to 30 %%.\n");
}

rw_status rw_put_valve_points(rw_session *session, const char *name, const rw_table *table, double mu, bool each, rw_error *err)
{
	told t;
	RW_TRY(lay_out(session, table, &t, err));
	RW_TRY(fit_law(session, &t, mu, err));
	printf("%s: ", name);
	put_span(session, &t);
	put_fit(session, &t, mu);
	if (each) {
		putchar('\n');
		put_points(session, &t);
	}
	return RW_OK;
}

rw_status rw_entry_points(rw_session *session, const rw_entry *entry, const rw_table **out, double *mu, rw_error *err)
{
	const rw_fact *fact = rw_entry_fact(entry, "points"), *factor = rw_entry_fact(entry, "mu");
	*out = NULL;
	*mu = (double)NAN;
	if (!fact)
		return RW_OK;
	rw_table *table = RW_ARENA_NEW(&session->arena, rw_table, 1);
	if (!table)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	if (factor)
		RW_TRY(rw_units_read(session->units, &rw_kind_number, factor->value, mu, err));
	rw_status status = rw_table_read(&session->arena, session->units, rw_valve_points_columns, 4, 2, fact->value, table, err);
	if (status != RW_OK) {
		rw_error_at(err, entry->file, fact->at.line + (err ? err->line : 0), 1, 1);
		return status;
	}
	*out = table;
	return RW_OK;
}
