/* A surface of cubics through values on a rectangle that keeps their order.
 *
 * Slopes by the parabola through three neighbours, held within 1.5 of the lesser secant, so that the control polygon of each edge's cubic
 * keeps the order of its ends. In a cell the sixteen control points of the tensor (Bernstein form) then are put to the test: where the values
 * on two opposite edges of a cell go the same way, each line of control points across must go that way too, and so does the surface, for it
 * is a mean of them (its slope is a mean of their differences, all of one sign). Where a line does not, the twist, then the slopes at the
 * cell's corners are drawn towards zero; with none left every line keeps the order, so this ends. */
#include <string.h>

#include "valve/valve_internal.h"

enum { SWEEPS = 80 };
static const double share_of_secant = 1.5;

typedef struct lattice { const double *knots; const double *f; double *slope; int n, stride; } lattice;   /* a line of nodes */

static double secant(const lattice *line, int i)
{
	return (line->f[(i + 1) * line->stride] - line->f[i * line->stride]) / (line->knots[i + 1] - line->knots[i]);
}

/* Slope at a node by the parabola through it and its neighbours; at an end, through the next two. */
static double parabola(const lattice *line, int i)
{
	if (line->n == 2)
		return secant(line, 0);
	int m = i == 0 ? 1 : i == line->n - 1 ? line->n - 2 : i;
	double before = secant(line, m - 1), behind = secant(line, m);
	double h0 = line->knots[m] - line->knots[m - 1], h1 = line->knots[m + 1] - line->knots[m];
	double middle = (before * h1 + behind * h0) / (h0 + h1);
	return i == m ? middle : i < m ? 2.0 * before - middle : 2.0 * behind - middle;
}

static double held(const lattice *line, int i, double slope)
{
	double before = i > 0 ? secant(line, i - 1) : secant(line, 0), behind = i < line->n - 1 ? secant(line, i) : before;
	if (before * behind <= 0.0 || slope * before <= 0.0)
		return 0.0;
	double most = share_of_secant * fmin(fabs(before), fabs(behind));
	return copysign(fmin(fabs(slope), most), before);
}

static void put_slopes(lattice line, bool hold)
{
	for (int i = 0; i < line.n; i++) {
		double slope = parabola(&line, i);
		line.slope[i * line.stride] = hold ? held(&line, i, slope) : slope;
	}
}

static void all_lines(const rw__surface *s, const double *values, double *slopes, bool along_x, bool hold)
{
	int lines = along_x ? s->ny : s->nx, step = along_x ? 1 : s->ny;
	for (int k = 0; k < lines; k++)
		put_slopes((lattice){along_x ? s->x : s->y, values + k * step, slopes + k * step, along_x ? s->nx : s->ny, along_x ? s->ny : 1}, hold);
}

/* The control points of a cell with its lower corner at node (i, j). */
static void control_net(const rw__surface *s, int i, int j, double b[4][4])
{
	double hx = (s->x[i + 1] - s->x[i]) / 3.0, hy = (s->y[j + 1] - s->y[j]) / 3.0;
	for (int p = 0; p < 2; p++) {
		for (int q = 0; q < 2; q++) {
			int n = (i + p) * s->ny + j + q;
			double dx = p ? -hx : hx, dy = q ? -hy : hy;
			int k = p ? 2 : 1, l = q ? 2 : 1;
			b[3 * p][3 * q] = s->f[n];
			b[k][3 * q] = s->f[n] + dx * s->fx[n];
			b[3 * p][l] = s->f[n] + dy * s->fy[n];
			b[k][l] = s->f[n] + dx * s->fx[n] + dy * s->fy[n] + dx * dy * s->fxy[n];
		}
	}
}

/* Which way the values go over two opposite edges: 1, -1, or 0 where they disagree. */
static double common_way(double one, double other)
{
	return one >= 0.0 && other >= 0.0 ? 1.0 : one <= 0.0 && other <= 0.0 ? -1.0 : 0.0;
}

/* A twist may take from a slope on its way over the third of a step no more than there is. */
static void hold_twist(double *twist, double slope, double third)
{
	*twist = copysign(fmin(fabs(*twist), fabs(slope) / third), *twist);
}

static void draw_in(double *twist, double *along, double *across, double way)
{
	*twist *= 0.5;
	*along *= 0.95;
	if (way * *across > 0.0)
		*across *= 0.95;
}

/* Tests a cell along x (or y); draws in what offends. true: it kept the order. last: slopes go at once. */
static bool keep_order(rw__surface *s, int i, int j, bool along_x, double scale, bool last)
{
	double b[4][4];
	control_net(s, i, j, b);
	double way = along_x ? common_way(b[3][0] - b[0][0], b[3][3] - b[0][3]) : common_way(b[0][3] - b[0][0], b[3][3] - b[3][0]);
	if (way == 0.0)
		return true;
	double third = (along_x ? s->y[j + 1] - s->y[j] : s->x[i + 1] - s->x[i]) / 3.0;
	double *slope = along_x ? s->fx : s->fy, *across = along_x ? s->fy : s->fx;
	bool kept = true;
	for (int l = 0; l < 4; l++) {
		int q = l < 2 ? 0 : 1;
		int low = along_x ? i * s->ny + j + q : (i + q) * s->ny + j, high = along_x ? low + s->ny : low + 1;
		for (int k = 0; k < 3; k++) {
			double step = along_x ? b[k + 1][l] - b[k][l] : b[l][k + 1] - b[l][k];
			if (way * step >= -1e-13 * scale)
				continue;
			kept = false;
			if (last) {
				s->fx[low] = s->fx[high] = s->fy[low] = s->fy[high] = s->fxy[low] = s->fxy[high] = 0.0;
			} else if (k != 1) {
				int n = k == 0 ? low : high;
				hold_twist(&s->fxy[n], slope[n], third);
			} else {
				draw_in(&s->fxy[low], &slope[low], &across[low], q ? -way : way);
				draw_in(&s->fxy[high], &slope[high], &across[high], q ? way : -way);
			}
		}
	}
	return kept;
}

/* The straight row below is not to be drawn in: what lies beyond hangs on it. */
static void fix_edges(rw__surface *s)
{
	for (int i = 0; i < s->nx && !isnan(s->low_y_slope); i++) {
		s->fy[i * s->ny] = s->low_y_slope;
		s->fxy[i * s->ny] = 0.0;
	}
	for (int j = 0; j < s->ny && s->flat_at_low_x; j++)
		s->fx[j] = s->fxy[j] = 0.0;
}

void rw__surface_slopes(rw__surface *s)
{
	int n = s->nx * s->ny;
	double scale = 0.0;
	for (int k = 0; k < n; k++)
		scale = fmax(scale, fabs(s->f[k]));
	all_lines(s, s->f, s->fx, true, true);
	all_lines(s, s->f, s->fy, false, true);
	fix_edges(s);
	all_lines(s, s->fy, s->fxy, true, false);
	fix_edges(s);
	bool kept = false;
	for (int sweep = 0; !kept && sweep < SWEEPS + n; sweep++) {
		kept = true;
		for (int i = 0; i + 1 < s->nx; i++)
			for (int j = 0; j + 1 < s->ny; j++) {
				bool along_x = keep_order(s, i, j, true, scale, sweep >= SWEEPS);
				bool along_y = keep_order(s, i, j, false, scale, sweep >= SWEEPS);
				kept = kept && along_x && along_y;
			}
		fix_edges(s);
	}
}

/* Powers of the cubic with these values and slopes at both ends of h; h 0: beyond the outermost, straight. */
static void powers(double f0, double d0, double f1, double d1, double h, double a[4])
{
	a[0] = f0;
	a[1] = d0;
	a[2] = h > 0.0 ? (3.0 * (f1 - f0) / h - 2.0 * d0 - d1) / h : 0.0;
	a[3] = h > 0.0 ? (d0 + d1 - 2.0 * (f1 - f0) / h) / (h * h) : 0.0;
}

void rw__surface_cell(const rw__surface *s, int i, int j, double a[4][4])
{
	int low_x = i > 0 ? i - 1 : 0, low_y = j > 0 ? j - 1 : 0;
	double hx = i > 0 && i < s->nx ? s->x[i] - s->x[i - 1] : 0.0, hy = j > 0 && j < s->ny ? s->y[j] - s->y[j - 1] : 0.0;
	double value[2][4] = {{0.0}}, slope[2][4] = {{0.0}};
	for (int p = 0; p < (hx > 0.0 ? 2 : 1); p++) {
		int n = (low_x + p) * s->ny + low_y, m = hy > 0.0 ? n + 1 : n;
		powers(s->f[n], s->fy[n], s->f[m], s->fy[m], hy, value[p]);
		powers(s->fx[n], s->fxy[n], s->fx[m], s->fxy[m], hy, slope[p]);
	}
	for (int l = 0; l < 4; l++) {
		double column[4];
		powers(value[0][l], slope[0][l], value[1][l], slope[1][l], hx, column);
		for (int k = 0; k < 4; k++)
			a[k][l] = column[k];
	}
}
