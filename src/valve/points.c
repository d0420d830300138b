/* Law 'points': a table of published points read as a rectangle, checked, and made into cells of cubics.
 *
 * What is interpolated is ia^(2/3), straight in both volts for a triode with a negative grid, and ig^(2/3). Where the table says no anode
 * current, the quantity goes on below zero along the slope of the last two points that conduct: so the current ends where the law would end
 * it, not at the next point, and ends as the power 3/2 of a straight line, whose slope there is zero. */
#include <stdio.h>
#include <string.h>

#include "valve/valve_internal.h"

const rw_column rw_valve_points_columns[4] = {
	{"anode_voltage", &rw_kind_voltage_dc, false, 0.0, 1e6},
	{"grid_voltage", &rw_kind_voltage_dc, false, -1e5, 1e5},
	{"anode_current", &rw_kind_current_dc, false, 0.0, 1e5},
	{"grid_current", &rw_kind_current_dc, false, 0.0, 1e5},
};

/* The table as a rectangle of rows. */
typedef struct layout {
	const rw_table *table;
	int n_anode, n_grid;
	double anode[RW_POINTS_MOST], grid[RW_POINTS_MOST];
	int *row;                     /* [n_anode][n_grid] */
} layout;

enum { ANODE, GRID, ANODE_CURRENT, GRID_CURRENT };

static double at(const layout *p, int i, int j, int column) { return rw_table_cell(p->table, p->row[i * p->n_grid + j], column); }

static rw_status refuse(rw_error *err, const char *expected, const char *hint, const char *what)
{
	(void)RW_RAISE(err, RW_E_VALUE, "valve.points", "%s", what);
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "%s", hint);
	return RW_E_VALUE;
}

/* ------------------------------------------------ the rectangle */

/* Adds a value to a rising list; false: no room. */
static bool note_value(double *list, int *n, double x)
{
	int i = *n;
	while (i > 0 && list[i - 1] > x)
		i--;
	if (i > 0 && list[i - 1] == x)
		return true;
	if (*n == RW_POINTS_MOST)
		return false;
	memmove(&list[i + 1], &list[i], sizeof *list * (size_t)(*n - i));
	list[i] = x;
	(*n)++;
	return true;
}

static int place_of(const double *list, int n, double x) { return rw__knots_under(list, n, x) - 1; }

static rw_status count_volts(layout *p, rw_error *err)
{
	static const char *const names[] = {"anode", "grid"};
	char what[200];
	for (int r = 0; r < p->table->n_rows; r++)
		for (int column = ANODE; column <= GRID; column++)
			if (!note_value(column == ANODE ? p->anode : p->grid, column == ANODE ? &p->n_anode : &p->n_grid, rw_table_cell(p->table, r, column))) {
				snprintf(what, sizeof what, "row %d is at one more %s volts than %d", r + 1, names[column], (int)RW_POINTS_MOST);
				return refuse(err, "a full rectangle of at most 64 anode volts by 64 grid volts", "leave every other curve out", what);
			}
	for (int column = ANODE; column <= GRID; column++) {
		int n = column == ANODE ? p->n_anode : p->n_grid;
		if (n >= RW_POINTS_LEAST)
			continue;
		snprintf(what, sizeof what, "the points are at %d different %s volts only", n, names[column]);
		return refuse(err, "4 or more anode volts by 4 or more grid volts", "read more points from the curves", what);
	}
	return RW_OK;
}

static rw_status lay_out(rw_arena *arena, layout *p, rw_error *err)
{
	char what[200];
	p->row = RW_ARENA_NEW(arena, int, p->n_anode * p->n_grid);
	if (!p->row)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	for (int k = 0; k < p->n_anode * p->n_grid; k++)
		p->row[k] = -1;
	for (int r = 0; r < p->table->n_rows; r++) {
		double va = rw_table_cell(p->table, r, ANODE), vg = rw_table_cell(p->table, r, GRID);
		int *row = &p->row[place_of(p->anode, p->n_anode, va) * p->n_grid + place_of(p->grid, p->n_grid, vg)];
		if (*row >= 0) {
			snprintf(what, sizeof what, "rows %d and %d are the same point: %g V anode, %g V grid", *row + 1, r + 1, va, vg);
			return refuse(err, "each point once", "take one of the two out", what);
		}
		*row = r;
	}
	for (int i = 0; i < p->n_anode; i++)
		for (int j = 0; j < p->n_grid; j++)
			if (p->row[i * p->n_grid + j] < 0) {
				snprintf(what, sizeof what, "no row for %g V anode, %g V grid: %d rows for %d anode volts by %d grid volts", p->anode[i], p->grid[j],
				    p->table->n_rows, p->n_anode, p->n_grid);
				return refuse(err, "a row for each anode volts at each grid volts", "add the row, or mend volts that stand in one row only", what);
			}
	return RW_OK;
}

static rw_status check_grid_volts(const layout *p, rw_error *err)
{
	int zero = place_of(p->grid, p->n_grid, 0.0);
	if (zero >= 1 && zero < p->n_grid - 1 && p->grid[zero] == 0.0)
		return RW_OK;
	return refuse(err, "grid volts below, at and above 0 V", "add the points at 0 V grid, where the grid current begins",
	    zero >= 0 && p->grid[zero] == 0.0 ? "the points are at 0 V grid and to one side of it only" : "the points have none at 0 V grid");
}

static rw_status falls(const layout *p, int i0, int j0, int i1, int j1, int column, rw_error *err)
{
	static const char *const names[] = {"", "", "anode_current", "grid_current"};
	char what[240];
	snprintf(what, sizeof what, "%s falls from %g A (row %d: %g V anode, %g V grid) to %g A (row %d: %g V anode, %g V grid)", names[column],
	    at(p, i0, j0, column), p->row[i0 * p->n_grid + j0] + 1, p->anode[i0], p->grid[j0], at(p, i1, j1, column), p->row[i1 * p->n_grid + j1] + 1,
	    p->anode[i1], p->grid[j1]);
	return refuse(err, "anode current that rises with the anode volts, and with the grid volts where these are under the anode's; "
	    "grid current that rises with the grid volts", "look for a slip in one of the two rows", what);
}

static rw_status flows(const layout *p, int i, int j, int column, rw_error *err)
{
	char what[200];
	snprintf(what, sizeof what, "row %d has %g A of %s at %g V", p->row[i * p->n_grid + j] + 1, at(p, i, j, column),
	    column == ANODE_CURRENT ? "anode current" : "grid current", column == ANODE_CURRENT ? p->anode[i] : p->grid[j]);
	return refuse(err, column == ANODE_CURRENT ? "0 A of anode current at 0 V anode" : "0 A of grid current where the grid is not positive",
	    "this law knows no emission velocities, and no emission from the grid", what);
}

static rw_status check_currents(const layout *p, rw_error *err)
{
	for (int i = 0; i < p->n_anode; i++) {
		for (int j = 0; j < p->n_grid; j++) {
			if (p->anode[i] == 0.0 && at(p, i, j, ANODE_CURRENT) > 0.0)
				return flows(p, i, j, ANODE_CURRENT, err);
			if (p->grid[j] <= 0.0 && at(p, i, j, GRID_CURRENT) > 0.0)
				return flows(p, i, j, GRID_CURRENT, err);
			if (i > 0 && at(p, i, j, ANODE_CURRENT) < at(p, i - 1, j, ANODE_CURRENT))
				return falls(p, i - 1, j, i, j, ANODE_CURRENT, err);
			if (j > 0 && p->grid[j] <= p->anode[i] && at(p, i, j, ANODE_CURRENT) < at(p, i, j - 1, ANODE_CURRENT))
				return falls(p, i, j - 1, i, j, ANODE_CURRENT, err);
			if (j > 0 && at(p, i, j, GRID_CURRENT) < at(p, i, j - 1, GRID_CURRENT))
				return falls(p, i, j - 1, i, j, GRID_CURRENT, err);
		}
	}
	return RW_OK;
}

/* ------------------------------------------------ the surfaces */

static double root(double current)
{
	double r = cbrt(current);
	return r * r;
}

/* Slope of the quantity over the first two points of a row that conduct; negative: only those with no grid current. NAN: there are none */
static double begin_slope(const layout *p, int i, bool negative)
{
	int j = 0;
	while (j < p->n_grid && !(at(p, i, j, ANODE_CURRENT) > 0.0))
		j++;
	if (j + 1 >= p->n_grid || (negative && p->grid[j + 1] > 0.0))
		return (double)NAN;
	return (root(at(p, i, j + 1, ANODE_CURRENT)) - root(at(p, i, j, ANODE_CURRENT))) / (p->grid[j + 1] - p->grid[j]);
}

/* The slope with which the anode current ends below the table: the least found, so that no row comes below it. */
static rw_status end_slope(const layout *p, double *slope, rw_error *err)
{
	char what[160];
	*slope = (double)NAN;
	for (int negative = 1; negative >= 0 && isnan(*slope); negative--)
		for (int i = p->n_anode - 1; i >= 0 && (negative || isnan(*slope)); i--) {
			double s = begin_slope(p, i, negative);
			if (s <= 0.0) {
				snprintf(what, sizeof what, "the anode current at %g V anode does not rise over the lowest grid volts at which it flows", p->anode[i]);
				return refuse(err, "more current at the higher grid volts", "give the currents with more digits", what);
			}
			*slope = fmin(*slope, s);
		}
	if (isnan(*slope))
		return refuse(err, "anode current at two neighbouring grid volts", "read points where the valve conducts", "no anode current flows in the points");
	return RW_OK;
}

static rw_status new_surface(rw_arena *arena, int nx, const double *x, int ny, const double *y, rw__surface *out, rw_error *err)
{
	size_t n = (size_t)(nx * ny);
	double *values = RW_ARENA_NEW(arena, double, 4 * n);
	if (!values)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	*out = (rw__surface){nx, ny, x, y, values, values + n, values + 2 * n, values + 3 * n, false, (double)NAN};
	return RW_OK;
}

/* One row of ia^(2/3) at anode volts of the table, the added lowest grid volts first. */
static void fill_anode_row(const layout *p, int i, const double *grid, double least_slope, double *f)
{
	double slope = fmax(begin_slope(p, i, true), least_slope);   /* fmax passes a NAN over */
	for (int j = p->n_grid - 1; j >= 0; j--) {
		double current = at(p, i, j, ANODE_CURRENT);
		bool ended = current == 0.0 && j + 1 < p->n_grid && p->grid[j] < 0.0;
		f[j + 1] = ended ? fmin(0.0, f[j + 2] - slope * (grid[j + 2] - grid[j + 1])) : root(current);
	}
}

/* ia^(2/3): a row at 0 V, and one below the lowest grid volts, straight on. */
static void fill_anode(const layout *p, int added, double least_slope, rw__surface *s)
{
	for (int i = 0; i < p->n_anode; i++)
		fill_anode_row(p, i, s->y, least_slope, &s->f[(i + added) * s->ny]);
	for (int j = 1; j < s->ny && added; j++)
		s->f[j] = fmin(0.0, least_slope * s->y[j]);
	for (int i = s->nx - 2; i >= 0; i--)          /* what was filled in must not pass the row of higher anode volts */
		for (int j = 1; j < s->ny; j++)
			s->f[i * s->ny + j] = fmin(s->f[i * s->ny + j], s->f[(i + 1) * s->ny + j]);
	for (int i = 0; i < s->nx; i++)
		s->f[i * s->ny] = s->f[i * s->ny + 1] - least_slope * (s->y[1] - s->y[0]);
	s->low_y_slope = least_slope;
}

/* ig^(2/3) from 0 V grid up; at an added 0 V anode the grid has the whole space current of the lowest anode volts. */
static void fill_grid(const layout *p, int added, int zero, rw__surface *s)
{
	for (int i = 0; i < p->n_anode; i++)
		for (int j = zero; j < p->n_grid; j++)
			s->f[(i + added) * s->ny + j - zero] = root(at(p, i, j, GRID_CURRENT));
	for (int j = zero + 1; j < p->n_grid && added; j++)
		s->f[j - zero] = root(at(p, 0, j, GRID_CURRENT) + at(p, 0, j, ANODE_CURRENT));
	s->flat_at_low_x = true;
}

static void fill_cells(const rw__surface *anode, const rw__surface *grid, rw__cell *cells)
{
	int offset = anode->ny - grid->ny;             /* of the first knot with grid current */
	for (int i = 0; i <= anode->nx; i++)
		for (int j = 0; j <= anode->ny; j++) {
			rw__cell *cell = &cells[i * (anode->ny + 1) + j];
			memset(cell, 0, sizeof *cell);
			cell->anode_at = anode->x[i > 0 ? i - 1 : 0];
			cell->grid_at = anode->y[j > 0 ? j - 1 : 0];
			if (i > 0)
				rw__surface_cell(anode, i, j, cell->root_ia);
			else
				cell->root_ia[0][0] = -1.0;    /* no anode current below 0 V */
			if (j > offset)
				rw__surface_cell(grid, i, j - offset, cell->root_ig);
		}
}

static rw_points_span span_of(const layout *p)
{
	rw_points_span span = {.anode_least = p->anode[0], .anode_most = p->anode[p->n_anode - 1], .grid_least = p->grid[0],
	    .grid_most = p->grid[p->n_grid - 1], .n_anode = p->n_anode, .n_grid = p->n_grid};
	for (int r = 0; r < p->table->n_rows; r++) {
		span.anode_current_most = fmax(span.anode_current_most, rw_table_cell(p->table, r, ANODE_CURRENT));
		span.grid_current_most = fmax(span.grid_current_most, rw_table_cell(p->table, r, GRID_CURRENT));
	}
	return span;
}

static rw_status make_cells(rw_arena *arena, const layout *p, double least_slope, rw_valve_points *out, rw_error *err)
{
	int added = p->anode[0] > 0.0, nx = p->n_anode + added, ny = p->n_grid + 1, zero = place_of(p->grid, p->n_grid, 0.0);
	double *x = RW_ARENA_NEW(arena, double, nx), *y = RW_ARENA_NEW(arena, double, ny);
	rw__cell *cells = RW_ARENA_NEW(arena, rw__cell, (nx + 1) * (ny + 1));
	rw__surface anode, grid;
	if (!x || !y || !cells)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	memcpy(x + added, p->anode, sizeof *x * (size_t)p->n_anode);
	memcpy(y + 1, p->grid, sizeof *y * (size_t)p->n_grid);
	x[0] = 0.0;
	y[0] = 2.0 * y[1] - y[2];
	RW_TRY(new_surface(arena, nx, x, ny, y, &anode, err));
	RW_TRY(new_surface(arena, nx, x, p->n_grid - zero, y + 1 + zero, &grid, err));
	fill_anode(p, added, least_slope, &anode);
	fill_grid(p, added, zero, &grid);
	rw__surface_slopes(&anode);
	rw__surface_slopes(&grid);
	fill_cells(&anode, &grid, cells);
	*out = (rw_valve_points){nx, ny, x, y, cells, span_of(p)};
	return RW_OK;
}

rw_status rw_valve_points_make(rw_arena *arena, const rw_table *table, const rw_valve_points **out, rw_error *err)
{
	layout p = {.table = table};
	double least_slope;
	RW_TRY(count_volts(&p, err));
	RW_TRY(lay_out(arena, &p, err));
	RW_TRY(check_grid_volts(&p, err));
	RW_TRY(check_currents(&p, err));
	RW_TRY(end_slope(&p, &least_slope, err));
	rw_valve_points *made = RW_ARENA_NEW(arena, rw_valve_points, 1);
	if (!made)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	RW_TRY(make_cells(arena, &p, least_slope, made, err));
	*out = made;
	return RW_OK;
}

rw_points_span rw_valve_points_span(const rw_valve_points *points) { return points->span; }

/* ------------------------------------------------ use */

static double root_ia(const rw_valve_points *points, double va, double vg)
{
	const rw__cell *cell = rw__cell_of(points, va, vg);
	return rw__bicubic(cell->root_ia, va - cell->anode_at, vg - cell->grid_at);
}

double rw__points_cutoff(const rw_valve_points *points, double va)
{
	if (!(va > 0.0))
		return 0.0;
	double low = points->grid[0], high = low, bottom = root_ia(points, va, low);
	if (bottom >= 0.0)                             /* straight below the lowest knot */
		return low - bottom / rw__cell_of(points, va, low - 1.0)->root_ia[0][1];
	for (int j = 1; j < points->n_grid && root_ia(points, va, high) <= 0.0; j++) {
		low = high;
		high = points->grid[j];
	}
	for (int turn = 0; turn < 60; turn++) {
		double middle = 0.5 * (low + high);
		if (root_ia(points, va, middle) > 0.0)
			high = middle;
		else
			low = middle;
	}
	return high;
}

static rw_status beyond(const char *what, double reached, double least, double most, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "valve.points", "the cycle goes to %.4g V on the %s while current flows, beyond the points (R13): they span %.4g to %.4g V",
	    reached, what, least, most);
	rw_error_expected(err, "points over all volts at which current flows");
	rw_error_hint(err, "read more points from the curves, or see whether the set is driven as hard as this");
	return RW_E_RANGE;
}

rw_status rw_valve_points_reach(const rw_valve_law *law, const rw_swing *swing, const rw_class_c *point, rw_error *err)
{
	if (law->law != RW_LAW_POINTS)
		return RW_OK;
	const rw_points_span *span = &law->points->span;
	double angle = fmax(point->anode_half_angle, point->grid_half_angle);
	double anode_most = swing->anode_voltage_dc - swing->anode_swing_pk * cos(angle), anode_least = swing->anode_voltage_dc - swing->anode_swing_pk;
	double grid_most = swing->grid_bias + swing->grid_swing_pk, slack = 1e-9;
	if (!(angle > 0.0))
		return RW_OK;
	if (grid_most > span->grid_most * (1.0 + slack))
		return beyond("grid", grid_most, span->grid_least, span->grid_most, err);
	if (anode_most > span->anode_most * (1.0 + slack))
		return beyond("anode", anode_most, span->anode_least, span->anode_most, err);
	if (anode_least < span->anode_least * (1.0 - slack) && span->anode_least > span->grid_most)
		return beyond("anode", anode_least, span->anode_least, span->anode_most, err);
	return RW_OK;
}
