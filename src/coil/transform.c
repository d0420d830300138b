/* Output transformer: coupled coils with loss, and the ratio for a wanted resistance, reactance or current. */
#include "coil/transform.h"

#include <math.h>

#include "base/bessel.h"

static bool is_size(double x) { return x > 0.0 && isfinite(x); }

static rw_status windings_accepted(double coupling, double primary_q, double secondary_q, rw_error *err)
{
	if (coupling > 0.0 && coupling <= 1.0 && primary_q > 0.0 && secondary_q > 0.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "windings of Q '%.6g' and '%.6g' with a coupling of '%.6g' are no transformer", primary_q, secondary_q,
	               coupling);
	rw_error_expected(err, "Q above zero, coupling over 0, up to 1");
	return RW_E_RANGE;
}

static rw_status load_accepted(double frequency, double complex z_load, rw_error *err)
{
	if (is_size(frequency) && creal(z_load) >= 0.0 && isfinite(creal(z_load)) && isfinite(cimag(z_load)))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "a load of '%.6g%+.6gj ohm' at '%.6g Hz' is none", creal(z_load), cimag(z_load), frequency);
	rw_error_expected(err, "a frequency above zero, a resistance of zero or more");
	return RW_E_RANGE;
}

rw_status rw_transform_impedance(const rw_transform *transform, double frequency, double complex z_load, double complex *z_in,
                                 double complex *ratio_current, rw_error *err)
{
	const rw_transform *t = transform;
	RW_TRY(windings_accepted(t->coupling, t->primary_q, t->secondary_q, err));
	RW_TRY(load_accepted(frequency, z_load, err));
	if (!(is_size(t->ratio) && is_size(t->primary_inductance))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a transformer of ratio '%.6g' with '%.6g H' is none", t->ratio, t->primary_inductance);
		rw_error_expected(err, "both above zero");
		return RW_E_RANGE;
	}
	double x1 = 2.0 * M_PI * frequency * t->primary_inductance, x2 = x1 / (t->ratio * t->ratio), xm = t->coupling * x1 / t->ratio;
	double complex around = z_load + rw_complex(x2 / t->secondary_q, x2);
	if (!(cabs(around) > 0.0)) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "", "a load of '%.6gj ohm' without loss resonates with the secondary", cimag(z_load));
		rw_error_expected(err, "some loss in load or secondary");
		return RW_E_NOSOLVE;
	}
	*z_in = rw_complex(x1 / t->primary_q, x1) + xm * xm / around;
	*ratio_current = rw_complex(0.0, xm) / around;
	return RW_OK;
}

/* ---- choice ---- */

typedef enum wanted { RESISTANCE, REACTANCE, CURRENT } wanted;

static rw_status want_accepted(const rw_transform_want *w, wanted *what, double *value, rw_error *err)
{
	const double wants[] = {w->resistance, w->reactance, w->current_ratio};
	int n = 0;
	for (int i = 0; i < 3; i++)
		if (!isnan(wants[i])) {
			n++;
			*what = (wanted)i;
			*value = wants[i];
		}
	if (n != 1 || !is_size(*value)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%d' of resistance, reactance and current ratio are wanted", n);
		rw_error_expected(err, "exactly one, above zero");
		return RW_E_RANGE;
	}
	double primary = isnan(w->primary_inductance) ? w->multiple : w->primary_inductance;
	if (!isnan(primary) && !is_size(primary)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a primary of '%.6g H' or '%.6g' times the load is none", w->primary_inductance, w->multiple);
		rw_error_expected(err, "above zero");
		return RW_E_RANGE;
	}
	bool any = w->primary_turns_max == 0 && w->secondary_turns_max == 0;
	if (any || (w->primary_turns_max >= 1 && w->secondary_turns_max >= 1 && w->primary_turns_max <= 1000 && w->secondary_turns_max <= 1000))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "up to '%d' turns on '%d' are no windings", w->primary_turns_max, w->secondary_turns_max);
	rw_error_expected(err, "both from 1 to 1000, or both 0 for any ratio");
	return RW_E_RANGE;
}

static rw_status cannot(wanted what, double value, const rw_transform_want *w, rw_error *err)
{
	static const char *const names[] = {"an input resistance of", "an input reactance of", "a current ratio of"};
	static const char *const units[] = {" ohm", " ohm", ""};
	(void)RW_RAISE(err, RW_E_NOSOLVE, "", "no transformer of coupling '%.4g' gives %s '%.6g%s'", w->coupling, names[what], value, units[what]);
	rw_error_expected(err, what == REACTANCE ? "more reactance, or less primary inductance" : "less, or more primary inductance or coupling");
	return RW_E_NOSOLVE;
}

/* Primary reactance over the load seen that loses least: y/Q2 + |around|^2/(Q1 k^2 y) is least at that y over |load|. */
static rw_status least_loss(const rw_transform_want *w, double *multiple, rw_error *err)
{
	double d = 1.0 / w->secondary_q, of_q = isinf(w->primary_q) && isinf(w->secondary_q) ? 1.0 : w->primary_q * d;
	*multiple = 1.0 / sqrt(1.0 + d * d + w->coupling * w->coupling * of_q);
	if (*multiple > 0.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "a primary without loss on a secondary of Q '%.6g' has no best reactance", w->secondary_q);
	rw_error_expected(err, "a primary Q, a multiple or an inductance");
	return RW_E_RANGE;
}

/* Secondary reactance y by the multiple: everything but the ratio is known. */
static rw_status by_multiple(const rw_transform_want *w, wanted what, double value, double complex z, double *y, double *ratio,
                             rw_error *err)
{
	double multiple = w->multiple;
	if (isnan(multiple))
		RW_TRY(least_loss(w, &multiple, err));
	*y = multiple * cabs(z);
	if (!(*y > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a load of '0 ohm' gives the primary no reactance");
		rw_error_expected(err, "a load, or the primary's inductance");
		return RW_E_RANGE;
	}
	double k2 = w->coupling * w->coupling;
	double complex around = z + rw_complex(*y / w->secondary_q, *y);
	if (!(cabs(around) > 0.0))
		return cannot(what, value, w, err);
	double complex seen = rw_complex(*y / w->primary_q, *y) + k2 * *y * *y / around;     /* at a ratio of 1 */
	if (what == CURRENT) {
		*ratio = value * cabs(around) / (w->coupling * *y);
		return RW_OK;
	}
	double part = what == RESISTANCE ? creal(seen) : cimag(seen);
	if (!(part > 0.0))
		return cannot(what, value, w, err);
	*ratio = sqrt(value / part);
	return RW_OK;
}

/* Real roots above zero of a y^2 + b y + c, without taking the difference of near equals; NAN where there is none. */
static void positive_roots(double a, double b, double c, double root[2])
{
	double square = b * b - 4.0 * a * c;
	root[0] = root[1] = (double)NAN;
	if (!(square >= 0.0))
		return;
	double half = -0.5 * (b + copysign(sqrt(square), b));
	double first = half / a, second = c / half;
	if (first > 0.0 && isfinite(first))
		root[0] = first;
	if (second > 0.0 && isfinite(second))
		root[1] = second;
}

/* With x1 = w L1 given and y = w L2: |around|^2 = (R + y/Q)^2 + (X + y)^2 = s y^2 + t y + |z|^2 and
 *   resistance  k^2 x1 y (R + y/Q) = (R_in - x1/Q1) |around|^2
 *   reactance   k^2 x1 y (X + y)   = (x1 - X_in) |around|^2
 *   current     k^2 x1 y           = g^2 |around|^2 */
static rw_status by_inductance(const rw_transform_want *w, wanted what, double value, double frequency, double complex z, double *y,
                               double *ratio, rw_error *err)
{
	double x1 = 2.0 * M_PI * frequency * w->primary_inductance, d = 1.0 / w->secondary_q, k2x = w->coupling * w->coupling * x1;
	double r = creal(z), x = cimag(z), s = 1.0 + d * d, t = 2.0 * (r * d + x), root[2];
	double around = what == RESISTANCE ? value - x1 / w->primary_q : what == REACTANCE ? x1 - value : value * value;
	double square = what == RESISTANCE ? k2x * d : what == REACTANCE ? k2x : 0.0;
	double first = what == RESISTANCE ? k2x * r : what == REACTANCE ? k2x * x : k2x;
	if (what != REACTANCE && !(around > 0.0))   /* the primary's own loss is more than all that is wanted */
		return cannot(what, value, w, err);
	positive_roots(around * s - square, around * t - first, around * cabs(z) * cabs(z), root);
	double greater = fmax(root[0], root[1]);     /* NAN only if both are */
	if (isnan(greater))
		return cannot(what, value, w, err);
	*y = greater;
	*ratio = sqrt(x1 / *y);
	return RW_OK;
}

/* Power in the load over power in, per A of the load; a load without resistance takes none. */
static double efficiency(double x1, double y, const rw_transform_want *w, double complex z)
{
	double xm2 = w->coupling * w->coupling * x1 * y, around2 = pow(cabs(z + rw_complex(y / w->secondary_q, y)), 2.0);
	return creal(z) > 0.0 ? creal(z) / (creal(z) + y / w->secondary_q + x1 / w->primary_q * around2 / xm2) : 0.0;
}

/* Fraction of whole turns nearest to the ratio. */
static void whole_turns(double ratio, int primary_max, int secondary_max, int *primary, int *secondary)
{
	double least = (double)INFINITY;
	for (int s = 1; s <= secondary_max; s++) {
		int p = (int)fmin(fmax(floor(ratio * s), 1.0), primary_max);
		for (int i = p; i <= p + 1 && i <= primary_max; i++) {
			double off = fabs(log((double)i / s / ratio));
			if (off < least - 1e-12) {
				least = off;
				*primary = i;
				*secondary = s;
			}
		}
	}
}

rw_status rw_transform_choose(const rw_transform_want *want, double frequency, double complex z_load, rw_transform_choice *out,
                              rw_error *err)
{
	wanted what = RESISTANCE;
	double value = (double)NAN, y = (double)NAN, ratio = (double)NAN, w = 2.0 * M_PI * frequency;
	bool given = !isnan(want->primary_inductance);
	rw_transform_choice choice = {.primary_turns = 0};
	RW_TRY(want_accepted(want, &what, &value, err));
	RW_TRY(windings_accepted(want->coupling, want->primary_q, want->secondary_q, err));
	RW_TRY(load_accepted(frequency, z_load, err));
	if (given)
		RW_TRY(by_inductance(want, what, value, frequency, z_load, &y, &ratio, err));
	else
		RW_TRY(by_multiple(want, what, value, z_load, &y, &ratio, err));
	if (want->primary_turns_max > 0) {
		whole_turns(ratio, want->primary_turns_max, want->secondary_turns_max, &choice.primary_turns, &choice.secondary_turns);
		ratio = (double)choice.primary_turns / choice.secondary_turns;
	}
	double primary = given ? want->primary_inductance : ratio * ratio * y / w;
	choice.transform = (rw_transform){ratio, primary, want->coupling, want->primary_q, want->secondary_q};
	RW_TRY(rw_transform_impedance(&choice.transform, frequency, z_load, &choice.z_in, &choice.ratio_current, err));
	double found = what == RESISTANCE ? creal(choice.z_in) : what == REACTANCE ? cimag(choice.z_in) : cabs(choice.ratio_current);
	choice.off = value / found - 1.0;
	choice.efficiency = efficiency(w * primary, w * primary / (ratio * ratio), want, z_load);
	*out = choice;
	return RW_OK;
}

rw_status rw_transform_for_current(double complex z_load, double frequency, double current_load, double current_in_wanted, double coupling,
                                   double primary_inductance, double primary_q, double secondary_q, rw_transform_choice *out, rw_error *err)
{
	if (!(is_size(current_load) && is_size(current_in_wanted))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%.6g A' in the load out of '%.6g A' is no current ratio", current_load, current_in_wanted);
		rw_error_expected(err, "both above zero");
		return RW_E_RANGE;
	}
	rw_transform_want want = {
		.resistance = (double)NAN,
		.reactance = (double)NAN,
		.current_ratio = current_load / current_in_wanted,
		.coupling = coupling,
		.primary_inductance = primary_inductance,
		.multiple = (double)NAN,
		.primary_q = primary_q,
		.secondary_q = secondary_q,
	};
	return rw_transform_choose(&want, frequency, z_load, out, err);
}
