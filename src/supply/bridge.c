#include "supply/bridge.h"

#include <math.h>

#define PI 3.14159265358979323846

static const double root3 = 1.7320508075688772935;

static rw_status refuse_current(double x, rw_error *err)
{
	if (x >= 0.0 && x <= 2.0 / root3)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "supply.current_dc", "'current_dc' is %.4g times the bridge's line-to-line short-circuit current", x);
	rw_error_expected(err, "0 to 1.1547 times it, where the volts are gone");
	rw_error_hint(err, "less current, or a transformer of less reactance");
	return RW_E_RANGE;
}

static double voltage_ratio(double x)
{
	if (x <= 0.5)
		return 1.0 - 0.5 * x;
	if (x <= 0.5 * root3)
		return 0.5 * root3 * sqrt(1.0 - x * x);
	return fmax(root3 - 1.5 * x, 0.0);
}

rw_status rw_bridge_voltage_ratio(double x, double *ratio, rw_error *err)
{
	RW_TRY(refuse_current(x, err));
	*ratio = voltage_ratio(x);
	return RW_OK;
}

/* (2 + cos u) sin u - (1 + 2 cos u) u over (1 - cos u)^2, by its series while the difference would drown in rounding. */
double rw_overlap_share(double u)
{
	if (u > 0.3) {
		double c = 1.0 - cos(u);
		return ((2.0 + cos(u)) * sin(u) - (1.0 + 2.0 * cos(u)) * u) / (c * c);
	}
	double sum = 0.0, term = u * u * u / 6.0, power = 4.0;   /* (-1)^m (4^m - 4 m)/(2m + 1)! u^(2m + 1); the one of m = 1 is nought */
	for (int m = 2; m <= 9; m++) {
		term *= -u * u / (2.0 * m * (2.0 * m + 1.0));
		power *= 4.0;
		sum -= term * (power - 4.0 * m);
	}
	double c = 2.0 * sin(0.5 * u) * sin(0.5 * u);
	return u > 0.0 ? sum / (c * c) : 0.0;
}

/* 2u - sin 2u over 4 (1 - cos u), likewise. */
double rw_overlap_lag(double u)
{
	double c = 2.0 * sin(0.5 * u) * sin(0.5 * u), v = 2.0 * u;
	if (u > 0.3)
		return (v - sin(v)) / (4.0 * c);
	double sum = 0.0, term = v;
	for (int m = 1; m <= 9; m++) {
		term *= -v * v / (2.0 * m * (2.0 * m + 1.0));
		sum -= term;
	}
	return u > 0.0 ? sum / (4.0 * c) : 0.0;
}

static void currents_mode_1(rw_bridge *b)
{
	b->rms_ratio = sqrt(2.0 / 3.0 * (1.0 - 3.0 / (2.0 * PI) * rw_overlap_share(b->overlap)));
	b->active_ratio = sqrt(6.0) / PI * b->voltage_ratio;
	b->reactive_ratio = sqrt(6.0) / PI * rw_overlap_lag(b->overlap);
}

static void currents_mode_2(double x, rw_bridge *b)
{
	double a = b->delay, u = b->overlap;   /* cos a - cos(a + u) = x */
	double share = ((2.0 + cos(2.0 * a + u)) * sin(u) - (1.0 + 2.0 * cos(a) * cos(a + u)) * u) / (x * x);
	b->rms_ratio = sqrt(2.0 / 3.0 * (1.0 - 3.0 / (2.0 * PI) * share));
	b->active_ratio = sqrt(6.0) / PI * b->voltage_ratio;
	b->reactive_ratio = sqrt(6.0) / PI * (sin(2.0 * a) - sin(2.0 * (a + u)) + 2.0 * u) / (4.0 * x);
}

/* Integral of (c + a sin(t + p))^2 from low to high. */
static double square_of_piece(double c, double a, double p, double low, double high)
{
	double d = high - low;
	return c * c * d - 2.0 * c * a * (cos(high + p) - cos(low + p)) + a * a * (0.5 * d - 0.25 * (sin(2.0 * (high + p)) - sin(2.0 * (low + p))));
}

/* Line current over half a cycle, e_a = cos t, in units of the phase's peak volts over X. Four diodes: the three phases are shorted, each
 * follows its own volts; three: a pair follows half its line volts, the third carries I_d. */
static void currents_mode_3(double x, rw_bridge *b)
{
	double id = 0.5 * root3 * x, u = b->overlap, d30 = PI / 6.0;
	double c2 = id + 0.5 - sin(u - d30);                               /* pair c, a, from u - 90 to 30 degrees */
	double c1 = c2 - 0.5 * root3 * cos(u - d30) - sin(u - PI / 2.0);   /* short, from -30 */
	double c6 = id - 1.0 + sin(u + d30) - 0.5 * root3 * cos(u - d30);  /* pair a, b, from u + 30 to 150 */
	double sum = square_of_piece(c1, 1.0, 0.0, -d30, u - PI / 2.0)
	           + square_of_piece(c2, -0.5 * root3, 5.0 * d30, u - PI / 2.0, d30)
	           + square_of_piece(id - sin(u - d30), 1.0, 0.0, d30, u - d30)
	           + id * id * (4.0 * d30 - u)
	           + square_of_piece(id - 1.0, 1.0, 0.0, PI / 2.0, u + d30)
	           + square_of_piece(c6, 0.5 * root3, d30, u + d30, 5.0 * d30);
	double p = u - d30;
	b->rms_ratio = sqrt(sum / PI) / id;
	b->active_ratio = 1.5 / PI * cos(p) * cos(p) / (sqrt(2.0) * id);
	b->reactive_ratio = (1.0 - 3.0 / PI * (0.5 * (PI / 2.0 - p) - 0.25 * sin(2.0 * p))) / (sqrt(2.0) * id);
}

rw_status rw_bridge_at(double x, rw_bridge *out, rw_error *err)
{
	RW_TRY(refuse_current(x, err));
	rw_bridge b = {.voltage_ratio = voltage_ratio(x)};
	if (x <= 0.5) {
		b.mode = 1;
		b.overlap = 2.0 * asin(sqrt(0.5 * x));
		currents_mode_1(&b);
	} else if (x <= 0.5 * root3) {
		b.mode = 2;
		b.overlap = PI / 3.0;
		b.delay = asin(x) - PI / 6.0;
		currents_mode_2(x, &b);
	} else {
		b.mode = 3;
		b.delay = PI / 6.0;
		b.overlap = acos(fmax(1.0 - root3 * x, -1.0)) - PI / 3.0;
		currents_mode_3(x, &b);
	}
	*out = b;
	return RW_OK;
}

rw_status rw_bridge_fired(double x, double angle, rw_bridge *out, rw_error *err)
{
	if (!(x >= 0.0 && x <= 0.5 && angle >= 0.0 && angle <= 2.0 * PI / 3.0 * (1.0 + 1e-12))) {
		(void)RW_RAISE(err, RW_E_RANGE, "settings.firing_angle", "commutation at %.4g deg with x = %.4g is not followed", angle * 180.0 / PI, x);
		rw_error_expected(err, "0 to 120 deg, and an overlap without delay of at most 60 deg");
		rw_error_hint(err, "less current, or a smaller firing angle");
		return RW_E_RANGE;
	}
	if (!(angle > 0.0))
		return rw_bridge_at(x, out, err);
	rw_bridge b = {.mode = 1, .delay = angle, .overlap = acos(fmax(cos(angle) - x, -1.0)) - angle};
	b.voltage_ratio = cos(angle) - 0.5 * x;
	currents_mode_2(x, &b);
	if (b.overlap < 1e-5) {   /* the differences would drown in rounding: a plain block within 1e-5 */
		b.rms_ratio = sqrt(2.0 / 3.0);
		b.active_ratio = sqrt(6.0) / PI * cos(angle);
		b.reactive_ratio = sqrt(6.0) / PI * sin(angle);
	}
	*out = b;
	return RW_OK;
}
