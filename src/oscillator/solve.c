/* Rating: the balance of valve, tank, leak and supply, by a scan over the anode swing. */
#include <math.h>
#include <string.h>

#include "base/numeric.h"
#include "oscillator/oscillator.h"

enum { SCAN_STEPS = 60 };
static const double followed = 0.02;                        /* of the swing, to either side: a balance that has moved a little */
static const double scan_low = 0.02, scan_high = 1.3;       /* of the no-load HT; an empty coil swings beyond the anode volts */
static const double coarse = 1e-6, fine = 1e-10;            /* relative error of the class C means: while scanning, at the solution */

typedef struct balance {
	const rw_oscillator_problem *problem;
	double tolerance;
	rw_swing swing;
	rw_class_c currents;
	double bias_share, bias_slope;   /* of the last leak balance: bias over grid swing, slope of its residual; 0: none yet */
	int evaluations;
} balance;

static rw_status class_c(balance *b, rw_error *err)
{
	b->evaluations++;
	return rw_class_c_solve(&b->problem->law, &b->swing, b->tolerance, &b->currents, err);
}

/* Leak: bias + Rg Ig(bias) = 0; falls through zero once, because Ig falls with bias. */
static rw_status leak_residual(void *context, double bias, double *y, rw_error *err)
{
	balance *b = context;
	b->swing.grid_bias = bias;
	RW_TRY(class_c(b, err));
	*y = bias + b->problem->grid_leak * b->currents.grid_current_dc;
	return RW_OK;
}

/* Secant from the last balance with its slope. The residual rises at least as fast as the bias, so that a residual under the goal is a bias within it.
 * *settled: false where that does not get there, at a first point or where the quadrature changes its pieces. */
static rw_status bias_from_last(balance *b, double goal, bool *settled, rw_error *err)
{
	double scale = b->swing.grid_swing_pk, x0 = b->bias_share * scale, y0;
	*settled = false;
	if (!(b->bias_slope >= 1.0))
		return RW_OK;
	RW_TRY(leak_residual(b, x0, &y0, err));
	for (int turn = 0; turn < 6 && fabs(y0) > goal; turn++) {
		double x1 = x0 - y0 / b->bias_slope, y1;
		if (!(x1 > -scale && x1 < 0.0))
			return RW_OK;
		RW_TRY(leak_residual(b, x1, &y1, err));
		double slope = (y1 - y0) / (x1 - x0);
		if (fabs(y1) > goal && slope >= 1.0)   /* near the goal it is noise */
			b->bias_slope = slope;
		x0 = x1, y0 = y1;
	}
	*settled = fabs(y0) <= goal;
	return RW_OK;
}

static rw_status settle_bias(balance *b, rw_error *err)
{
	rw_root root;
	double scale = b->swing.grid_swing_pk, goal = b->tolerance * 1e-2 * scale;
	bool settled;
	RW_TRY(bias_from_last(b, goal, &settled, err));
	if (!settled) {
		RW_TRY(rw_root_find(leak_residual, b, -scale, 0.0, goal, 0.0, &root, err));
		RW_TRY(leak_residual(b, root.x, &root.residual, err));
		b->bias_slope = 1.0;
	}
	b->bias_share = b->swing.grid_bias / scale;
	return RW_OK;
}

/* Supply: V_A - V(Ia(V_A)) = 0. */
static rw_status supply_residual(void *context, double voltage, double *y, rw_error *err)
{
	balance *b = context;
	double given;
	b->swing.anode_voltage_dc = voltage;
	RW_TRY(settle_bias(b, err));
	RW_TRY(b->problem->supply(b->problem->supply_context, b->currents.anode_current_dc, &given, err));
	*y = voltage - given;
	return RW_OK;
}

/* Secant from the last anode volts: the drop is a few per cent and nearly straight. */
static rw_status settle_supply(balance *b, rw_error *err)
{
	double x0 = b->swing.anode_voltage_dc, y0, y1;
	double goal = b->tolerance * 1e-2 * b->problem->voltage_scale;
	RW_TRY(supply_residual(b, x0, &y0, err));
	double x1 = x0 - y0;
	for (int turn = 0; turn < 40; turn++) {
		RW_TRY(supply_residual(b, x1, &y1, err));
		if (fabs(y1) <= goal)
			return RW_OK;
		double slope = (y1 - y0) / (x1 - x0);
		double x2 = slope > 0.0 ? x1 - y1 / slope : x1 - 0.5 * y1;
		x0 = x1, y0 = y1, x1 = x2;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "supply.voltage_dc", "anode volts and current do not settle against the supply");
	rw_error_expected(err, "a supply whose volts fall little under the valve's current");
	rw_error_hint(err, "the valve's current is close to what the supply gives into a short");
	return RW_E_NOSOLVE;
}

/* What the valve gives over what the tank takes, per volt of swing: zero at a balance, falling through it when stable. */
static rw_status surplus(void *context, double swing_pk, double *y, rw_error *err)
{
	balance *b = context;
	b->swing.anode_swing_pk = swing_pk;
	b->swing.grid_swing_pk = swing_pk * b->problem->ratio;
	RW_TRY(settle_supply(b, err));
	*y = (b->currents.anode_current_fund_pk - b->problem->ratio * b->currents.grid_current_fund_pk) / swing_pk - b->problem->conductance;
	return RW_OK;
}

static rw_status refine(balance *b, double low, double high, double *swing, double *residual, rw_error *err)
{
	rw_root root;
	b->tolerance = fine;
	RW_TRY(rw_root_find(surplus, b, low, high, 0.0, 1e-12, &root, err));
	RW_TRY(surplus(b, root.x, &root.residual, err));
	*swing = root.x;
	*residual = fabs(root.residual) / b->problem->conductance;
	return RW_OK;
}

static rw_status no_oscillation(const rw_oscillator_scan *scan, rw_error *err)
{
	for (int i = 0; i < scan->n; i++)
		if (scan->at[i].stable) {
			(void)RW_RAISE(err, RW_E_NOSOLVE, "oscillator.anode_swing_pk",
			    "the set does not build up by itself: loop gain %.2f at small swing; once started it would run at %.3g kV of swing",
			               scan->loop_gain, scan->at[i].swing_pk / 1e3);
			rw_error_expected(err, "a loop gain over 1");
			rw_error_hint(err, "a lower grid leak, or more grid coupling");
			return RW_E_NOSOLVE;
		}
	if (scan->loop_gain > 1.0) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "oscillator.anode_swing_pk",
		    "the set builds up and finds no balance up to %.1f times the HT: loop gain %.2f at small swing",
		    scan_high, scan->loop_gain);
		rw_error_expected(err, "a tank that takes what the valve gives");
		rw_error_hint(err, "a lower anode load resistance, or looser grid coupling");
		return RW_E_NOSOLVE;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "oscillator.anode_swing_pk", "the set does not oscillate: loop gain %.2f at small swing",
	    fmax(scan->loop_gain, 0.0));
	rw_error_expected(err, "a loop gain over 1");
	rw_error_hint(err, "more grid coupling, or a higher anode load resistance");
	return RW_E_NOSOLVE;
}

static void fill(const balance *b, const rw_oscillator_scan *scan, rw_oscillator_case *out)
{
	const rw_swing *s = &b->swing;
	const rw_class_c *c = &b->currents;
	double output = 0.5 * s->anode_swing_pk * c->anode_current_fund_pk, drive = 0.5 * s->grid_swing_pk * c->grid_current_fund_pk;
	*out = (rw_oscillator_case){
	    .frequency = b->problem->frequency,
	    .anode_voltage_dc = s->anode_voltage_dc,
	    .anode_swing_pk = s->anode_swing_pk,
	    .swing_ratio = s->anode_swing_pk / s->anode_voltage_dc,
	    .anode_voltage_peak = s->anode_voltage_dc + s->anode_swing_pk,
	    .load_resistance = 1.0 / b->problem->conductance,
	    .grid_bias = s->grid_bias,
	    .grid_swing_pk = s->grid_swing_pk,
	    .anode_current_dc = c->anode_current_dc,
	    .anode_current_fund_pk = c->anode_current_fund_pk,
	    .anode_current_pk = c->anode_current_pk,
	    .grid_current_dc = c->grid_current_dc,
	    .grid_current_fund_pk = c->grid_current_fund_pk,
	    .cathode_current_pk = c->cathode_current_pk,
	    .half_angle_of_flow = c->anode_half_angle,
	    .input_power = s->anode_voltage_dc * c->anode_current_dc,
	    .output_power = output,
	    .drive_power = drive,
	    .leak_power = b->problem->grid_leak * c->grid_current_dc * c->grid_current_dc,
	    .anode_loss = c->anode_loss,
	    .grid_loss = c->grid_loss,
	    .efficiency = (output - drive) / (s->anode_voltage_dc * c->anode_current_dc),
	    .anode_voltage_crest = s->anode_voltage_dc,
	    .swing_crest_pk = s->anode_swing_pk,
	    .power_of_means = s->anode_voltage_dc * c->anode_current_dc,
	    .loop_gain = scan->loop_gain,
	    .solutions = scan->n,
	    .quadrature_error = c->error,
	};
}

rw_status rw_oscillator_solve(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
    rw_error *err)
{
	balance b = {.problem = problem, .tolerance = coarse, .swing.anode_voltage_dc = problem->voltage_scale};
	double before = 0.0, swing_before = 0.0;
	bool found = false;
	memset(scan, 0, sizeof *scan);
	for (int step = 0; step <= SCAN_STEPS; step++) {
		double swing = problem->voltage_scale * (scan_low + (scan_high - scan_low) * step / SCAN_STEPS), y;
		RW_TRY(rw_work_poll(work, err));
		b.tolerance = coarse;
		RW_TRY(surplus(&b, swing, &y, err));
		if (step == 0)
			scan->loop_gain = y / problem->conductance + 1.0;
		else if ((y < 0.0) != (before < 0.0) && scan->n < RW_AMPLITUDES_MAX) {
			bool stable = before > 0.0;
			rw_amplitude *at = &scan->at[scan->n++];
			balance fine_one = b;
			double residual;
			RW_TRY(refine(&fine_one, swing_before, swing, &at->swing_pk, &residual, err));
			at->stable = stable;
			b.evaluations = fine_one.evaluations;
			if (stable && !found && scan->loop_gain > 1.0) {   /* the first one a build-up from nothing meets */
				found = true;
				scan->residual = residual;
				fill(&fine_one, scan, out);
			}
		}
		before = y;
		swing_before = swing;
	}
	scan->evaluations = b.evaluations;
	if (!found)
		return no_oscillation(scan, err);
	out->solutions = scan->n;
	return RW_OK;
}

rw_status rw_oscillator_follow(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
    rw_error *err)
{
	balance b = {.problem = problem, .tolerance = coarse, .swing.anode_voltage_dc = out->anode_voltage_dc,
	    .bias_share = out->grid_bias / out->grid_swing_pk, .bias_slope = 1.0};
	double near = out->anode_swing_pk, least, low, high, residual, swing;
	double solutions = out->solutions;
	RW_TRY(rw_work_poll(work, err));
	RW_TRY(surplus(&b, problem->voltage_scale * scan_low, &least, err));
	RW_TRY(surplus(&b, near * (1.0 - followed), &low, err));
	RW_TRY(surplus(&b, near * (1.0 + followed), &high, err));
	if (!(low > 0.0 && high < 0.0) || !(least > 0.0))
		return rw_oscillator_solve(problem, work, scan, out, err);
	RW_TRY(refine(&b, near * (1.0 - followed), near * (1.0 + followed), &swing, &residual, err));
	scan->loop_gain = least / problem->conductance + 1.0;
	scan->residual = residual;
	fill(&b, scan, out);
	out->solutions = solutions;
	return RW_OK;
}

rw_status rw_oscillator_gain(const rw_oscillator_problem *problem, double *gain, rw_error *err)
{
	balance b = {.problem = problem, .tolerance = fine, .swing.anode_voltage_dc = problem->voltage_scale};
	double least;
	RW_TRY(surplus(&b, problem->voltage_scale * scan_low, &least, err));
	*gain = least / problem->conductance + 1.0;
	return RW_OK;
}

rw_status rw_oscillator_near(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan, rw_oscillator_case *out,
    rw_error *err)
{
	static const double widths[] = {0.02, 0.10};
	balance b = {.problem = problem, .tolerance = coarse, .swing.anode_voltage_dc = out->anode_voltage_dc,
	    .bias_share = out->grid_bias / out->grid_swing_pk, .bias_slope = 1.0};
	double near = out->anode_swing_pk, floor_swing = problem->voltage_scale * scan_low, least, low_y, high_y, swing, residual;
	RW_TRY(rw_work_poll(work, err));
	RW_TRY(surplus(&b, floor_swing, &least, err));
	scan->loop_gain = least / problem->conductance + 1.0;
	if (!(least > 0.0))
		return no_oscillation(scan, err);
	for (size_t i = 0; i <= sizeof widths / sizeof *widths; i++) {
		bool last = i == sizeof widths / sizeof *widths;
		double low = last ? floor_swing : near * (1.0 - widths[i]), high = near * (last ? 1.25 : 1.0 + widths[i]);
		low_y = least;
		if (!last)
			RW_TRY(surplus(&b, low, &low_y, err));
		RW_TRY(surplus(&b, high, &high_y, err));
		if (!(low < high && low_y > 0.0 && high_y < 0.0))
			continue;
		RW_TRY(refine(&b, low, high, &swing, &residual, err));
		scan->residual = residual;
		fill(&b, scan, out);
		out->solutions = scan->n;
		return RW_OK;
	}
	return rw_oscillator_solve(problem, work, scan, out, err);
}
