/* Work coil and part in closed form: rings for the empty coil, a sheet on a rod for what the part changes. */
#include "coil/loaded.h"

#include <math.h>
#include <stdlib.h>

#include "base/constants.h"
#include "base/numeric.h"
#include "coil/inductance.h"
#include "coil/leads.h"
#include "work/eddy.h"

/* The coil as the formulas take it. */
typedef struct layout {
	rw_winding winding;
	int    turns;
	bool   tube;
	double inner;     /* m, radius of the clear bore */
	double length;    /* m, over the conductors */
	double face;      /* m, axial width that carries current; strip only */
} layout;

static const double rod_tolerance = 1e-5;   /* the model itself is good to some per cent */

static rw_status refuse_turns(const rw_coil_turns *t, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "", "'%.6g' turns of '%.4g mm' by '%.4g mm' on a bore of '%.4g mm', '%.4g mm' long, are no coil", t->turns,
	               t->width * 1e3, t->thickness * 1e3, t->inner_diameter * 1e3, t->length * 1e3);
	rw_error_expected(err, "1 to 1000 whole turns of tube or strip that do not touch, all dimensions above zero");
	return RW_E_RANGE;
}

static bool is_size(double x) { return x > 0.0 && isfinite(x); }

static rw_status lay_out(const rw_coil_turns *t, const rw_medhurst *medhurst, layout *out, rw_error *err)
{
	bool tube = t->conductor == RW_WINDING_TUBE, known = tube || t->conductor == RW_WINDING_STRIP;
	bool sizes = is_size(t->inner_diameter) && is_size(t->width) && is_size(t->thickness) && is_size(t->temperature);
	if (!(known && sizes && t->turns >= 1.0 && t->turns <= 1000.0 && t->turns == rint(t->turns)))
		return refuse_turns(t, err);
	int turns = (int)t->turns;
	double pitch = turns > 1 ? (t->length - t->width) / (turns - 1.0) : t->width;
	if (!(pitch >= t->width * (1.0 - 1e-9) && isfinite(pitch)))
		return refuse_turns(t, err);
	if (tube && turns > 1 && !medhurst) {
		(void)RW_RAISE(err, RW_E_MISSING, "medhurst", "a coil of '%d' turns of tube has no table of the neighbours' crowding", turns);
		rw_error_expected(err, "the library's table medhurst");
		return RW_E_MISSING;
	}
	pitch = fmax(pitch, t->width);
	double deep = tube ? t->width : t->thickness, spread = t->width + t->thickness, resistivity = rw_copper_resistivity(t->temperature);
	*out = (layout){
		.winding = {.conductor = t->conductor, .turns = turns, .diameter = t->inner_diameter + deep, .pitch = pitch, .width = t->width,
	                    .thickness = t->thickness, .resistivity = resistivity},
		.turns = turns,
		.tube = tube,
		.inner = 0.5 * t->inner_diameter,
		.length = turns > 1 ? t->length : t->width,
		.face = turns > 1 ? fmin(spread, pitch) : spread,
	};
	return RW_OK;
}

/* ---- empty ---- */

/* Two rings of one radius, 1 A in the one: flux density at the other, along the axis and across it, from the slopes of their mutual. */
static rw_status ring_field(double radius, double distance, double *axial, double *radial, rw_error *err)
{
	double wide, narrow, far, near, dr = 1e-4 * fmin(radius, distance), dz = 1e-4 * distance, round = 2.0 * M_PI * radius;
	RW_TRY(rw_filament_mutual(radius, radius + dr, distance, &wide, err));
	RW_TRY(rw_filament_mutual(radius, radius - dr, distance, &narrow, err));
	RW_TRY(rw_filament_mutual(radius, radius, distance + dz, &far, err));
	RW_TRY(rw_filament_mutual(radius, radius, distance - dz, &near, err));
	*axial = (wide - narrow) / (2.0 * dr * round);
	*radial = (near - far) / (2.0 * dz * round);
	return RW_OK;
}

/* Inductance the tubes lose by crowding in one another's field, H. The field of a ring's own bend is what rw_loop_inductance has for it. */
static rw_status crowding(const layout *c, double screened, double *loss, rw_error *err)
{
	double radius = 0.5 * c->winding.diameter, r = 0.5 * c->winding.width, x = log(8.0 * radius / r), sum = 0.0;
	double bend = RW_MU0 * sqrt(fmax(0.25 * (x - 1.0) * (x - 1.0) - 3.0 / 16.0, 0.0)) / (2.0 * M_PI * radius);
	double axial[1000], radial[1000];
	for (int k = 1; k < c->turns; k++)
		RW_TRY(ring_field(radius, k * c->winding.pitch, &axial[k], &radial[k], err));
	for (int i = 0; i < c->turns; i++) {
		double along = bend, across = 0.0, dipoles = 0.0;
		for (int k = 0; k < c->turns; k++) {
			int apart = abs(i - k);
			if (apart == 0)
				continue;
			double over = r / (apart * c->winding.pitch);
			along += axial[apart];
			across += i > k ? radial[apart] : -radial[apart];
			dipoles += over * over;
		}
		sum += along * along / (1.0 + dipoles) - bend * bend + across * across / (1.0 - dipoles);
	}
	*loss = screened * 2.0 * M_PI * radius * 2.0 * M_PI * r * r / RW_MU0 * sum;
	return RW_OK;
}

static rw_status tube_inductance(const layout *c, double frequency, double *inductance, double *uncertainty, rw_error *err)
{
	const rw_winding *w = &c->winding;
	double x = 0.5 * w->width / rw_skin_depth(w->resistivity, frequency), lost;
	rw_skin skin;
	rw_eddy_factor inside;
	rw_helix_inductance rings;
	RW_TRY(rw_round_tube(x, 1.0 - 2.0 * w->thickness / w->width, &skin, err));
	RW_TRY(rw_eddy_bar(x, &inside, err));
	rw_helix helix = {c->turns, w->diameter, w->pitch, w->width, fmin(skin.inductance, 1.0)};
	RW_TRY(rw_helix_solve(&helix, &rings, err));
	RW_TRY(crowding(c, 1.0 - inside.q, &lost, err));
	*inductance = rings.inductance - lost;
	double over = w->width / w->diameter;
	*uncertainty = 0.01 + 0.25 * over * over + 0.2 * lost / *inductance;   /* by rings, as in the header */
	return RW_OK;
}

/* Inductance of a sheet of one turn times its length squared: the second differences of it are mutuals of its pieces. */
static rw_status sheet_moment(double diameter, double length, double *moment, rw_error *err)
{
	double inductance = 0.0;
	if (length > 0.0)
		RW_TRY(rw_sheet_inductance(1.0, diameter, length, &inductance, err));
	*moment = inductance * length * length;
	return RW_OK;
}

static rw_status strip_inductance(const layout *c, double *inductance, double *uncertainty, rw_error *err)
{
	double face = c->face, pitch = c->winding.pitch, diameter = 2.0 * c->inner, own, sum;
	RW_TRY(sheet_moment(diameter, face, &own, err));
	sum = c->turns * own;
	for (int k = 1; k < c->turns; k++) {
		double over, at, under;
		RW_TRY(sheet_moment(diameter, k * pitch + face, &over, err));
		RW_TRY(sheet_moment(diameter, k * pitch, &at, err));
		RW_TRY(sheet_moment(diameter, k * pitch - face, &under, err));
		sum += 2.0 * (c->turns - k) * (0.5 * over + 0.5 * under - at);
	}
	*inductance = sum / (face * face);
	*uncertainty = 0.07;
	return RW_OK;
}

static rw_status empty_coil(const layout *c, const rw_medhurst *medhurst, double frequency, rw_winding_resistance *winding,
                            rw_coil_impedance *out, rw_error *err)
{
	double inductance, uncertainty;
	RW_TRY(rw_winding_solve(&c->winding, medhurst, frequency, winding, err));
	if (c->tube)
		RW_TRY(tube_inductance(c, frequency, &inductance, &uncertainty, err));
	else
		RW_TRY(strip_inductance(c, &inductance, &uncertainty, err));
	*out = (rw_coil_impedance){
		.resistance = winding->resistance,
		.resistance_low = winding->low,
		.resistance_high = winding->high,
		.reactance = 2.0 * M_PI * frequency * inductance,
		.inductance = inductance,
		.uncertainty = uncertainty,
	};
	return RW_OK;
}

rw_status rw_coil_empty(const rw_coil_turns *turns, const rw_medhurst *medhurst, double frequency, rw_coil_impedance *out, rw_error *err)
{
	layout c;
	rw_winding_resistance winding;
	RW_TRY(lay_out(turns, medhurst, &c, err));
	return empty_coil(&c, medhurst, frequency, &winding, out, err);
}

/* ---- loaded ---- */

/* The part in the coil: where the current runs, and the part's factors beside those of the solid rod. */
typedef struct pairing {
	const layout       *coil;
	const rw_coil_body *body;
	double frequency;
	double gap, height;            /* m, clear; of the current over the work */
	double middle;                 /* m, of the tube's middle over the work; strip: height */
	double spread;                 /* m, length of the sheet */
	double separate;               /* 1: turns one by one over the sheet, resistance */
	double depth, heated;          /* m, skin depth; length */
	rw_eddy_factor rod, part;      /* mu = mu0 */
	double length_factor, reactance_factor;
} pairing;

static rw_status body_fits(const layout *c, const rw_coil_body *b, double depth, rw_error *err)
{
	if (!(is_size(b->radius) && b->bore >= 0.0 && b->bore < b->radius && b->length > 0.0 && is_size(depth))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a part of radius '%.4g mm', bore '%.4g mm', length '%.4g mm', resistivity '%.4g ohm m' and "
		    "permeability '%.4g' has no field to solve", b->radius * 1e3, b->bore * 1e3, b->length * 1e3, b->resistivity, b->permeability);
		rw_error_expected(err, "all above zero, a bore under the radius");
		return RW_E_RANGE;
	}
	if (!(b->radius < c->inner)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a part of '%.6g mm' does not fit into a coil of '%.6g mm'", 2e3 * b->radius, 2e3 * c->inner);
		rw_error_expected(err, "a part smaller than the coil's clear bore");
		return RW_E_RANGE;
	}
	if (b->length >= 2.0 * depth)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "part_length", "a part of '%.4g mm' length is not thick against its skin depth of '%.4g mm'", b->length * 1e3,
	               depth * 1e3);
	rw_error_expected(err, "at least two skin depths");
	rw_error_hint(err, "a longer part, or a higher frequency");
	return RW_E_RANGE;
}

/* Loss in a conducting plane under a sheet of this length with 1 A/m, over rho/delta, the sheet's image at a distance: H^2 integrated along
 * the plane, m A2/m2. Second differences of it are the shares of two pieces together. */
static double plane_loss(double length, double image)
{
	double y = length / image;
	return 2.0 / M_PI * image * (y * atan(y) - 0.5 * log1p(y * y));
}

/* Loss of turns one by one over that of the sheet. */
static double separate_turns(const layout *c, double height, double spread)
{
	double image = 2.0 * height, pitch = c->winding.pitch, face = c->tube ? 0.0 : c->face, sum = 0.0;
	if (c->turns == 1)
		return 1.0;
	for (int k = 0; k < c->turns; k++) {
		double s = k * pitch, pair = image / (M_PI * (image * image + s * s));
		if (face > 0.0)
			pair = (0.5 * plane_loss(s + face, image) + 0.5 * plane_loss(fabs(s - face), image) - plane_loss(s, image)) / (face * face);
		sum += (k == 0 ? 1.0 : 2.0) * (c->turns - k) * pair;
	}
	return sum * spread * spread / (plane_loss(spread, image) * c->turns * c->turns);
}

/* p and q of the part and of the solid rod of its material. */
static rw_status factors(pairing *s, rw_error *err)
{
	const rw_coil_body *b = s->body;
	double x = b->radius / s->depth;
	RW_TRY(rw_eddy_bar(x, &s->rod, err));
	s->rod.p *= b->permeability;
	s->rod.q *= b->permeability;
	s->part = s->rod;
	if (b->bore > 0.0) {
		rw_eddy_tube_factor tube;
		RW_TRY(rw_eddy_tube(x, b->bore / b->radius, b->permeability, &tube, err));
		s->part = (rw_eddy_factor){tube.p, tube.q};
	}
	return RW_OK;
}

/* Where the current runs. A filament is a sheet so short that its waves are all alike to 1e-5. */
static void place(pairing *s)
{
	const layout *c = s->coil;
	double n = c->turns, width = c->tube ? 0.0 : c->face;
	s->gap = c->inner - s->body->radius;
	s->height = c->tube ? sqrt(s->gap * (s->gap + c->winding.width)) : s->gap;
	s->middle = c->tube ? s->gap + 0.5 * c->winding.width : s->gap;
	s->spread = fmax(sqrt(width * width + (n * n - 1.0) * c->winding.pitch * c->winding.pitch), 0.02 * s->height);
}

static rw_status pair_up(const layout *c, const rw_coil_body *body, double frequency, pairing *out, rw_error *err)
{
	pairing s = {.coil = c, .body = body, .frequency = frequency, .depth = rw_eddy_depth(body->resistivity, body->permeability, frequency)};
	RW_TRY(body_fits(c, body, s.depth, err));
	place(&s);
	s.separate = separate_turns(c, s.height, s.spread);
	s.heated = fmin(body->length, s.spread + 2.0 * s.height);
	RW_TRY(factors(&s, err));
	double over = fmin(1.0, body->length / c->length), short_by = 1.0 - fmin(1.0, body->length / (c->length + 2.0 * s.gap));
	s.length_factor = 1.0 - fmin(1.0, s.part.q / body->permeability) * (1.0 - over);
	s.reactance_factor = 1.0 - 0.6 * short_by * short_by;
	*out = s;
	return RW_OK;
}

/* What the part adds, ohm, with the current at this height over it. */
typedef struct change { double resistance, reactance; } change;

static rw_status part_adds(const pairing *s, double height, change *out, rw_error *err)
{
	const rw_coil_body *b = s->body;
	double at = b->radius + height;
	rw_eddy_body rod = {b->radius, 0.0, b->resistivity, b->permeability};
	rw_eddy_coil sheet = {s->coil->turns, s->spread, at, at};
	rw_eddy_change found;
	RW_TRY(rw_eddy_coil_on_rod_to(&rod, &sheet, s->frequency, rod_tolerance, &found, err));
	double area = found.resistance * s->rod.q / s->rod.p - found.reactance;   /* ohm: reactance of the field where the rod is */
	out->resistance = s->length_factor * s->separate * found.resistance * s->part.p / s->rod.p;
	out->reactance = s->reactance_factor * (found.reactance + area * (s->part.q - s->rod.q));
	return RW_OK;
}

/* Power a metre is w mu0 pi a^2 p H^2. */
static double field_per_ampere(const pairing *s, double resistance)
{
	double a = s->body->radius, per_field = 2.0 * M_PI * s->frequency * RW_MU0 * M_PI * a * a * s->part.p * s->heated;
	return sqrt(resistance / per_field);
}

/* Loss of a tube before a plane over that of one alone, less 1, as far as the work screens. */
static double image_crowding(const pairing *s)
{
	return (s->middle / s->height - 1.0) * fmax(0.0, 1.0 - s->part.q);
}

static rw_status reactance_left(const pairing *s, double reactance, rw_error *err)
{
	if (reactance > 0.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "a gap of '%.4g mm' under turns of '%.4g mm' is too tight: the closed form leaves no inductance",
	               s->gap * 1e3, s->coil->winding.width * 1e3);
	rw_error_expected(err, "a gap of about a tenth of the turn's width or more");
	return RW_E_RANGE;
}

static rw_status loaded(const layout *c, const rw_coil_body *body, const rw_medhurst *medhurst, double frequency,
                        rw_coil_loaded_result *out, rw_error *err)
{
	pairing s;
	rw_winding_resistance winding;
	rw_coil_impedance empty;
	change face, inner;
	RW_TRY(empty_coil(c, medhurst, frequency, &winding, &empty, err));
	RW_TRY(pair_up(c, body, frequency, &s, err));
	RW_TRY(part_adds(&s, s.height, &face, err));
	inner = face;
	if (c->tube)
		RW_TRY(part_adds(&s, 0.5 * (s.height + s.middle), &inner, err));
	double reactance = empty.reactance + 0.5 * (face.reactance + inner.reactance);
	RW_TRY(reactance_left(&s, reactance, err));
	double doubt = 0.5 * fabs(face.reactance - inner.reactance) + empty.uncertainty * empty.reactance;
	doubt += s.reactance_factor < 1.0 ? 0.1 * fabs(face.reactance) / s.reactance_factor : 0.0;
	double copper = winding.resistance + winding.resistance_dc * winding.straight * image_crowding(&s);
	*out = (rw_coil_loaded_result){
		.resistance = face.resistance + copper,
		.reactance = reactance,
		.reactance_uncertainty = doubt / reactance,
		.resistance_reflected = face.resistance,
		.resistance_copper = copper,
		.field_per_ampere = field_per_ampere(&s, face.resistance),
		.efficiency = face.resistance / (face.resistance + copper),
		.skin_depth = s.depth,
		.length_factor = s.length_factor,
		.reactance_factor = s.reactance_factor,
		.heated_length = s.heated,
	};
	return RW_OK;
}

rw_status rw_coil_loaded(const rw_coil_turns *turns, const rw_coil_body *body, const rw_medhurst *medhurst, double frequency,
                         rw_coil_loaded_result *out, rw_error *err)
{
	layout c;
	RW_TRY(lay_out(turns, medhurst, &c, err));
	return loaded(&c, body, medhurst, frequency, out, err);
}

/* ---- magnetic ---- */

/* Logarithm of the field, straight in the logarithm of the permeability. */
typedef struct line {
	rw_permeability_at permeability;
	void  *context;
	double at, field, slope;
} line;

static rw_status permeability_at(const line *l, double log_field, double *log_permeability, rw_error *err)
{
	double value = (double)NAN, field = exp(log_field);
	RW_TRY(l->permeability(l->context, field, &value, err));
	if (!is_size(value)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a relative permeability of '%.6g' at '%.6g A/m' is none", value, field);
		rw_error_expected(err, "a finite value above zero");
		return RW_E_RANGE;
	}
	*log_permeability = log(value);
	return RW_OK;
}

static rw_status off_line(void *context, double x, double *y, rw_error *err)
{
	const line *l = context;
	double found;
	RW_TRY(permeability_at(l, l->field + l->slope * (x - l->at), &found, err));
	*y = found - x;
	return RW_OK;
}

/* Permeability that belongs to its own field on the line; outward from where it is, in doubled steps, until the difference changes sign, so
 * that the callback is not asked for fields far from the true one. */
static rw_status on_line(line *l, double *x, rw_error *err)
{
	enum { STEPS_MAX = 40 };
	double low = l->at, off, first;
	RW_TRY(off_line(l, low, &first, err));
	if (fabs(first) < 1e-12) {
		*x = low + first;
		return RW_OK;
	}
	double step = first;
	for (int i = 0; i < STEPS_MAX; i++, step *= 2.0) {
		double high = low + step;
		RW_TRY(off_line(l, high, &off, err));
		if (off == 0.0) {
			*x = high;
			return RW_OK;
		}
		if ((off > 0.0) != (first > 0.0)) {
			rw_root root;
			RW_TRY(rw_root_find(off_line, l, fmin(low, high), fmax(low, high), 1e-9, 0.0, &root, err));
			*x = root.x;
			return RW_OK;
		}
		low = high;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "", "no permeability belongs to its own field");
	rw_error_expected(err, "a permeability that falls with the field, not steeper than its reciprocal");
	return RW_E_NOSOLVE;
}

/* One full evaluation: the logarithm of the field. */
static rw_status field_of(const layout *c, rw_coil_body *part, double log_permeability, double frequency, double current_rms,
                          double *log_field, rw_error *err)
{
	pairing s;
	change added;
	part->permeability = exp(log_permeability);
	RW_TRY(pair_up(c, part, frequency, &s, err));
	RW_TRY(part_adds(&s, s.height, &added, err));
	*log_field = log(current_rms * field_per_ampere(&s, added.resistance));
	return RW_OK;
}

typedef struct agreed { double permeability, field, error; int evaluations; } agreed;

static rw_status agree(const layout *c, const rw_coil_body *body, line *l, double frequency, double current_rms, agreed *out, rw_error *err)
{
	enum { EVALUATIONS_MAX = 12 };
	rw_coil_body part = *body;
	double x, found, off = 0.0, before_x = 0.0, before_field = 0.0;
	for (int i = 1; i <= EVALUATIONS_MAX; i++) {
		if (i == 1) {   /* the current spread evenly over what it heats */
			pairing s = {.coil = c, .body = body};
			place(&s);
			RW_TRY(permeability_at(l, log(c->turns * current_rms / (s.spread + 2.0 * s.height)), &x, err));
		} else {
			RW_TRY(on_line(l, &x, err));
		}
		double field;
		RW_TRY(field_of(c, &part, x, frequency, current_rms, &field, err));
		RW_TRY(permeability_at(l, field, &found, err));
		off = found - x;
		if (fabs(off) <= 1e-6) {
			*out = (agreed){part.permeability, exp(field), expm1(off), i};
			return RW_OK;
		}
		l->slope = i > 1 && x != before_x ? (field - before_field) / (x - before_x) : 0.0;
		l->at = before_x = x;
		l->field = before_field = field;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "", "permeability and field do not agree at '%.6g A'", current_rms);
	rw_error_expected(err, "a permeability that is smooth in the field");
	if (err)
		err->residual = fabs(off), err->iterations = EVALUATIONS_MAX;
	return RW_E_NOSOLVE;
}

rw_status rw_coil_magnetic(const rw_coil_turns *turns, const rw_coil_body *body, rw_permeability_at permeability, void *context,
                           const rw_medhurst *medhurst, double frequency, double current_rms, rw_coil_magnetic_result *out, rw_error *err)
{
	layout c;
	agreed a = {0};
	rw_coil_loaded_result result;
	line l = {.permeability = permeability, .context = context};
	RW_TRY(lay_out(turns, medhurst, &c, err));
	if (!is_size(current_rms)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "a current of '%.6g A' magnetises nothing", current_rms);
		rw_error_expected(err, "a finite current above zero");
		return RW_E_RANGE;
	}
	RW_TRY(agree(&c, body, &l, frequency, current_rms, &a, err));
	rw_coil_body part = *body;
	part.permeability = a.permeability;
	RW_TRY(loaded(&c, &part, medhurst, frequency, &result, err));
	*out = (rw_coil_magnetic_result){result, a.permeability, a.field, a.error, a.evaluations, 0};
	return RW_OK;
}

/* ---- stresses ---- */

/* Field at the face of a tube of radius r, its middle h from the plane half-way to its image, over volts to the plane: 1/m. */
static double tube_field(double h, double r)
{
	double y = h / r;
	return sqrt((y + 1.0) / (y - 1.0)) / (r * acosh(y));
}

static rw_status duty_accepted(const layout *c, const rw_coil_duty *d, rw_error *err)
{
	double apparent = d->voltage_rms * d->current_rms;
	bool values = is_size(d->voltage_rms) && is_size(d->current_rms) && is_size(d->frequency) && is_size(d->field_limit_pk);
	if (!(values && d->power >= 0.0 && d->power <= apparent)) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%.6g V' and '%.6g A' with '%.6g W' at '%.6g Hz' and a limit of '%.6g V/m' are no duty of a coil",
		               d->voltage_rms, d->current_rms, d->power, d->frequency, d->field_limit_pk);
		rw_error_expected(err, "all above zero, power up to volts times amperes");
		return RW_E_RANGE;
	}
	if (c->turns == 1 || c->winding.pitch > c->winding.width)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "turns of '%.4g mm' at a pitch of '%.4g mm' leave no gap to stress", c->winding.width * 1e3,
	               c->winding.pitch * 1e3);
	rw_error_expected(err, "a coil longer than its turns side by side");
	return RW_E_RANGE;
}

rw_status rw_coil_stress(const rw_coil_turns *turns, const rw_coil_body *body, const rw_medhurst *medhurst, const rw_coil_duty *duty,
                         rw_coil_stresses *out, rw_error *err)
{
	layout c;
	rw_winding_resistance winding;
	RW_TRY(lay_out(turns, medhurst, &c, err));
	RW_TRY(duty_accepted(&c, duty, err));
	RW_TRY(rw_winding_solve(&c.winding, medhurst, duty->frequency, &winding, err));
	double volts = M_SQRT2 * duty->voltage_rms, turn = volts / c.turns, turn_field = 0.0, work_field = 0.0, r = 0.5 * c.winding.width;
	double even = duty->current_rms / (c.tube ? 2.0 * M_PI * r : c.winding.width);
	double crowded = c.tube ? 1.0 + sqrt(2.0 * fmax(winding.proximity - 1.0, 0.0)) : 1.0;
	if (c.turns > 1)
		turn_field = c.tube ? 0.5 * turn * tube_field(0.5 * c.winding.pitch, r) : turn / (c.winding.pitch - c.winding.width);
	if (body) {
		pairing s;
		RW_TRY(pair_up(&c, body, duty->frequency, &s, err));
		work_field = c.tube ? volts * tube_field(s.middle, r) : volts / s.gap;
		if (c.tube)   /* the greatest of the image's distribution, as of its electric field */
			crowded += (sqrt((s.middle + r) / (s.middle - r)) - 1.0) * fmax(0.0, 1.0 - s.part.q);
	}
	double greatest = fmax(turn_field, work_field), apparent = duty->voltage_rms * duty->current_rms;
	*out = (rw_coil_stresses){
		.turn_voltage_pk = turn,
		.turn_field_pk = turn_field,
		.work_field_pk = work_field,
		.margin = greatest > 0.0 ? duty->field_limit_pk / greatest : (double)INFINITY,
		.reactive_power = sqrt((apparent - duty->power) * (apparent + duty->power)),
		.face_current_rms = even * crowded,
		.skin_current_density_rms = even * crowded / winding.skin_depth,
	};
	return RW_OK;
}

/* ---- cooling ---- */

rw_status rw_coil_cooling(const rw_coil_turns *turns, double loss, double temperature_rise, double velocity_max, double density,
                          double heat_capacity, rw_coil_cooling_result *out, rw_error *err)
{
	bool water = is_size(temperature_rise) && is_size(velocity_max) && is_size(density) && is_size(heat_capacity);
	if (!(water && loss >= 0.0 && isfinite(loss) && is_size(turns->width) && is_size(turns->thickness))) {
		(void)RW_RAISE(err, RW_E_RANGE, "", "'%.6g W' in water of '%.6g kg/m3' and '%.6g J/(kg K)', '%.6g K' warmer, at up to '%.6g m/s' is no "
		    "cooling of a coil", loss, density, heat_capacity, temperature_rise, velocity_max);
		rw_error_expected(err, "all above zero");
		return RW_E_RANGE;
	}
	double flow = loss / (density * heat_capacity * temperature_rise), least = sqrt(4.0 * flow / (M_PI * velocity_max));
	double bore = turns->conductor == RW_WINDING_TUBE ? fmax(0.0, turns->width - 2.0 * turns->thickness) : 0.0;
	double velocity = bore > 0.0 ? flow / (0.25 * M_PI * bore * bore) : 0.0;
	*out = (rw_coil_cooling_result){flow, least, bore, velocity, bore > 0.0 && bore >= least, 0};
	return RW_OK;
}
