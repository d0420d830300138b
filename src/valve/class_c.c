/* The class C operating point: means and Fourier amplitudes of the currents for sinusoidal swings.
 *
 * Everything depends on the phase t by c = cos t alone, and both volts are straight in c, so each kink of the law lies at one c. The
 * half cycle is cut there. Variable of integration: u = tan(t/4), 0..1, in which c and dt are rational: no cosine at any node.
 * A root singularity at the end of a piece goes away by u = end + span y^2, roots at or beyond both ends by y^2 (3 - 2 y). Orders 4, 8,
 * 16, 32, 64 a piece, each piece by its own error estimate.
 * Law 'points': cut where the cycle goes from one cell of the table to the next, and in a cell where a current begins or ends, found by
 * search; within a piece it is the power 3/2 of a polynomial. */
#include "valve/valve_internal.h"

enum { KINKS_MAX = 6, PIECES_MAX = 24, POINTS_PIECES_MAX = 320, ORDER_MAX = 64, CLIMBS_MAX = 40 };
enum { CUTOFF = 1, GRID_ZERO = 2, EQUAL = 4 };       /* kinks with a root of the distance at them or, EQUAL (va = vg), soon beyond: at va = 0 */
typedef enum shape { STRAIGHT, ROOT_ONE, ROOT_BOTH } shape;

typedef struct kink { double at; int kind; } kink;   /* at u */

/* Means over the cycle of ia c^k and ig c^k, k = 0.., and of va ia and vg ig: all figures are sums of them. */
typedef struct moments { double ia[4], ig[2], anode_loss, grid_loss; } moments;

struct piece {
	double low, high;          /* in u */
	double origin, span;       /* u = origin + span times y, y^2 or y^2 (3 - 2 y) */
	double from, width;        /* y runs from .. from + width */
	double share;              /* of the tolerance */
	shape shape;
	rw__region region;
	int order;
	const rw__cell *cell;      /* points only */
	moments sum;
	double error;              /* of the worst figure, relative to its mean */
	double pk_at[3], pk[3];    /* node (y) of the greatest anode, grid current, sum (points only) */
	double pk_before[3], pk_after[3];   /* its neighbours */
};

struct cycle {
	const rw_valve_law *law;
	const rw_swing *swing;
	struct piece *pieces;
	double anode_zero;         /* u at va = 0; NAN when the swing does not reach it */
	int n, most, evaluations;
};

static rw_status refuse(rw_error *err, rw_status status, const char *expected);
static rw_status check(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_error *err);
static void cut(struct cycle *cycle);
static void cut_points(struct cycle *cycle);
static rw_status refine(struct cycle *cycle, int i, const moments *total, double tolerance, rw_error *err);
static void add_piece(struct cycle *cycle, kink low, kink high);
static void sum_piece(struct cycle *cycle, struct piece *piece, int order);
static double difference(const moments *a, const moments *b, const moments *total);
static moments total_of(const struct cycle *cycle);
static void fill(struct cycle *cycle, rw_class_c *out);
static double current_pk(struct cycle *cycle, int electrode);
static double flow_half_angle(const struct cycle *cycle, int electrode);

rw_status rw_class_c_solve(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_class_c *out, rw_error *err)
{
	RW_TRY(check(law, swing, tolerance, err));
	bool points = law->law == RW_LAW_POINTS;
	struct piece pieces[POINTS_PIECES_MAX];
	struct cycle cycle = {.law = law, .swing = swing, .pieces = pieces, .most = points ? POINTS_PIECES_MAX : PIECES_MAX};
	if (points)
		cut_points(&cycle);
	else
		cut(&cycle);
	if (cycle.n == cycle.most)
		return refuse(err, RW_RAISE(err, RW_E_NOSOLVE, "valve.points", "the cycle falls into more than %d pieces", cycle.most - 1), "fewer points");
	for (int i = 0; i < cycle.n; i++)
		sum_piece(&cycle, &cycle.pieces[i], 4);
	rw_class_c result = {.anode_half_angle = flow_half_angle(&cycle, 0), .grid_half_angle = flow_half_angle(&cycle, 1)};
	moments total = total_of(&cycle);
	for (int i = 0; i < cycle.n; i++)
		cycle.pieces[i].share = tolerance / cycle.n;
	for (int i = 0; i < cycle.n; i++) {
		RW_TRY(refine(&cycle, i, &total, tolerance, err));
		result.error += cycle.pieces[i].error;
	}
	fill(&cycle, &result);
	if (!isfinite(result.anode_loss) || !isfinite(result.grid_loss))
		return refuse(err, RW_RAISE(err, RW_E_RANGE, "swing", "the currents of this swing are too great to be numbers"),
		              "currents that can be held as numbers");
	*out = result;
	return RW_OK;
}

/* Doubles the order of a piece until its error estimate is under its share. A root just outside the piece makes 64 nodes too few (a
 * faint grid swing, anode volts that come near nothing): then it is halved, and the other half appended. */
static rw_status refine(struct cycle *cycle, int i, const moments *total, double tolerance, rw_error *err)
{
	struct piece *piece = &cycle->pieces[i];
	do {
		if (piece->order == ORDER_MAX) {
			if (cycle->n == cycle->most) {
				rw_status status = RW_RAISE(err, RW_E_NOSOLVE, "swing", "64 nodes a piece do not reach the tolerance %g for this swing",
				    tolerance);
				if (err)
					err->residual = piece->error;
				return refuse(err, status, "a swing that drives more than a faint current");
			}
			piece->share *= 0.5;
			piece->width *= 0.5;
			struct piece *other = &cycle->pieces[cycle->n++];
			*other = *piece;
			other->from += other->width;
			sum_piece(cycle, other, 4);
			sum_piece(cycle, piece, 4);
		}
		moments coarse = piece->sum;
		sum_piece(cycle, piece, 2 * piece->order);
		double change = difference(&coarse, &piece->sum, total);
		/* change is the coarse sum's error; the fine one's is about its square: twice the power 1.5 is the cautious middle */
		piece->error = fmin(2.0 * change * sqrt(change), change);
	} while (!(piece->error <= piece->share));
	return RW_OK;
}

static rw_status refuse(rw_error *err, rw_status status, const char *expected)
{
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "look for a figure of the valve, or volts, far too small or too great");
	return status;
}

static rw_status check(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_error *err)
{
	double volts = swing->anode_voltage_dc + swing->anode_swing_pk + swing->grid_bias + swing->grid_swing_pk;
	if (!isfinite(volts) || swing->anode_swing_pk < 0.0 || swing->grid_swing_pk < 0.0)
		return refuse(err, RW_RAISE(err, RW_E_RANGE, "swing", "a swing is negative or not a number: anode %g V from %g V, grid %g V from %g V",
		                            swing->anode_swing_pk, swing->anode_voltage_dc, swing->grid_swing_pk, swing->grid_bias),
		                                        "swings of zero or more");
	if (!(tolerance >= 1e-10 && tolerance <= 1e-3))
		return refuse(err, RW_RAISE(err, RW_E_RANGE, "tolerance", "the tolerance %g is not accepted", tolerance), "1e-10 to 1e-3");
	bool ideal = law->law == RW_LAW_IDEAL;
	if (law->law == RW_LAW_POINTS) {
		if (law->points && law->perveance > 0.0 && law->emission > 0.0)
			return RW_OK;
		return refuse(err, RW_RAISE(err, RW_E_RANGE, "law", "the valve's points, or their factor, are missing"), "points, and figures over zero");
	}
	if (!(law->perveance > 0.0 && law->mu > 0.0) || !(ideal ? law->exponent >= 0.5 && law->grid_perveance >= 0.0
	                                                        : law->division > 0.0 && law->emission > 0.0))
		return refuse(err, RW_RAISE(err, RW_E_RANGE, "law", "a figure of the valve's law is not positive"), "figures over zero");
	return RW_OK;
}

/* u where cos t is c; NAN outside the swing. */
static double u_at(double c)
{
	return c > -1.0 && c < 1.0 ? sqrt(0.5 * (1.0 - c)) / (1.0 + sqrt(0.5 * (1.0 + c))) : (double)NAN;   /* sin t/2, cos t/2 */
}

/* Notes a cut in the order of u. */
static void add_cut(kink *kinks, int *n, double u, int kind)
{
	int i = (*n)++;
	for (; i > 0 && kinks[i - 1].at > u; i--)
		kinks[i] = kinks[i - 1];
	kinks[i] = (kink){u, kind};
}

/* Notes a kink at c; one outside the swing is none. */
static void add_kink(kink *kinks, int *n, double c, int kind)
{
	double u = u_at(c);
	if (!isnan(u))
		add_cut(kinks, n, u, kind);
}

static void cut(struct cycle *cycle)
{
	const rw_valve_law *law = cycle->law;
	double va0 = cycle->swing->anode_voltage_dc, va1 = -cycle->swing->anode_swing_pk;
	double vg0 = cycle->swing->grid_bias, vg1 = cycle->swing->grid_swing_pk;
	double x0 = vg0 + va0 / law->mu, x1 = vg1 + va1 / law->mu;     /* the bracket while va > 0 */
	kink kinks[KINKS_MAX];
	int n = 0;
	add_kink(kinks, &n, -x0 / x1, CUTOFF);           /* a division by zero gives no kink within -1..1 */
	add_kink(kinks, &n, -vg0 / vg1, GRID_ZERO);
	if (law->law == RW_LAW_DIVIDED) {
		cycle->anode_zero = u_at(-va0 / va1);
		add_kink(kinks, &n, -va0 / va1, 0);
		add_kink(kinks, &n, (va0 - vg0) / (vg1 - va1), EQUAL);
		if (isfinite(law->emission)) {
			double x = cbrt(law->emission / law->perveance);
			add_kink(kinks, &n, (x * x - x0) / x1, 0);
			add_kink(kinks, &n, (x * x - vg0) / vg1, 0);
		}
	}
	kink low = {0.0, 0};
	for (int i = 0; i < n; i++) {
		add_piece(cycle, low, kinks[i]);
		low = kinks[i];
	}
	add_piece(cycle, low, (kink){1.0, 0});
}

static double cosine(double u)
{
	double q = u / (1.0 + u * u);
	return 1.0 - 8.0 * q * q;
}

static void currents_at(const struct cycle *cycle, rw__region region, const rw__cell *cell, double u, double current[3])
{
	const rw_swing *swing = cycle->swing;
	double c = cosine(u);
	double va = swing->anode_voltage_dc - swing->anode_swing_pk * c, vg = swing->grid_bias + swing->grid_swing_pk * c;
	if (region == RW__POINTS)
		rw__cell_currents(cycle->law, cell, va, vg, &current[0], &current[1]);
	else
		rw__currents_in(cycle->law, region, va, vg, &current[0], &current[1]);
	current[2] = current[0] + current[1];
}

/* Adds a piece unless it is empty or without current. What the currents have a root at: NEGATIVE and IDEAL at cut-off, all with grid
 * current at vg = 0 (SQUARE never comes there), ROOT at va = 0, which lies just beyond its end at va = vg. */
static void add_piece(struct cycle *cycle, kink low, kink high)
{
	const rw_swing *swing = cycle->swing;
	double c = cosine(0.5 * (low.at + high.at)), middle[3];
	double va = swing->anode_voltage_dc - swing->anode_swing_pk * c, vg = swing->grid_bias + swing->grid_swing_pk * c;
	rw__region region = rw__region_of(cycle->law, va, vg);
	currents_at(cycle, region, NULL, 0.5 * (low.at + high.at), middle);
	if (!(high.at > low.at) || (middle[0] == 0.0 && middle[1] == 0.0))
		return;
	static const int roots_of[] = {
		[RW__NEGATIVE] = CUTOFF, [RW__ROOT] = GRID_ZERO | EQUAL, [RW__SQUARE] = 0, [RW__SWALLOWED] = GRID_ZERO, [RW__IDEAL] = CUTOFF | GRID_ZERO,
	};
	int roots = roots_of[region] & (isnan(cycle->anode_zero) ? ~EQUAL : ~0);
	bool at_low = low.kind & roots, at_high = high.kind & roots, from_high = (high.kind & roots & ~EQUAL) || (low.kind & roots & EQUAL);
	struct piece *piece = &cycle->pieces[cycle->n++];
	*piece = (struct piece){.low = low.at, .high = high.at, .region = region, .width = 1.0};
	piece->origin = from_high ? high.at : low.at;
	piece->span = (from_high ? low.at : high.at) - piece->origin;
	piece->shape = at_low && at_high ? ROOT_BOTH : at_low || at_high ? ROOT_ONE : STRAIGHT;
	if ((low.kind | high.kind) & roots & EQUAL) {
		double whole = cycle->anode_zero - piece->origin;
		piece->shape = ROOT_BOTH;
		piece->width = 0.5 - sin(asin(1.0 - 2.0 * piece->span / whole) / 3.0);   /* where y^2 (3 - 2 y) is span/whole */
		piece->span = whole;
	}
}

/* What changes sign where a current of a cell begins or ends, or is capped: ia^(2/3), ig^(2/3), what is left of the emission. */
enum { SIGNS = 3, PROBES = 5 };

static double sign_value(const struct cycle *cycle, const rw__cell *cell, int which, double u)
{
	const rw_swing *swing = cycle->swing;
	double c = cosine(u), va = swing->anode_voltage_dc - swing->anode_swing_pk * c, vg = swing->grid_bias + swing->grid_swing_pk * c;
	if (which < 2)
		return rw__bicubic(which == 0 ? cell->root_ia : cell->root_ig, va - cell->anode_at, vg - cell->grid_at);
	rw_valve_law free = *cycle->law;
	double ia, ig;
	free.emission = (double)INFINITY;
	rw__cell_currents(&free, cell, va, vg, &ia, &ig);
	return cycle->law->emission - ia - ig;
}

/* Between low and high, where the signs differ: the interval halved, or cut by the chord, until nothing is left of it. */
static double sign_change(const struct cycle *cycle, const rw__cell *cell, int which, double low, double high, double at_low, double at_high)
{
	for (int turn = 0; turn < 100 && high - low > 1e-15 * high; turn++) {
		double middle = turn % 3 == 2 ? 0.5 * (low + high) : low + (high - low) * at_low / (at_low - at_high);
		double value = sign_value(cycle, cell, which, middle);
		if (value == 0.0 || !(middle > low && middle < high))
			return fmin(fmax(middle, low), high);
		if ((value > 0.0) == (at_low > 0.0))
			low = middle, at_low = value;
		else
			high = middle, at_high = value;
	}
	return 0.5 * (low + high);
}

/* Has the current a root at this end of an interval? A value that is nothing against that in the middle. */
static bool roots_at(const struct cycle *cycle, const rw__cell *cell, double end, double middle)
{
	for (int which = 0; which < 2; which++) {
		double inside = sign_value(cycle, cell, which, middle);
		if (inside > 0.0 && fabs(sign_value(cycle, cell, which, end)) <= 1e-9 * inside)
			return true;
	}
	return false;
}

static void add_cell_piece(struct cycle *cycle, const rw__cell *cell, double low, double high)
{
	double middle = 0.5 * (low + high);
	bool flows = false;
	for (int k = 1; k < PROBES && !flows; k++)
		for (int which = 0; which < 2; which++)
			flows = flows || sign_value(cycle, cell, which, low + (high - low) * k / PROBES) > 0.0;
	if (!(high > low) || !flows || cycle->n == cycle->most)
		return;
	bool at_low = roots_at(cycle, cell, low, middle), at_high = roots_at(cycle, cell, high, middle);
	struct piece *piece = &cycle->pieces[cycle->n++];
	*piece = (struct piece){.low = low, .high = high, .region = RW__POINTS, .cell = cell, .width = 1.0};
	piece->origin = at_high ? high : low;
	piece->span = (at_high ? low : high) - piece->origin;
	piece->shape = at_low && at_high ? ROOT_BOTH : at_low || at_high ? ROOT_ONE : STRAIGHT;
}

/* A stretch of the cycle within one cell, cut once more where a current begins or ends. */
static void cut_cell(struct cycle *cycle, double low, double high)
{
	const rw_swing *swing = cycle->swing;
	double c = cosine(0.5 * (low + high));
	const rw__cell *cell = rw__cell_of(cycle->law->points, swing->anode_voltage_dc - swing->anode_swing_pk * c,
	    swing->grid_bias + swing->grid_swing_pk * c);
	kink cuts[SIGNS * PROBES];
	int n = 0;
	for (int which = 0; which < (isfinite(cycle->law->emission) ? SIGNS : 2); which++) {
		double at = low, value = sign_value(cycle, cell, which, low);
		for (int k = 1; k < PROBES; k++) {
			double next = low + (high - low) * k / (PROBES - 1), there = sign_value(cycle, cell, which, next);
			if (value * there < 0.0)
				add_cut(cuts, &n, sign_change(cycle, cell, which, at, next, value, there), 0);
			at = next, value = there;
		}
	}
	for (int k = 0; k < n; k++) {
		add_cell_piece(cycle, cell, low, cuts[k].at);
		low = cuts[k].at;
	}
	add_cell_piece(cycle, cell, low, high);
}

/* The cycle runs through the volts of the table in order: upwards in u the grid's fall, the anode's rise. */
static void cut_points(struct cycle *cycle)
{
	const rw_valve_points *points = cycle->law->points;
	const rw_swing *swing = cycle->swing;
	double low = 0.0;
	int i = 0, j = points->n_grid - 1;
	for (;;) {
		double anode = (double)NAN, grid = (double)NAN;
		for (; i < points->n_anode && isnan(anode); i++)
			anode = u_at((swing->anode_voltage_dc - points->anode[i]) / swing->anode_swing_pk);
		for (; j >= 0 && isnan(grid); j--)
			grid = u_at((points->grid[j] - swing->grid_bias) / swing->grid_swing_pk);
		if (isnan(anode) && isnan(grid))
			break;
		double next = fmin(anode, grid);
		i -= anode > next;
		j += grid > next;
		if (next > low)
			cut_cell(cycle, low, next);
		low = next;
	}
	cut_cell(cycle, low, 1.0);
}

static double u_of(const struct piece *piece, double y)
{
	return piece->origin + piece->span * (piece->shape == STRAIGHT ? y : piece->shape == ROOT_ONE ? y * y : y * y * (3.0 - 2.0 * y));
}

/* One node after another; inlined once a region, so that the region is no question inside. */
static inline __attribute__((always_inline)) void sum_nodes(const struct cycle *cycle, struct piece *piece, const rw__gauss_node *node,
                                                            int order, rw__region region)
{
	const rw_valve_law law = *cycle->law;
	const rw_swing swing = *cycle->swing;
	const rw__cell *cell = piece->cell;
	moments sum = {0};
	int greatest[3] = {0, 0, 0};
	double pk[3] = {-1.0, -1.0, -1.0}, scale = (4.0 / M_PI) * piece->width * fabs(piece->span);
	for (int i = 0; i < order; i++) {
		double y = piece->from + piece->width * node[i].at, weight = node[i].weight * scale, ia, ig;
		if (piece->shape != STRAIGHT)
			weight *= piece->shape == ROOT_ONE ? 2.0 * y : 6.0 * y * (1.0 - y);
		double u = u_of(piece, y);
		double q = 1.0 / (1.0 + u * u), s = u * q, c = 1.0 - 8.0 * s * s;
		double va = swing.anode_voltage_dc - swing.anode_swing_pk * c, vg = swing.grid_bias + swing.grid_swing_pk * c;
		if (region == RW__POINTS) {
			rw__cell_currents(&law, cell, va, vg, &ia, &ig);
			if (ia + ig > pk[2])
				pk[2] = ia + ig, greatest[2] = i;
		} else {
			rw__currents_in(&law, region, va, vg, &ia, &ig);
		}
		if (ia > pk[0])
			pk[0] = ia, greatest[0] = i;
		if (ig > pk[1])
			pk[1] = ig, greatest[1] = i;
		weight *= q;                              /* dt = 4 q du */
		double wa = weight * ia, wg = weight * ig, wac = wa * c;
		sum.ia[0] += wa;
		sum.ia[1] += wac;
		sum.ia[2] += wac * c;
		sum.ia[3] += wac * c * c;
		sum.ig[0] += wg;
		sum.ig[1] += wg * c;
		sum.anode_loss += wa * va;
		sum.grid_loss += wg * vg;
	}
	piece->sum = sum;
	for (int k = 0; k < (region == RW__POINTS ? 3 : 2); k++) {
		piece->pk[k] = pk[k];
		int i = greatest[k];
		piece->pk_before[k] = piece->from + piece->width * (i > 0 ? node[i - 1].at : 0.0);
		piece->pk_at[k] = piece->from + piece->width * node[i].at;
		piece->pk_after[k] = piece->from + piece->width * (i < order - 1 ? node[i + 1].at : 1.0);
	}
}

static void sum_piece(struct cycle *cycle, struct piece *piece, int order)
{
	const rw__gauss_node *node = rw__gauss(order);
	switch (piece->region) {
	case RW__NEGATIVE:  sum_nodes(cycle, piece, node, order, RW__NEGATIVE); break;
	case RW__ROOT:      sum_nodes(cycle, piece, node, order, RW__ROOT); break;
	case RW__SQUARE:    sum_nodes(cycle, piece, node, order, RW__SQUARE); break;
	case RW__SWALLOWED: sum_nodes(cycle, piece, node, order, RW__SWALLOWED); break;
	case RW__IDEAL:     sum_nodes(cycle, piece, node, order, RW__IDEAL); break;
	case RW__POINTS:    sum_nodes(cycle, piece, node, order, RW__POINTS); break;
	}
	piece->order = order;
	cycle->evaluations += order;
}

static double amplitude_2(const double m[4]) { return 2.0 * (2.0 * m[2] - m[0]); }           /* cos 2t = 2 c^2 - 1 */
static double amplitude_3(const double m[4]) { return 2.0 * (4.0 * m[3] - 3.0 * m[1]); }     /* cos 3t = 4 c^3 - 3 c */

/* Greatest difference of a figure, relative to the mean of its current. */
static double difference(const moments *a, const moments *b, const moments *total)
{
	double d[4] = {a->ia[0] - b->ia[0], a->ia[1] - b->ia[1], a->ia[2] - b->ia[2], a->ia[3] - b->ia[3]};
	double anode = fmax(fmax(fabs(d[0]), 2.0 * fabs(d[1])), fmax(fabs(amplitude_2(d)), fabs(amplitude_3(d))));
	double grid = fmax(fabs(a->ig[0] - b->ig[0]), 2.0 * fabs(a->ig[1] - b->ig[1]));
	anode = anode > 0.0 ? anode / total->ia[0] : 0.0;
	grid = grid > 0.0 ? grid / total->ig[0] : 0.0;
	return fmax(anode, grid);
}

static moments total_of(const struct cycle *cycle)
{
	moments total = {0};
	for (int i = 0; i < cycle->n; i++) {
		const moments *m = &cycle->pieces[i].sum;
		for (int k = 0; k < 4; k++)
			total.ia[k] += m->ia[k];
		for (int k = 0; k < 2; k++)
			total.ig[k] += m->ig[k];
		total.anode_loss += m->anode_loss;
		total.grid_loss += m->grid_loss;
	}
	return total;
}

static void fill(struct cycle *cycle, rw_class_c *out)
{
	moments total = total_of(cycle);
	out->anode_current_dc = total.ia[0];
	out->anode_current_fund_pk = 2.0 * total.ia[1];
	out->anode_current_2_pk = amplitude_2(total.ia);
	out->anode_current_3_pk = amplitude_3(total.ia);
	out->grid_current_dc = total.ig[0];
	out->grid_current_fund_pk = 2.0 * total.ig[1];
	out->anode_loss = total.anode_loss;
	out->grid_loss = total.grid_loss;
	out->anode_current_pk = current_pk(cycle, 0);
	out->grid_current_pk = current_pk(cycle, 1);
	if (cycle->law->law == RW_LAW_POINTS)
		out->cathode_current_pk = current_pk(cycle, 2);
	for (int end = 0; end < 2; end++) {              /* the sum is convex in c, or capped: greatest at an end */
		double va = cycle->swing->anode_voltage_dc + (end ? 1.0 : -1.0) * cycle->swing->anode_swing_pk, ia, ig;
		rw_valve_currents(cycle->law, va, cycle->swing->grid_bias - (end ? 1.0 : -1.0) * cycle->swing->grid_swing_pk, &ia, &ig);
		out->cathode_current_pk = fmax(out->cathode_current_pk, ia + ig);
	}
	out->evaluations = cycle->evaluations + 2;
}

/* Greatest current within y0..y2 of a piece, from three rising points by repeated parabolas; at once done where y1 is no summit. */
static double climb(struct cycle *cycle, const struct piece *piece, int electrode, double y0, double y1, double y2)
{
	double y[3] = {y0, y1, y2}, f[3], best = 0.0;
	for (int i = 0; i < 3; i++) {
		double current[3];
		currents_at(cycle, piece->region, piece->cell, u_of(piece, y[i]), current);
		f[i] = current[electrode];
		best = fmax(best, f[i]);
	}
	cycle->evaluations += 3;
	for (int step = 0; step < CLIMBS_MAX; step++) {
		double left = (f[1] - f[0]) / (y[1] - y[0]), right = (f[2] - f[1]) / (y[2] - y[1]);
		double bend = (right - left) / (y[2] - y[0]);
		double at = 0.5 * (y[0] + y[1] - left / bend), current[3];
		if (!(bend < 0.0 && at > y[0] && at < y[2]) || fabs(at - y[1]) <= 1e-12)
			break;
		currents_at(cycle, piece->region, piece->cell, u_of(piece, at), current);
		cycle->evaluations++;
		double gain = current[electrode] - best;
		best = fmax(best, current[electrode]);
		bool beyond = at > y[1], higher = current[electrode] > f[1];
		int edge = beyond == higher ? 0 : 2;         /* the edge given up: to the old middle when the new point is higher */
		y[edge] = higher ? y[1] : at, f[edge] = higher ? f[1] : current[electrode];
		if (higher)
			y[1] = at, f[1] = current[electrode];
		if (fabs(gain) <= 1e-10 * best)
			break;
	}
	return best;
}

/* A summit may lie between the nodes, or at a piece's end: every piece with a node near the greatest is climbed. */
static double current_pk(struct cycle *cycle, int electrode)
{
	double node = 0.0, best = 0.0;
	for (int i = 0; i < cycle->n; i++)
		node = fmax(node, cycle->pieces[i].pk[electrode]);
	for (int i = 0; node > 0.0 && i < cycle->n; i++) {
		const struct piece *piece = &cycle->pieces[i];
		if (piece->pk[electrode] >= 0.9 * node)
			best = fmax(best, climb(cycle, piece, electrode, piece->pk_before[electrode], piece->pk_at[electrode], piece->pk_after[electrode]));
	}
	return best;
}

/* Sum of the pieces in which the current flows, t = 4 arctan u; runs without a gap are taken in one. */
static double flow_half_angle(const struct cycle *cycle, int electrode)
{
	double angle = 0.0, from = 0.0, to = 0.0;
	for (int i = 0; i < cycle->n; i++) {
		const struct piece *piece = &cycle->pieces[i];
		if (!(piece->pk[electrode] > 0.0))
			continue;
		if (piece->low != to) {
			angle += 4.0 * (atan(to) - atan(from));
			from = piece->low;
		}
		to = piece->high;
	}
	return angle + 4.0 * (atan(to) - atan(from));
}
