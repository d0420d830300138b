/* Resistance of wire, tube and strip at radio frequency, alone and wound. */
#include "coil/conductor.h"

#include <math.h>

#include "base/bessel.h"
#include "coil/leads.h"

static rw_status skin_in_range(double size, double low, double high, const char *what, rw_error *err)
{
	if (size >= low && size <= high)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "%s of '%.6g' skin depths is not computed", what, size);
	rw_error_expected(err, "%g to %g", low, high);
	return RW_E_RANGE;
}

rw_status rw_round_wire(double radius_to_skin, rw_skin *out, rw_error *err)
{
	double x = radius_to_skin;
	double complex excess;
	RW_TRY(skin_in_range(x, 0.0, 5e4, "a wire with a radius", err));
	RW_TRY(rw_bessel_ratio(rw_complex(0.0, 0.5 * x * x), &excess, err));   /* (w/2)^2, w = (1 + j) x */
	/* the internal reactance over Rdc is (x/2)^2 at low frequency */
	*out = (rw_skin){1.0 + creal(excess), x < 1e-6 ? 1.0 : 4.0 * cimag(excess) / (x * x)};
	return RW_OK;
}

/* Internal inductance of a tube with uniform current, over mu/(8 pi): closed form; for a thin wall its series, which does not cancel. */
static double uniform_tube(double bore)
{
	double b2 = bore * bore, u = 1.0 - b2, sum = 0.0, power = u;
	if (u >= 0.1)
		return (bore > 0.0 ? -4.0 * b2 * b2 * log(bore) / (u * u) : 0.0) + (1.0 - 3.0 * b2) / u;
	for (int n = 3; n < 20; n++, power *= u)
		sum += 4.0 * power / (n * (n - 1.0) * (n - 2.0));
	return sum;
}

rw_status rw_round_tube(double radius_to_skin, double bore, rw_skin *out, rw_error *err)
{
	double x = radius_to_skin;
	RW_TRY(skin_in_range(x, 1e-3, 1e4, "a tube with an outer radius", err));
	if (!(bore >= 0.0 && bore <= 0.9999)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a tube with a bore of '%.6g' of its outer radius is none", bore);
		rw_error_expected(err, "0 to 0.9999");
		return RW_E_RANGE;
	}
	if (x * bore < 1e-9)
		return rw_round_wire(x, out, err);
	if (x * (1.0 - bore) < 1e-3) {
		*out = (rw_skin){1.0, uniform_tube(bore)};
		return RW_OK;
	}
	double complex w = rw_complex(x, x);
	rw_bessel a, b;
	RW_TRY(rw_bessel_scaled(w, &a, err));
	RW_TRY(rw_bessel_scaled(w * bore, &b, err));
	/* dE/dr = 0 at the bore: A I1(wb) = B K1(wb); q = B K0(wa)/(A I0(wa)), its exponential never above 1 */
	double complex q = b.i1 * a.k0 / (b.k1 * a.i0) * cexp(2.0 * w * (bore - 1.0));
	double complex slope = (a.i1 / a.i0 - q * a.k1 / a.k0) / (1.0 + q);   /* dE/dr over k E at the surface */
	double section = 1.0 - bore * bore;
	double complex z = 0.5 * section * w / slope;
	*out = (rw_skin){creal(z), 4.0 * cimag(z) / (x * x * section)};
	return RW_OK;
}

/* Dowell's two functions, with exp(2 x) and exp(x) divided out. */
static double dowell(double x, int layers)
{
	if (x == 0.0)
		return 1.0;
	double e = exp(-x), sinh_e = 0.5 * -expm1(-2.0 * x), cosh_e = 0.5 * (1.0 + e * e), s = sin(x), c = cos(x);   /* sinh, cosh times exp(-x) */
	double skin = x * (sinh_e * cosh_e + s * c * e * e) / (sinh_e * sinh_e + s * s * e * e);
	double proximity = x * (sinh_e - s * e) / (cosh_e + c * e);
	return skin + 2.0 / 3.0 * ((double)layers * layers - 1.0) * proximity;
}

rw_status rw_strip_layer(double thickness_to_skin, int layers, double *ratio, rw_error *err)
{
	RW_TRY(skin_in_range(thickness_to_skin, 0.0, 1e4, "a strip with a thickness", err));
	if (layers < 1 || layers > 100) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a winding of '%d' layers is not computed", layers);
		rw_error_expected(err, "1 to 100");
		return RW_E_RANGE;
	}
	*ratio = dowell(thickness_to_skin, layers);
	return RW_OK;
}

rw_status rw_parallel_wires(double spacing_to_diameter, double *ratio, rw_error *err)
{
	double s = spacing_to_diameter;
	if (!(s > 1.0 && isfinite(s))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "wires '%.6g' diameters apart between centres touch", s);
		rw_error_expected(err, "more than 1");
		return RW_E_RANGE;
	}
	*ratio = s / sqrt((s - 1.0) * (s + 1.0));
	return RW_OK;
}

/* ---- Medhurst ---- */

#define RATIO(name) {name, &rw_kind_number, false, 1.0, 20.0}
const rw_column rw_medhurst_short_columns[RW_MEDHURST_COLUMNS] = {
	{"wire_to_pitch", &rw_kind_number, true, 0.0, 1.0},
	RATIO("at_0"), RATIO("at_0_2"), RATIO("at_0_4"), RATIO("at_0_6"), RATIO("at_0_8"), RATIO("at_1"),
};
const rw_column rw_medhurst_long_columns[RW_MEDHURST_COLUMNS] = {
	{"wire_to_pitch", &rw_kind_number, true, 0.0, 1.0},
	RATIO("at_2"), RATIO("at_4"), RATIO("at_6"), RATIO("at_8"), RATIO("at_10"), RATIO("endless"),
};
#undef RATIO

enum { LENGTHS = 12 };
static const double lengths[LENGTHS] = {0.0, 0.2, 0.4, 0.6, 0.8, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0, (double)INFINITY};

static rw_status medhurst_accepted(const rw_medhurst *t, rw_error *err)
{
	bool same = t->short_coils.n_rows == t->long_coils.n_rows && t->short_coils.n_rows >= 2 && t->short_coils.n_columns == RW_MEDHURST_COLUMNS &&
	            t->long_coils.n_columns == RW_MEDHURST_COLUMNS;
	for (int i = 0; same && i < t->short_coils.n_rows; i++)
		same = rw_table_cell(&t->short_coils, i, 0) == rw_table_cell(&t->long_coils, i, 0);
	if (same && rw_table_cell(&t->short_coils, t->short_coils.n_rows - 1, 0) >= 1.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "medhurst", "the tables of short and long coils do not match");
	rw_error_expected(err, "the same wire_to_pitch in both, up to 1");
	return RW_E_VALUE;
}

/* Cell of the two tables side by side; row -1 is no wire, for which nothing is crowded. */
static double medhurst_cell(const rw_medhurst *t, int row, int length)
{
	if (row < 0)
		return 1.0;
	enum { HALF = LENGTHS / 2 };
	return length < HALF ? rw_table_cell(&t->short_coils, row, 1 + length) : rw_table_cell(&t->long_coils, row, 1 + length - HALF);
}

/* Share of the way from lengths[k] to the next: by length, in the last stretch by its reciprocal. */
static double length_share(int k, double length)
{
	if (isinf(lengths[k + 1]))
		return 1.0 - lengths[k] / length;
	return (length - lengths[k]) / (lengths[k + 1] - lengths[k]);
}

rw_status rw_medhurst_ratio(const rw_medhurst *table, double wire_to_pitch, double length_to_diameter, double *ratio, rw_error *err)
{
	RW_TRY(medhurst_accepted(table, err));
	if (!(wire_to_pitch >= 0.0 && wire_to_pitch <= 1.0 && length_to_diameter >= 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a coil with wire of '%.6g' of the pitch and a length of '%.6g' diameters is not in "
		    "Medhurst's table",
		               wire_to_pitch, length_to_diameter);
		rw_error_expected(err, "0 to 1 and zero or more");
		return RW_E_RANGE;
	}
	int row = -1, k = 0;
	while (row + 2 < table->short_coils.n_rows && rw_table_cell(&table->short_coils, row + 1, 0) < wire_to_pitch)
		row++;
	while (k + 2 < LENGTHS && lengths[k + 1] < length_to_diameter)
		k++;
	double below = row < 0 ? 0.0 : rw_table_cell(&table->short_coils, row, 0), above = rw_table_cell(&table->short_coils, row + 1, 0);
	double down = (wire_to_pitch - below) / (above - below), along = length_share(k, length_to_diameter);
	double upper = medhurst_cell(table, row, k) * (1.0 - along) + medhurst_cell(table, row, k + 1) * along;
	double lower = medhurst_cell(table, row + 1, k) * (1.0 - along) + medhurst_cell(table, row + 1, k + 1) * along;
	*ratio = upper * (1.0 - down) + lower * down;
	return RW_OK;
}

/* ---- a winding ---- */

static rw_status winding_accepted(const rw_winding *w, double frequency, rw_error *err)
{
	bool strip = w->conductor == RW_WINDING_STRIP, known = strip || w->conductor == RW_WINDING_TUBE;
	bool fits = w->width > 0.0 && w->thickness > 0.0 && w->thickness <= (strip ? w->diameter : 0.5 * w->width) &&
	            w->diameter > (strip ? 0.0 : w->width);
	bool apart = w->turns == 1 || w->pitch >= w->width;
	bool finite = isfinite(w->diameter) && isfinite(w->width) && (w->turns == 1 || isfinite(w->pitch));
	bool skin = w->resistivity > 0.0 && isfinite(w->resistivity) && frequency > 0.0 && isfinite(frequency);
	if (known && w->turns >= 1 && fits && apart && finite && skin)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "'%d' turns of '%.4g mm' by '%.4g mm' at a pitch of '%.4g mm' on '%.4g mm' are not rated at '%.6g "
	    "Hz'", w->turns,
	               w->width * 1e3, w->thickness * 1e3, w->pitch * 1e3, w->diameter * 1e3, frequency);
	rw_error_expected(err, "turns that do not touch, a wall up to half the tube, a coil wider than its tube, frequency and resistivity "
	    "above zero");
	return RW_E_RANGE;
}

/* Ratios to direct current: expected, least, greatest. */
typedef struct ratios { double straight, proximity, low, high; } ratios;

/* Loss of a round wire in a field across it, over what half its thick-skin current would lose: Re(w I1(w)/I0(w))/2 -> x/2 for thick skin, x^4/8
 * for deep. w I1/I0 = w^2/(2 (1 + t)). */
static rw_status across(double x, double *loss, rw_error *err)
{
	double complex t;
	RW_TRY(rw_bessel_ratio(rw_complex(0.0, 0.5 * x * x), &t, err));
	*loss = 0.5 * creal(rw_complex(0.0, x * x) / (1.0 + t));
	return RW_OK;
}

static rw_status tube_ratios(const rw_winding *w, const rw_medhurst *table, double delta, ratios *out, rw_error *err)
{
	rw_skin skin;
	double x = 0.5 * w->width / delta, bore = 1.0 - 2.0 * w->thickness / w->width, medhurst = 1.0, loss;
	RW_TRY(rw_round_tube(x, bore, &skin, err));
	RW_TRY(across(x, &loss, err));
	if (w->turns > 1)
		RW_TRY(rw_medhurst_ratio(table, w->width / w->pitch, w->turns * w->pitch / w->diameter, &medhurst, err));
	bool few = w->turns < 10, deep = w->width < 10.0 * delta;
	double full = (medhurst - 1.0) * loss * (1.0 - bore * bore) / skin.resistance, excess = full * (1.0 - 1.0 / w->turns);
	double low = 0.9 * (1.0 + (few ? 0.0 : deep ? 0.5 * excess : excess)), high = 1.1 * (1.0 + (few ? full : excess) * (deep ? 2.0 : 1.0));
	*out = (ratios){skin.resistance, 1.0 + excess, skin.resistance * low, skin.resistance * high};
	return RW_OK;
}

static rw_status strip_ratios(const rw_winding *w, double delta, ratios *out, rw_error *err)
{
	double alone, both, wound, porosity = w->turns == 1 ? 1.0 : w->width / w->pitch;
	RW_TRY(rw_strip_layer(w->thickness / delta, 1, &alone, err));
	RW_TRY(rw_strip_layer(0.5 * w->thickness / delta, 1, &both, err));
	RW_TRY(rw_strip_layer(w->thickness / delta * sqrt(porosity), 1, &wound, err));
	/* two faces share the current as two strips of half the thickness; porosity alone may already be below that */
	*out = (ratios){alone, wound / alone, fmin(both, 0.9 * wound), 1.3 * fmax(alone, wound)};
	return RW_OK;
}

rw_status rw_winding_solve(const rw_winding *winding, const rw_medhurst *table, double frequency, rw_winding_resistance *out, rw_error *err)
{
	const rw_winding *w = winding;
	RW_TRY(winding_accepted(w, frequency, err));
	double delta = rw_skin_depth(w->resistivity, frequency), section;
	ratios r;
	if (w->conductor == RW_WINDING_TUBE) {
		RW_TRY(tube_ratios(w, table, delta, &r, err));
		section = M_PI * w->thickness * (w->width - w->thickness);
	} else {
		RW_TRY(strip_ratios(w, delta, &r, err));
		section = w->width * w->thickness;
	}
	double rise = w->turns == 1 ? 0.0 : w->pitch, length = w->turns * hypot(M_PI * w->diameter, rise), dc = w->resistivity * length / section;
	*out = (rw_winding_resistance){
		.resistance = dc * r.straight * r.proximity,
		.low = dc * r.low,
		.high = dc * r.high,
		.uncertainty = 0.5 * (r.high - r.low) / (r.straight * r.proximity),
		.resistance_dc = dc,
		.straight = r.straight,
		.proximity = r.proximity,
		.skin_depth = delta,
	};
	return RW_OK;
}
