/* Fit of the divided law to typical operation rows of a valve's sheet.
 *
 * A row gives bias, supply volts, both DC currents, drive and output, but not the swings. Two ratios of it do not depend on the perveance:
 * the efficiency, output / (Va Ia) = Vam Ia1 / (2 Va Ia0), and drive / Ig = Vgm Ig1 / (2 Ig0). For a given division they fix the two
 * swings; where both currents fit, the model's drive and output then are the row's. The perveance follows in closed form (currents are
 * proportional to it), which leaves the division as the one unknown of a least square of log(model / row) over both currents of all rows.
 * Output taken as it is printed would need a perveance great enough to reach it; this way every row has its swings at every division. */
#include "base/numeric.h"
#include "valve/valve_internal.h"

enum { ROWS_MAX = 16 };

typedef struct row_state {
	rw_valve_law law;            /* at unit perveance */
	const rw_operation *row;
	rw_swing swing;
	rw_class_c point;
} row_state;

typedef struct fit_state {
	double mu;
	const rw_operation *rows;
	const bool *used;
	int n;
	double anode_log[ROWS_MAX], grid_log[ROWS_MAX];   /* log of the row's current over the model's at unit perveance */
	double log_perveance;
	bool strict;                 /* all rows, and one without an operating point is an error, not a wall */
} fit_state;

static rw_status check_rows(double mu, const rw_operation *rows, int n, const bool *used, rw_error *err);
static rw_status scatter(void *context, double log_division, double *sum, rw_error *err);
static rw_status solve_row(double mu, double division, const rw_operation *row, rw_class_c *point, rw_error *err);
static rw_status efficiency_gap(void *context, double anode_swing_pk, double *gap, rw_error *err);
static rw_status drive_gap(void *context, double grid_swing_pk, double *gap, rw_error *err);

rw_status rw_valve_fit_rows(double mu, const rw_operation *rows, int n, rw_valve_fit *fit, rw_error *err)
{
	RW_TRY(check_rows(mu, rows, n, fit->used, err));
	fit_state state = {.mu = mu, .rows = rows, .used = fit->used, .n = n};
	double log_division, least;
	RW_TRY(rw_least_find(scatter, &state, log(0.2), log(50.0), 1e-9, &log_division, &least, err));
	if (log_division < log(0.21) || log_division > log(48.0))
		return RW_RAISE(err, RW_E_NOSOLVE, "division", "the rows fit best at a division of %.3g, the end of the span searched",
		    exp(log_division));
	state.strict = true;
	RW_TRY(scatter(&state, log_division, &least, err));
	for (int i = 0; i < n; i++) {
		fit->anode_current_error[i] = expm1(state.log_perveance - state.anode_log[i]);
		fit->grid_current_error[i] = expm1(state.log_perveance - state.grid_log[i]);
	}
	fit->perveance = exp(state.log_perveance);
	fit->division = exp(log_division);
	return RW_OK;
}

static rw_status check_rows(double mu, const rw_operation *rows, int n, const bool *used, rw_error *err)
{
	if (!(mu > 0.0 && isfinite(mu)))
		return RW_RAISE(err, RW_E_RANGE, "mu", "the amplification factor %g is not positive", mu);
	if (n < 1 || n > ROWS_MAX)
		return RW_RAISE(err, RW_E_RANGE, "operation", "%d rows of typical operation, not 1 to %d", n, (int)ROWS_MAX);
	bool any = false;
	for (int i = 0; i < n; i++) {
		const rw_operation *r = &rows[i];
		any = any || used[i];
		if (!(r->anode_voltage_dc > 0.0 && r->anode_current_dc > 0.0 && r->grid_current_dc > 0.0 && r->drive_power > 0.0 && r->output_power > 0.0 &&
		      r->grid_bias < 0.0))
			return RW_RAISE(err, RW_E_RANGE, "operation", "row %d of typical operation has a figure of the wrong sign", i + 1);
		double efficiency = r->output_power / (r->anode_voltage_dc * r->anode_current_dc);
		if (!(efficiency < 1.0))
			return RW_RAISE(err, RW_E_RANGE, "operation", "row %d of typical operation has more output than input", i + 1);
		if (!(r->drive_power > -r->grid_bias * r->grid_current_dc))
			return RW_RAISE(err, RW_E_RANGE, "operation", "row %d of typical operation has less drive than its bias takes", i + 1);
	}
	if (!any)
		return RW_RAISE(err, RW_E_RANGE, "operation", "no row of typical operation is used for the fit");
	return RW_OK;
}

/* Sum of squares about the best perveance, over the rows used. Where the grid takes so much that a row's efficiency is out of reach
 * there is a wall that slopes towards greater divisions. */
static rw_status scatter(void *context, double log_division, double *sum, rw_error *err)
{
	fit_state *state = context;
	double mean = 0.0, total = 0.0;
	int used = 0;
	for (int i = 0; i < state->n; i++) {
		if (!state->used[i] && !state->strict)           /* the others only have their error told at the end */
			continue;
		rw_class_c point = {0};
		rw_status status = solve_row(state->mu, exp(log_division), &state->rows[i], &point, err);
		if (status == RW_E_NOSOLVE && !state->strict) {
			*sum = 1e3 - log_division;
			return RW_OK;
		}
		RW_TRY(status);
		state->anode_log[i] = log(state->rows[i].anode_current_dc / point.anode_current_dc);
		state->grid_log[i] = log(state->rows[i].grid_current_dc / point.grid_current_dc);
		if (state->used[i]) {
			mean += state->anode_log[i] + state->grid_log[i];
			used += 2;
		}
	}
	mean /= used;
	for (int i = 0; i < state->n; i++) {
		double a = state->anode_log[i] - mean, g = state->grid_log[i] - mean;
		total += state->used[i] ? a * a + g * g : 0.0;
	}
	state->log_perveance = mean;
	*sum = total;
	return RW_OK;
}

/* The operating point of a row at unit perveance: anode swing from the efficiency, within it the grid swing from the drive. */
static rw_status solve_row(double mu, double division, const rw_operation *row, rw_class_c *point, rw_error *err)
{
	row_state state = {
		.law = {.law = RW_LAW_DIVIDED, .perveance = 1.0, .mu = mu, .division = division, .emission = (double)INFINITY},
		.row = row,
		.swing = {.anode_voltage_dc = row->anode_voltage_dc, .grid_bias = row->grid_bias},
	};
	/* the first swing that gives the efficiency: beyond about the supply volts the dip takes the output away again */
	double low = 0.3 * row->anode_voltage_dc, high = low, gap = -1.0;
	while (gap < 0.0) {
		low = high;
		high += 0.05 * row->anode_voltage_dc;
		if (high > 1.2 * row->anode_voltage_dc)
			return RW_RAISE(err, RW_E_NOSOLVE, "operation", "no anode swing gives the efficiency of the row at %g V, %g A",
			                row->anode_voltage_dc, row->anode_current_dc);
		RW_TRY(efficiency_gap(&state, high, &gap, err));
	}
	rw_root root;
	RW_TRY(rw_root_find(efficiency_gap, &state, low, high, 0.0, 1e-10, &root, err));
	RW_TRY(efficiency_gap(&state, root.x, &gap, err));
	*point = state.point;
	return RW_OK;
}

static rw_status efficiency_gap(void *context, double anode_swing_pk, double *gap, rw_error *err)
{
	row_state *state = context;
	const rw_operation *row = state->row;
	double drive_volts = row->drive_power / row->grid_current_dc;   /* Vgm Ig1 / (2 Ig0), between Vgm/2 and Vgm */
	rw_root root;
	state->swing.anode_swing_pk = anode_swing_pk;
	RW_TRY(rw_root_find(drive_gap, state, drive_volts, 2.0 * drive_volts, 0.0, 1e-11, &root, err));
	RW_TRY(drive_gap(state, root.x, gap, err));
	*gap = 0.5 * anode_swing_pk * state->point.anode_current_fund_pk / (row->anode_voltage_dc * state->point.anode_current_dc) -
	       row->output_power / (row->anode_voltage_dc * row->anode_current_dc);
	return RW_OK;
}

static rw_status drive_gap(void *context, double grid_swing_pk, double *gap, rw_error *err)
{
	row_state *state = context;
	state->swing.grid_swing_pk = grid_swing_pk;
	RW_TRY(rw_class_c_solve(&state->law, &state->swing, 1e-9, &state->point, err));
	*gap = 0.5 * grid_swing_pk * state->point.grid_current_fund_pk / state->point.grid_current_dc -
	       state->row->drive_power / state->row->grid_current_dc;
	return RW_OK;
}
