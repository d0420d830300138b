/* Frequencies and turns compared at the heat wanted. */
#include "coil/choice.h"

#include <math.h>

#include "base/bessel.h"
#include "base/constants.h"
#include "base/numeric.h"
#include "coil/transform.h"
#include "work/eddy.h"
#include "work/heating.h"

enum { CURRENT_TURNS = 12 };

static const double two_pi = 6.283185307179586476925287, light = 299792458.0;   /* light: m/s */
static const double efficiency_least = 0.9, depths_least = 3.0, gain_least = 0.1;
static const double share_least = 0.4, share_wanted = 0.65, share_most = 0.9, primary_share = 1.5;
static const double air_share = 1.0 / 3.0, width_least = 3e-3, wall_least = 0.5e-3;   /* of the pitch, m, m */

/* ---- one state ---- */

typedef struct at_temperature { const rw_material *material; double temperature; } at_temperature;

static rw_status permeability_at(void *context, double field_rms, double *permeability, rw_error *err)
{
	const at_temperature *t = context;
	return rw_material_permeability(t->material, t->temperature, field_rms, permeability, err);
}

/* A magnetic part takes the permeability of the field that its own heat wants. */
static rw_status magnetic_state(const rw_choice_job *job, const rw_coil_turns *turns, const rw_coil_body *body, at_temperature *at,
    double frequency, rw_choice_state *state, rw_error *err)
{
	rw_coil_magnetic_result found;
	double current = 100.0;
	for (int turn = 0; turn < CURRENT_TURNS; turn++) {
		RW_TRY(rw_coil_magnetic(turns, body, permeability_at, at, job->medhurst, frequency, current, &found, err));
		double next = sqrt(job->work->heat_power / found.loaded.resistance_reflected);
		bool settled = fabs(next - current) < 1e-3 * next;
		current = next;
		if (settled)
			break;
	}
	state->loaded = found.loaded;
	state->permeability = found.permeability;
	return RW_OK;
}

rw_status rw_choice_state_at(const rw_choice_job *job, const rw_coil_in *coil, double temperature, double frequency, rw_choice_state *out,
    rw_error *err)
{
	const rw_work_in *work = job->work;
	at_temperature at = {&job->stuff->material, temperature};
	rw_coil_turns turns = rw_coil_turns_of(coil);
	rw_coil_body body = {.radius = 0.5 * work->diameter, .bore = work->kind == RW_WORK_TUBE ? 0.5 * work->bore : 0.0,
	    .length = work->part_length, .permeability = 1.0};
	rw_choice_state state = {.permeability = 1.0};
	RW_TRY(rw_material_at(at.material, RW_RESISTIVITY, temperature, &body.resistivity, err));
	if (temperature < at.material->curie_temperature) {   /* false without a Curie point */
		RW_TRY(magnetic_state(job, &turns, &body, &at, frequency, &state, err));
	} else {
		RW_TRY(rw_material_permeability(at.material, temperature, 1e5, &body.permeability, err));
		RW_TRY(rw_coil_loaded(&turns, &body, job->medhurst, frequency, &state.loaded, err));
		state.permeability = body.permeability;
	}
	body.permeability = state.permeability;
	state.body = body;
	state.current_rms = sqrt(work->heat_power / state.loaded.resistance_reflected);
	state.voltage_rms = state.current_rms * hypot(state.loaded.resistance, state.loaded.reactance);
	*out = state;
	return RW_OK;
}

/* ---- one frequency ---- */

static double wall_of(const rw_work_in *work) { return 0.5 * (work->diameter - (work->kind == RW_WORK_TUBE ? work->bore : 0.0)); }

/* Heated through: surface and core at the end with the power in the skin depth. Conductivity and diffusivity are those with which
 * rw_heating_through found its own, power in the surface. */
static rw_status treat_through(const rw_work_in *work, const rw_work_set *set, rw_choice_row *row, rw_error *err)
{
	double a = 0.5 * work->diameter, wall = wall_of(work), bore = a - wall, flux = set->energy / (set->area * set->heating_time);
	double conductivity = 0.5 * flux * (bore > 0.0 ? wall : a) / (set->surface_temperature - set->core_temperature);
	double per_volume = flux * set->heating_time * 2.0 * a / (a * a - bore * bore) / (work->target_temperature - work->start_temperature);
	const rw_heating_body body = {a, bore};
	double surface, core;
	RW_TRY(rw_heating_rise(&body, conductivity, conductivity / per_volume, set->hot_depth, set->heating_time, 0.0, &surface, err));
	RW_TRY(rw_heating_rise(&body, conductivity, conductivity / per_volume, set->hot_depth, set->heating_time, wall, &core, err));
	row->surface_temperature = work->start_temperature + flux * surface;
	row->difference = flux * (surface - core);
	return RW_OK;
}

/* The treatment as the work room has it, at another frequency. */
static rw_status treat(const rw_choice_job *job, double frequency, rw_choice_row *row, rw_error *err)
{
	const rw_work_in *work = job->work;
	rw_work_in in = *work;
	rw_work_set set = {0};
	bool surface = work->treatment == RW_TREATMENT_SURFACE;
	double wall = wall_of(work);
	row->surface_power = row->surface_temperature = row->difference = (double)NAN;
	row->treatment = RW_CHOICE_DEEP;
	if (row->hot_depth > (work->kind == RW_WORK_TUBE ? 100.0 * wall : wall))   /* where rw_heating_rise ends */
		return RW_OK;
	rw_status status = rw_work_choose(&in, job->stuff, frequency, &set, err);
	row->treatment = RW_CHOICE_MELTS;
	if (status == RW_E_RANGE && surface)
		return RW_OK;
	RW_TRY(status);
	row->surface_power = set.surface_power;
	row->surface_temperature = set.surface_temperature;
	row->difference = set.surface_temperature - set.core_temperature;
	row->treatment = surface && set.surface_temperature > work->surface_temperature_max ? RW_CHOICE_OVER : RW_CHOICE_KEEPS;
	return surface ? RW_OK : treat_through(work, &set, row, err);
}

rw_status rw_choice_stress(const rw_choice_job *job, const rw_coil_in *coil, const rw_choice_state *state, double frequency, rw_coil_case *out,
    rw_error *err)
{
	double square = state->current_rms * state->current_rms;
	*out = (rw_coil_case){.voltage_rms = state->voltage_rms, .current_rms = state->current_rms, .power = square * state->loaded.resistance,
	    .loss = square * state->loaded.resistance_copper};
	return rw_coil_rate(coil, &state->body, job->medhurst, frequency, out, err);
}

static rw_status stress_of(const rw_choice_job *job, const rw_choice_state *state, double frequency, double *share, rw_error *err)
{
	rw_coil_case at;
	RW_TRY(rw_choice_stress(job, job->coil, state, frequency, &at, err));
	*share = fmax(at.turn_field_pk, at.work_field_pk) / job->coil->field_pk_max;
	return RW_OK;
}

rw_status rw_choice_at(const rw_choice_job *job, double frequency, bool cold, rw_choice_row *out, rw_error *err)
{
	const rw_work_in *work = job->work;
	rw_choice_state state;
	rw_choice_row row = {.frequency = frequency, .cold_depth = (double)NAN, .cold_efficiency = (double)NAN};
	if (cold) {
		RW_TRY(rw_choice_state_at(job, job->coil, work->start_temperature, frequency, &state, err));
		row.cold_depth = state.loaded.skin_depth;
		row.cold_efficiency = state.loaded.efficiency;
	}
	RW_TRY(rw_choice_state_at(job, job->coil, work->target_temperature, frequency, &state, err));
	row.hot_depth = state.loaded.skin_depth;
	row.hot_efficiency = state.loaded.efficiency;
	row.current_rms = state.current_rms;
	row.voltage_rms = state.voltage_rms;
	RW_TRY(stress_of(job, &state, frequency, &row.stress, err));
	row.thickness = (work->kind == RW_WORK_TUBE ? wall_of(work) : work->diameter) / row.hot_depth;
	RW_TRY(treat(job, frequency, &row, err));
	*out = row;
	return RW_OK;
}

/* ---- the span ---- */

static rw_status depth_is(const rw_choice_job *job, double depth, double *frequency, rw_error *err)
{
	double resistivity;
	RW_TRY(rw_material_at(&job->stuff->material, RW_RESISTIVITY, job->work->target_temperature, &resistivity, err));
	*frequency = resistivity / (M_PI * RW_MU0 * depth * depth);
	return RW_OK;
}

rw_status rw_choice_thick_at(const rw_choice_job *job, double depths, double *frequency, rw_error *err)
{
	double thickness = sqrt(2.0 * job->work->diameter * wall_of(job->work));
	return depth_is(job, thickness / depths, frequency, err);
}

/* A figure that is to be under zero on the good side of its bound. */
typedef struct seeker {
	const rw_choice_job *job;
	int bound;
	double efficiency;     /* 1, the least that will do */
} seeker;

static double over_bound(const seeker *s, const rw_choice_row *row)
{
	switch (s->bound) {
	case RW_CHOICE_EFFICIENCY: return s->efficiency - row->hot_efficiency;
	case RW_CHOICE_VOLTS:      return log(row->stress);
	default:
		if (row->treatment == RW_CHOICE_DEEP)
			return -1.0;
		return row->treatment == RW_CHOICE_MELTS ? 1e3 : row->surface_temperature - s->job->work->surface_temperature_max;
	}
}

static rw_status over_bound_at(void *context, double log_frequency, double *y, rw_error *err)
{
	const seeker *s = context;
	rw_choice_row row;
	RW_TRY(rw_choice_at(s->job, exp(log_frequency), false, &row, err));
	*y = over_bound(s, &row);
	return RW_OK;
}

static rw_status between(seeker *s, const rw_choice_row *low, const rw_choice_row *high, double *frequency, rw_error *err)
{
	rw_root root;
	RW_TRY(rw_root_find(over_bound_at, s, log(low->frequency), log(high->frequency), 0.01, 0.0, &root, err));
	*frequency = exp(root.x);
	return RW_OK;
}

/* From the best row downwards: where the efficiency is last enough. */
static rw_status efficiency_bound(seeker *s, const rw_choice_row *rows, int best, double *frequency, rw_error *err)
{
	for (int i = best; i > 0; i--)
		if (over_bound(s, &rows[i - 1]) > 0.0)
			return between(s, &rows[i - 1], &rows[i], frequency, err);
	return RW_OK;
}

/* Upwards: where a figure is first over; of the surface only rows that have one count. */
static rw_status upper_bound(seeker *s, const rw_choice_row *rows, int n, double *frequency, rw_error *err)
{
	int first = 0;
	while (s->bound == RW_CHOICE_SURFACE && first < n - 1 && rows[first].treatment == RW_CHOICE_DEEP)
		first++;
	if (over_bound(s, &rows[first]) > 0.0) {
		*frequency = rows[0].frequency;
		return RW_OK;
	}
	for (int i = first + 1; i < n; i++)
		if (over_bound(s, &rows[i]) > 0.0)
			return between(s, &rows[i - 1], &rows[i], frequency, err);
	return RW_OK;
}

static void within_rows(const rw_choice_row *rows, int n, double found, double *bound)
{
	if (found >= rows[0].frequency && found <= rows[n - 1].frequency)
		*bound = found;
}

static rw_status find_bounds(const rw_choice_job *job, const rw_choice_row *rows, int n, int best, rw_choice_range *range, rw_error *err)
{
	const rw_work_in *work = job->work;
	bool surface = work->treatment == RW_TREATMENT_SURFACE;
	double thick, thin_skin;
	seeker s = {job, RW_CHOICE_EFFICIENCY, efficiency_least * range->efficiency_best};
	RW_TRY(efficiency_bound(&s, rows, best, &range->bound[RW_CHOICE_EFFICIENCY], err));
	if (work->kind == RW_WORK_BAR) {
		RW_TRY(rw_choice_thick_at(job, depths_least, &thick, err));
		within_rows(rows, n, thick, &range->bound[RW_CHOICE_THIN]);
	}
	s.bound = RW_CHOICE_SURFACE;
	if (surface)
		RW_TRY(upper_bound(&s, rows, n, &range->bound[RW_CHOICE_SURFACE], err));
	RW_TRY(depth_is(job, gain_least * (surface ? work->depth : wall_of(work)), &thin_skin, err));
	within_rows(rows, n, thin_skin, &range->bound[RW_CHOICE_GAIN]);
	s.bound = RW_CHOICE_VOLTS;
	return upper_bound(&s, rows, n, &range->bound[RW_CHOICE_VOLTS], err);
}

static rw_status in_order(const rw_choice_row *rows, int n, rw_error *err)
{
	bool order = n >= 2;
	for (int i = 1; i < n; i++)
		order = order && rows[i].frequency > rows[i - 1].frequency;
	if (order)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "", "'%d' frequencies are no span", n);
	rw_error_expected(err, "two or more, from low to high");
	return RW_E_RANGE;
}

rw_status rw_choice_range_of(const rw_choice_job *job, const rw_choice_row *rows, int n, rw_choice_range *out, rw_error *err)
{
	rw_choice_range range = {.lower_by = RW_CHOICE_SPAN, .upper_by = RW_CHOICE_SPAN};
	int best = 0;
	RW_TRY(in_order(rows, n, err));
	for (int i = 0; i < n; i++)
		best = rows[i].hot_efficiency > rows[best].hot_efficiency ? i : best;
	range.efficiency_best = rows[best].hot_efficiency;
	for (int b = 0; b < RW_CHOICE_BOUNDS; b++)
		range.bound[b] = (double)NAN;
	RW_TRY(find_bounds(job, rows, n, best, &range, err));
	range.lower = rows[0].frequency;
	range.upper = rows[n - 1].frequency;
	for (int b = 0; b < RW_CHOICE_BOUNDS; b++) {
		bool from_below = b == RW_CHOICE_EFFICIENCY || b == RW_CHOICE_THIN;
		if (from_below && range.bound[b] > range.lower) {
			range.lower = range.bound[b];
			range.lower_by = b;
		} else if (!from_below && range.bound[b] < range.upper) {
			range.upper = range.bound[b];
			range.upper_by = b;
		}
	}
	range.empty = range.upper <= range.lower;
	*out = range;
	return RW_OK;
}

/* ---- turns ---- */

bool rw_choice_turns(const rw_coil_in *coil, double turns, rw_coil_in *out)
{
	rw_coil_in in = *coil;
	in.turns = turns;
	if (turns != coil->turns) {
		double metal = 1.0 - air_share;
		in.width = fmin(coil->width, metal * coil->length / (turns - 1.0 + metal));
		if (coil->conductor == RW_WINDING_TUBE)
			in.thickness = fmin(coil->thickness, fmax(wall_least, coil->thickness * in.width / coil->width));
		if (in.width < width_least)
			return false;
	}
	*out = in;
	return true;
}

static double share_of(const rw_choice_line *line, double current_rms, double reactance)
{
	return sqrt(2.0) * current_rms * reactance / line->drive_voltage_pk;
}

/* Ratio and share go together: with the primary a multiple of the reactance fed, all of the rest stays. */
static rw_status through_transformer(const rw_choice_line *line, double frequency, double complex load, double current_rms,
    rw_choice_fit *fit, rw_error *err)
{
	rw_transform_want want = {.resistance = (double)NAN, .reactance = (double)NAN, .current_ratio = 1.0, .coupling = line->coupling,
	    .primary_inductance = (double)NAN, .multiple = primary_share * cimag(load) / cabs(load), .primary_q = line->primary_q,
	    .secondary_q = line->secondary_q};
	rw_transform_choice one;
	double complex seen, ratio_current;
	RW_TRY(rw_transform_choose(&want, frequency, load, &one, err));
	double ratio = one.transform.ratio * share_wanted / share_of(line, current_rms, cimag(one.z_in));
	rw_transform t = one.transform;
	t.ratio = fmax(1.0, rint(ratio));
	t.primary_inductance *= pow(t.ratio / one.transform.ratio, 2.0);
	RW_TRY(rw_transform_impedance(&t, frequency, load, &seen, &ratio_current, err));
	fit->verdict = RW_CHOICE_RATIO;
	fit->ratio = t.ratio;
	fit->share = share_of(line, current_rms / cabs(ratio_current), cimag(seen));
	fit->efficiency = pow(cabs(ratio_current), 2.0) * creal(load) / creal(seen);
	return RW_OK;
}

rw_status rw_choice_match(const rw_choice_line *line, double frequency, double complex coil, double current_rms, rw_choice_fit *out,
    rw_error *err)
{
	double complex load = coil + rw_complex(line->leads_resistance, two_pi * frequency * line->leads_inductance);
	double share = share_of(line, current_rms, cimag(load));
	rw_choice_fit fit = {.verdict = share > share_most ? RW_CHOICE_TOO_MUCH : RW_CHOICE_DIRECT, .ratio = 1.0, .share_direct = share,
	    .share = share, .efficiency = 1.0, .reactance_wanted = line->drive_voltage_pk / (sqrt(2.0) * current_rms)};
	if (share < share_least)
		RW_TRY(through_transformer(line, frequency, load, current_rms, &fit, err));
	*out = fit;
	return RW_OK;
}

/* ---- plates ---- */

rw_status rw_choice_plates_at(const rw_plates *plates, double heat, double frequency, rw_choice_plates *out, rw_error *err)
{
	rw_plates_field field;
	rw_plates air = *plates;
	rw_plates_load without;
	RW_TRY(rw_plates_field_of(plates, frequency, 1.0, &field, err));
	if (!(heat > 0.0 && field.power > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.heat_power", "'%.4g W' between plates whose stuff takes '%.4g W' at 1 V", heat, field.power);
		rw_error_expected(err, "heat above zero in stuff that has loss");
		return RW_E_RANGE;
	}
	for (int i = 0; i < air.n_layers; i++)
		air.layer[i].permittivity = (rw_permittivity){1.0, 0.0};
	RW_TRY(rw_plates_load_of(&air, frequency, &without, err));
	double volts = sqrt(heat / field.power), over_air = field.load.capacitance / without.capacitance;
	*out = (rw_choice_plates){
		.voltage_rms = volts,
		.current_rms = volts * field.current_rms,
		.field_rms = volts * field.field_rms[0],
		.gap_field_pk = plates->gap > 0.0 ? sqrt(2.0) * volts * field.gap_field_rms : 0.0,
		.quality = field.load.quality,
		.length_most = acos(0.9) / M_PI * light / (frequency * sqrt(over_air)),   /* volts go as cos(2 pi x/wave length) from the feed */
	};
	return RW_OK;
}
