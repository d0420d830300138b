#include "supply/control.h"

#include <math.h>

#define PI 3.14159265358979323846

static rw_status refuse(double angle, double low, double high, rw_error *err)
{
	const double slack = 1e-12;
	if (angle >= low - slack && angle <= high + slack)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "settings.firing_angle", "a firing angle of %.4g degrees", angle * 180.0 / PI);
	rw_error_expected(err, "%.4g to %.4g degrees", low * 180.0 / PI, high * 180.0 / PI);
	rw_error_hint(err, "beyond it nothing is left to control");
	return RW_E_RANGE;
}

/* Over one pulse the volts are the crest's cosine from angle - pi/p to angle + pi/p, and nought where that is negative. */
rw_status rw_control_bridge(double pulses, double angle, rw_controlled_bridge *out, rw_error *err)
{
	if (!(pulses >= 2.0))
		return RW_RAISE(err, RW_E_RANGE, "supply.pulses", "a bridge of %.4g pulses", pulses);
	double half = PI / pulses, start = angle - half, end = fmin(angle + half, PI / 2.0);
	RW_TRY(refuse(angle, 0.0, PI / 2.0 + half, err));
	start = fmin(start, PI / 2.0);
	double crest = half / sin(half), width = 2.0 * half;
	double mean = (sin(end) - sin(start)) / (2.0 * sin(half));
	double square = crest * crest * (end - start + 0.5 * (sin(2.0 * end) - sin(2.0 * start))) / (2.0 * width);
	*out = (rw_controlled_bridge){
	    .mean_ratio = mean, .rms_ratio = sqrt(fmax(square, 0.0)),
	    .ripple_ratio = mean > 0.0 ? sqrt(fmax(square - mean * mean, 0.0)) / mean : 0.0,
	    .ripple_pp_ratio = crest * (cos(fmax(start, 0.0)) - (angle + half >= PI / 2.0 ? 0.0 : cos(end))),
	    .conduction = (end - start) / width,
	};
	return RW_OK;
}

rw_status rw_control_continuous(double angle, double *mean_ratio, rw_error *err)
{
	RW_TRY(refuse(angle, 0.0, PI, err));
	*mean_ratio = cos(angle);
	return RW_OK;
}

rw_status rw_control_pair_resistive(double angle, rw_controlled_pair *out, rw_error *err)
{
	RW_TRY(refuse(angle, 0.0, PI, err));
	double rms = sqrt(fmax((PI - angle + 0.5 * sin(2.0 * angle)) / PI, 0.0));
	*out = (rw_controlled_pair){rms, 0.5 * (1.0 + cos(angle)), (double)NAN, (double)NAN};
	return RW_OK;
}

/* Current flows for d to either side of the volts' zero: cos t - cos d. */
rw_status rw_control_pair_inductive(double angle, rw_controlled_pair *out, rw_error *err)
{
	RW_TRY(refuse(angle, PI / 2.0, PI, err));
	double d = PI - angle, share = (2.0 * d - sin(2.0 * d)) / PI;
	double square = 2.0 / PI * (d * (1.0 + 2.0 * cos(d) * cos(d)) - 1.5 * sin(2.0 * d));
	*out = (rw_controlled_pair){sqrt(fmax(share, 0.0)), (double)NAN, sqrt(fmax(square, 0.0)), share};
	return RW_OK;
}

rw_status rw_control_star(double angle, double *rms_ratio, rw_error *err)
{
	const double degrees_60 = PI / 3.0, degrees_90 = PI / 2.0, degrees_150 = 5.0 * PI / 6.0;
	RW_TRY(refuse(angle, 0.0, degrees_150, err));
	double s = sin(2.0 * angle), c = cos(2.0 * angle), root3 = sqrt(3.0), bracket;
	if (angle <= degrees_60)
		bracket = PI / 6.0 - angle / 4.0 + s / 8.0;
	else if (angle <= degrees_90)
		bracket = PI / 12.0 + 3.0 * s / 16.0 + root3 * c / 16.0;
	else
		bracket = 5.0 * PI / 24.0 - angle / 4.0 + s / 16.0 + root3 * c / 16.0;
	*rms_ratio = sqrt(6.0 / PI * fmax(bracket, 0.0));
	return RW_OK;
}
