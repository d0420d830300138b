/* Design: the operating point for wanted half angle and least anode volts (rules R2, R3). */
#include <math.h>

#include "base/numeric.h"
#include "oscillator/oscillator.h"

static const double degree = 0.0174532925199432957692;
static const double anode_share = 0.80, grid_share = 0.70;             /* R3: of the ratings, before the rule moves the point */
static const double angle_start = 70.0, angle_least = 60.0, angle_step = 2.5;   /* degrees */
static const double odd_step = 0.1973;   /* of V_A/mu: no multiple falls on a swing whose drive the anode's own just cancels (V_am/mu) */
static const double min_start = 0.12, min_most = 0.25, min_step = 0.02;         /* of the anode volts */

typedef struct point_search {
	const rw_valve_law *law;
	double anode_voltage_dc, half_angle, least_share, least_given;   /* V, rad, 1, V or NAN */
	rw_tank_power_at tank_power;
	void *context;
	rw_operating_point *point;
} point_search;

static double bias_for(const point_search *s, double grid_swing, double least)
{
	double va = s->anode_voltage_dc, c = cos(s->half_angle);
	return rw_valve_cutoff(s->law, va - (va - least) * c) - grid_swing * c;
}

/* The same on points, where the cut-off is no straight line: twice the greatest grid volts by halving, for they fall as the least volts rise. */
static void place_on_points(const point_search *s, double grid_swing, rw_swing *swing)
{
	double va = s->anode_voltage_dc, least = isnan(s->least_given) ? s->least_share * va : s->least_given;
	if (isnan(s->least_given) && 2.0 * (bias_for(s, grid_swing, least) + grid_swing) > least) {
		double low = least, high = fmax(2.0 * (bias_for(s, grid_swing, least) + grid_swing), va);
		for (int turn = 0; turn < 100 && high - low > 1e-14 * high; turn++) {
			least = 0.5 * (low + high);
			if (2.0 * (bias_for(s, grid_swing, least) + grid_swing) > least)
				low = least;
			else
				high = least;
		}
	}
	*swing = (rw_swing){va, va - least, bias_for(s, grid_swing, least), grid_swing};
}

/* Bias from the wanted angle: vg + va/mu = 0 at the edge of the pulse; the anode's least volts are the greater of the share and twice the
 * greatest grid volts, which is linear in the bias. */
static void place(const point_search *s, double grid_swing, rw_swing *swing)
{
	if (s->law->law == RW_LAW_POINTS) {
		place_on_points(s, grid_swing, swing);
		return;
	}
	double mu = s->law->mu, c = cos(s->half_angle), va = s->anode_voltage_dc;
	double least = isnan(s->least_given) ? s->least_share * va : s->least_given;
	double bias = -va / mu - (grid_swing - (va - least) / mu) * c;
	if (isnan(s->least_given) && 2.0 * (bias + grid_swing) > least) {
		/* least = 2 (bias + swing): bias (1 + 2 c/mu) = -va/mu - swing c + (va - 2 swing) c/mu */
		bias = (-va / mu - grid_swing * c + (va - 2.0 * grid_swing) * c / mu) / (1.0 + 2.0 * c / mu);
		least = 2.0 * (bias + grid_swing);
	}
	*swing = (rw_swing){va, va - least, bias, grid_swing};
}

static rw_status no_swing(const point_search *s, double grid_swing, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "oscillator.anode_voltage", "no swing is left at %.4g V on the grid", grid_swing);
	rw_error_expected(err, "more anode volts than the %.4g V the anode is to keep", s->anode_voltage_dc - s->point->swing.anode_swing_pk);
	rw_error_hint(err, "more anode volts, or less 'anode_voltage_min'");
	return RW_E_NOSOLVE;
}

static rw_status power_surplus(void *context, double grid_swing, double *y, rw_error *err)
{
	point_search *s = context;
	rw_operating_point *p = s->point;
	place(s, grid_swing, &p->swing);
	if (p->swing.anode_swing_pk <= 0.0)
		return no_swing(s, grid_swing, err);
	RW_TRY(rw_class_c_solve(s->law, &p->swing, 1e-9, &p->currents, err));
	RW_TRY(s->tank_power(s->context, p->swing.anode_swing_pk, grid_swing, &p->tank_power, err));
	*y = 0.5 * p->swing.anode_swing_pk * p->currents.anode_current_fund_pk - 0.5 * grid_swing * p->currents.grid_current_fund_pk - p->tank_power;
	return RW_OK;
}

static rw_status too_weak(const point_search *s, double wanted, double surplus, rw_error *err)
{
	double gives = wanted + surplus;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.heat_power",
	    "the valve gives at most %.3g kW to the tank at %.4g kV and a half angle of %.3g degrees; %.3g kW is wanted",
	               gives / 1e3, s->anode_voltage_dc / 1e3, s->half_angle / degree, wanted / 1e3);
	rw_error_expected(err, "a valve that gives the power");
	rw_error_hint(err, "a larger valve, more anode volts, or less heat in the work");
	return RW_E_NOSOLVE;
}

static rw_status too_little(const point_search *s, double gives, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.heat_power", "the power wanted is too little for this valve at %.4g kV", s->anode_voltage_dc / 1e3);
	rw_error_expected(err, "more than the %.3g kW to the tank at the least drive", gives / 1e3);
	rw_error_hint(err, "a smaller valve, less anode volts, or more heat in the work");
	return RW_E_NOSOLVE;
}

/* Walks the grid swing up until the power is there (so that the branch taken is the one with the least drive), then closes in. */
static rw_status find_point(point_search *s, rw_error *err)
{
	double low = s->anode_voltage_dc / s->law->mu * odd_step, step = low, y, best = -INFINITY, wanted = 0.0;
	for (double swing = low; swing < s->anode_voltage_dc; swing += step) {
		rw_swing probe;
		place(s, swing, &probe);
		if (probe.anode_swing_pk <= 0.0)
			break;
		rw_status status = power_surplus(s, swing, &y, err);
		if (status == RW_E_NOSOLVE && isfinite(best))
			break;   /* the power was not there while the anode's swing was still enough for the coil */
		RW_TRY(status);
		if (y >= 0.0) {
			rw_root root;
			if (swing == low)
				return too_little(s, s->point->tank_power + y, err);
			RW_TRY(rw_root_find(power_surplus, s, swing - step, swing, 0.0, 1e-12, &root, err));
			return power_surplus(s, root.x, &y, err);
		}
		if (y > best) {
			best = y;
			wanted = s->point->tank_power;
		}
	}
	if (!isfinite(best)) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "oscillator.anode_voltage_min", "no swing is left between %.4g kV and the least anode volts",
		    s->anode_voltage_dc / 1e3);
		rw_error_expected(err, "least anode volts well under the anode volts; mostly 0.12 of them");
		rw_error_hint(err, "leave 'anode_voltage_min' open, or raise 'anode_voltage'");
		return RW_E_NOSOLVE;
	}
	return too_weak(s, wanted, best, err);
}

rw_status rw_oscillator_design(const rw_valve_law *law, const rw_oscillator_targets *targets, rw_tank_power_at tank_power, void *context,
                               rw_operating_point *out, rw_error *err)
{
	rw_operating_point point = {0};
	point_search s = {law, targets->anode_voltage_dc, angle_start * degree, min_start, targets->anode_voltage_min, tank_power, context, &point};
	bool angle_free = isnan(targets->half_angle), least_free = isnan(targets->anode_voltage_min);
	if (!angle_free)
		s.half_angle = targets->half_angle;
	bool found = false;
	double moved_angle = s.half_angle;   /* of the last point found */
	for (;;) {
		rw_operating_point before = point;
		rw_status status = find_point(&s, err);
		if (status != RW_OK && !found)
			return status;
		if (status != RW_OK) {   /* a step of the rule too far: the last point that gives the power, over its share as it is */
			point = before;
			s.half_angle = moved_angle;
			break;
		}
		found = true;
		moved_angle = s.half_angle;
		bool anode_over = point.currents.anode_loss > anode_share * targets->anode_dissipation_max;
		bool grid_over = point.currents.grid_current_dc > grid_share * targets->grid_current_max;
		point.within = !anode_over && !grid_over;
		if (anode_over && angle_free && s.half_angle > (angle_least + 0.5 * angle_step) * degree)
			s.half_angle -= angle_step * degree;
		else if (grid_over && least_free && s.least_share < min_most - 1e-9)
			s.least_share = fmin(s.least_share + min_step, min_most);
		else
			break;
	}
	point.half_angle = s.half_angle;
	point.anode_voltage_min = s.anode_voltage_dc - point.swing.anode_swing_pk;
	*out = point;
	return RW_OK;
}
