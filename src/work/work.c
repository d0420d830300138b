/* The work chosen: heat wanted from the treatment, load states from what the part goes through; and the verdict on a single shot. */
#include "work/work.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/constants.h"
#include "base/numeric.h"
#include "work/eddy.h"
#include "work/heating.h"

static const double curie_side = 20.0;            /* K to each side of the Curie point; R15 */
static const double surface_over = 150.0;         /* K; R15 */
static const double field_rms_most = 160e3, gap_field_pk_most = 300e3;   /* V/m; R15, memory */
static const double room_temperature = 293.15;

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

static bool turned(const rw_work_in *in) { return in->kind == RW_WORK_BAR || in->kind == RW_WORK_TUBE; }

static rw_status missing(const char *key, const char *what, const char *hint, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_MISSING, key, "'%s' is missing", strchr(key, '.') + 1);
	rw_error_expected(err, "%s", what);
	rw_error_hint(err, "%s", hint);
	return RW_E_MISSING;
}

static rw_status check_turned(const rw_work_in *in, rw_error *err)
{
	if (in->treatment == RW_TREATMENT_SURFACE && isnan(in->depth))
		return missing("work.depth", "the depth to be austenitised, in mm", "add 'depth:', or heat through with 'treatment: through'", err);
	if (in->treatment == RW_TREATMENT_THROUGH && isnan(in->time))
		return missing("work.time", "the time in which the section is heated through, in s", "add 'time:'", err);
	if (in->motion == RW_MOTION_SCAN && isnan(in->zone))
		return missing("work.zone", "the length heated at a time, in mm", "add 'zone:', about the length of the coil", err);
	if (in->kind == RW_WORK_TUBE && !(in->bore < in->diameter)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.bore", "the bore '%.4g mm' is not under the diameter '%.4g mm'", in->bore * 1e3, in->diameter * 1e3);
		rw_error_expected(err, "a wall of some thickness");
		rw_error_hint(err, "check the two");
		return RW_E_RANGE;
	}
	if (!(in->part_length >= in->length)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.part_length", "the part of '%.4g mm' is shorter than the '%.4g mm' to be heated",
		    in->part_length * 1e3, in->length * 1e3);
		rw_error_expected(err, "at least the length to be heated");
		rw_error_hint(err, "leave it out for a part heated over its whole length");
		return RW_E_RANGE;
	}
	return RW_OK;
}

/* Keys of the closed forms are theirs; here they are the file's. */
static rw_status in_the_work(rw_status status, const char *key, rw_error *err)
{
	if (status != RW_OK && err && strncmp(err->key, "work.", 5) != 0)
		snprintf(err->key, sizeof err->key, "%s", key);
	return status;
}

static rw_status surface_heat(const rw_work_in *in, const rw_material *material, double hot_depth, double time, rw_surface_heat *heat,
    rw_error *err)
{
	const rw_surface_job job = {
	    .radius = 0.5 * in->diameter, .bore = in->kind == RW_WORK_TUBE ? 0.5 * in->bore : 0.0,
	    .length = in->motion == RW_MOTION_SCAN ? in->zone : in->length, .depth = in->depth, .start = in->start_temperature,
	    .target = in->target_temperature, .surface_max = in->surface_temperature_max, .time = time, .skin_depth = hot_depth,
	    .ambient = in->start_temperature, .convection = in->convection,
	};
	return rw_heating_surface(&job, material, heat, err);
}

static rw_status choose_surface(rw_work_in *in, const rw_material *material, rw_work_set *set, rw_error *err)
{
	rw_surface_heat heat;
	if (isnan(in->time)) {
		RW_TRY(in_the_work(surface_heat(in, material, set->hot_depth, in->time, &heat, err), "work.depth", err));
		in->time = rw_round_digits(heat.time, 2);
	}
	RW_TRY(in_the_work(surface_heat(in, material, set->hot_depth, in->time, &heat, err), "work.time", err));
	set->surface_power = heat.surface_power;
	set->surface_temperature = heat.surface_temperature;
	set->core_temperature = heat.core_temperature;
	set->energy = heat.energy * set->area;
	return RW_OK;
}

static rw_status choose_through(const rw_work_in *in, const rw_material *material, rw_work_set *set, rw_error *err)
{
	rw_through_heat heat;
	const rw_through_job job = {
	    .radius = 0.5 * in->diameter, .bore = in->kind == RW_WORK_TUBE ? 0.5 * in->bore : 0.0,
	    .length = in->motion == RW_MOTION_SCAN ? in->zone : in->length, .start = in->start_temperature, .target = in->target_temperature,
	    .time = in->time, .ambient = in->start_temperature, .convection = in->convection,
	};
	RW_TRY(in_the_work(rw_heating_through(&job, material, &heat, err), "work.time", err));
	set->surface_power = heat.surface_power;
	set->surface_temperature = heat.surface_temperature;
	set->core_temperature = heat.core_temperature;
	set->energy = heat.energy;
	return RW_OK;
}

static rw_status choose_turned(rw_work_in *in, const rw_material *material, double frequency, rw_work_set *set, rw_error *err)
{
	in->treatment = in->treatment < 0 ? RW_TREATMENT_SURFACE : in->treatment;
	in->motion = in->motion < 0 ? RW_MOTION_SINGLE_SHOT : in->motion;
	in->part_length = or_rule(in->part_length, in->length);
	in->start_temperature = or_rule(in->start_temperature, room_temperature);
	in->surface_temperature_max = or_rule(in->surface_temperature_max, in->target_temperature + surface_over);
	in->convection = or_rule(in->convection, 10.0);
	RW_TRY(check_turned(in, err));
	double resistivity;
	RW_TRY(in_the_work(rw_material_at(material, RW_RESISTIVITY, in->target_temperature, &resistivity, err), "work.material", err));
	set->hot_depth = rw_eddy_depth(resistivity, 1.0, frequency);
	set->area = M_PI * in->diameter * (in->motion == RW_MOTION_SCAN ? in->zone : in->length);
	if (in->treatment == RW_TREATMENT_SURFACE)
		RW_TRY(choose_surface(in, material, set, err));
	else
		RW_TRY(choose_through(in, material, set, err));
	set->heating_time = in->time;
	if (in->motion == RW_MOTION_SCAN) {
		set->scan_speed = in->zone / in->time;
		set->scan_time = (in->length + in->zone) / set->scan_speed;
	}
	in->heat_power = or_rule(in->heat_power, rw_round_digits(set->surface_power * set->area, 3));
	return RW_OK;
}

static double middle(double low, double high) { return rw_round_digits(sqrt(low * high), 3); }

static rw_status choose_dielectric(rw_work_in *in, const rw_work_stuff *stuff, rw_work_set *set, rw_error *err)
{
	in->start_temperature = or_rule(in->start_temperature, room_temperature);
	in->water_mass = or_rule(in->water_mass, 0.0);
	in->evaporated_mass = or_rule(in->evaporated_mass, 0.0);
	in->loss = or_rule(in->loss, 0.0);
	in->permittivity_wet = or_rule(in->permittivity_wet, middle(stuff->wet.min.real, stuff->wet.max.real));
	in->loss_factor_wet = or_rule(in->loss_factor_wet, middle(stuff->wet.min.loss, stuff->wet.max.loss));
	in->permittivity_dry = or_rule(in->permittivity_dry, middle(stuff->dry.min.real, stuff->dry.max.real));
	in->loss_factor_dry = or_rule(in->loss_factor_dry, middle(stuff->dry.min.loss, stuff->dry.max.loss));
	in->gap_closed = or_rule(in->gap_closed, 0.0);
	in->gap_open = or_rule(in->gap_open, in->gap_closed);
	in->field_rms_max = or_rule(in->field_rms_max, field_rms_most);
	in->gap_field_pk_max = or_rule(in->gap_field_pk_max, gap_field_pk_most);
	if (in->gap_open < in->gap_closed) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.gap_open", "the gap of the open plates, '%.4g mm', is under that of the closed ones, '%.4g mm'",
		    in->gap_open * 1e3, in->gap_closed * 1e3);
		rw_error_expected(err, "at least gap_closed");
		rw_error_hint(err, "leave it out when the power comes on with the plates closed");
		return RW_E_RANGE;
	}
	if (isnan(in->time) && isnan(in->heat_power))
		return missing("work.time", "the time of heating, in s", "add 'time:', or give 'heat_power:'", err);
	const rw_drying drying = {
	    .mass = in->mass, .heat_capacity = in->heat_capacity, .water_mass = in->water_mass, .water_heat_capacity = 4186.0,
	    .evaporated_mass = in->evaporated_mass, .latent_heat = 2257e3, .temperature_from = in->start_temperature,
	    .temperature_to = in->target_temperature, .loss = in->loss,
	};
	RW_TRY(in_the_work(rw_drying_heat(&drying, &set->energy, err), "work.mass", err));
	if (isnan(in->time)) {
		RW_TRY(in_the_work(rw_drying_time(&drying, in->heat_power, &in->time, err), "work.heat_power", err));
		in->time = rw_round_digits(in->time, 2);
	}
	set->heating_time = in->time;
	in->heat_power = or_rule(in->heat_power, rw_round_digits(set->energy / in->time + in->loss, 3));
	return RW_OK;
}

rw_status rw_work_choose(rw_work_in *in, const rw_work_stuff *stuff, double frequency, rw_work_set *set, rw_error *err)
{
	if (in->kind < 0)
		in->kind = RW_WORK_MEASURED;
	if (!in->empty[0])
		snprintf(in->empty, sizeof in->empty, "empty");
	if (turned(in))
		return choose_turned(in, &stuff->material, frequency, set, err);
	if (in->kind == RW_WORK_DIELECTRIC)
		return choose_dielectric(in, stuff, set, err);
	return RW_OK;
}

static void add(char (*names)[RW_NAME_BYTES], rw_load_in *loads, int32_t *n, const char *name, rw_load_in load)
{
	if (*n == RW_LOADS_MAX)
		return;
	snprintf(names[*n], RW_NAME_BYTES, "%.24s", name);
	loads[(*n)++] = load;
}

static const rw_load_in open_load = {.temperature = (double)NAN, .gap = (double)NAN, .permittivity = (double)NAN, .loss_factor = (double)NAN,
    .impedance = -1};

static rw_load_in at(double temperature)
{
	rw_load_in load = open_load;
	load.temperature = temperature;
	return load;
}

static void propose_turned(const rw_work_in *in, const rw_material *material, const rw_work_set *set, char (*names)[RW_NAME_BYTES],
    rw_load_in *loads, int32_t *n)
{
	double curie = material->curie_temperature;
	add(names, loads, n, "cold", at(in->start_temperature));
	if (in->start_temperature < curie - curie_side && curie + curie_side < in->target_temperature) {   /* false where there is no Curie point */
		add(names, loads, n, "below_curie", at(curie - curie_side));
		add(names, loads, n, "above_curie", at(curie + curie_side));
	}
	add(names, loads, n, "hot", at(in->target_temperature));
	add(names, loads, n, "finished", at(rw_round_digits(set->surface_temperature - 273.15, 3) + 273.15));
}

static rw_load_in stuffed(const rw_work_in *in, double gap, bool wet)
{
	return (rw_load_in){.temperature = (double)NAN, .gap = gap, .permittivity = wet ? in->permittivity_wet : in->permittivity_dry,
	    .loss_factor = wet ? in->loss_factor_wet : in->loss_factor_dry, .impedance = -1};
}

static void propose_dielectric(const rw_work_in *in, char (*names)[RW_NAME_BYTES], rw_load_in *loads, int32_t *n)
{
	add(names, loads, n, "wet", stuffed(in, in->gap_closed, true));
	add(names, loads, n, "dry", stuffed(in, in->gap_closed, false));
	if (in->gap_open > in->gap_closed) {
		add(names, loads, n, "closing", stuffed(in, 0.5 * (in->gap_open + in->gap_closed), true));
		add(names, loads, n, "open", stuffed(in, in->gap_open, true));
	}
}

/* A state of the file may leave a member open: what the rule would have written there. */
static void complete(const rw_work_in *in, rw_load_in *load)
{
	if (turned(in))
		load->temperature = or_rule(load->temperature, in->target_temperature);
	if (in->kind != RW_WORK_DIELECTRIC)
		return;
	load->gap = or_rule(load->gap, in->gap_closed);
	load->permittivity = or_rule(load->permittivity, in->permittivity_wet);
	load->loss_factor = or_rule(load->loss_factor, in->loss_factor_wet);
}

void rw_work_propose(const rw_work_in *in, const rw_work_stuff *stuff, const rw_work_set *set, char (*names)[RW_NAME_BYTES],
                     rw_load_in *loads, int32_t *n)
{
	bool has_empty = false;
	for (int32_t k = 0; k < *n; k++) {
		bool empty = strcmp(names[k], in->empty) == 0;
		has_empty = has_empty || empty;
		if (!empty)
			complete(in, &loads[k]);
	}
	bool propose = *n == (has_empty ? 1 : 0);
	if (propose)
		*n = 0;
	if (propose && turned(in))
		propose_turned(in, &stuff->material, set, names, loads, n);
	else if (propose && in->kind == RW_WORK_DIELECTRIC)
		propose_dielectric(in, names, loads, n);
	else if (in->kind == RW_WORK_DUMMY)
		add(names, loads, n, "dummy", open_load);
	if ((!has_empty || propose) && in->kind != RW_WORK_DUMMY)
		add(names, loads, n, in->empty, open_load);
}

void rw_work_plates(const rw_work_in *in, const rw_load_in *load, bool empty, double area, rw_plates *out)
{
	*out = (rw_plates){.area = area, .gap = empty ? in->gap_closed : load->gap, .n_layers = 1};
	out->layer[0] = (rw_layer){in->thickness, empty ? (rw_permittivity){1.0, 0.0} : (rw_permittivity){load->permittivity, load->loss_factor}};
}

rw_status rw_work_rate(const rw_work_in *in, const rw_work_set *set, const rw_load_in *load, bool empty, double plate_area,
                       double voltage_rms, double frequency, rw_work_case *out, rw_error *err)
{
	if (turned(in))
		out->area_heatable = out->heat / set->surface_power;
	if (in->kind != RW_WORK_DIELECTRIC)
		return RW_OK;
	rw_plates plates;
	rw_plates_field field;
	rw_work_plates(in, load, empty, plate_area, &plates);
	RW_TRY(in_the_work(rw_plates_field_of(&plates, frequency, voltage_rms, &field, err), "work.thickness", err));
	out->field_rms = field.field_rms[0];
	out->gap_field_pk = plates.gap > 0.0 || empty ? sqrt(2.0) * (empty ? field.field_rms[0] : field.gap_field_rms) : 0.0;
	return RW_OK;
}

rw_status rw_work_verdict(const rw_work_in *in, const rw_work_set *set, double heat_available, rw_error *err)
{
	if (!turned(in) || in->motion == RW_MOTION_SCAN || in->heat_power <= heat_available)
		return RW_OK;
	rw_surface_heat single = {.time = set->heating_time, .surface_power = set->surface_power};
	rw_scan scan;
	double most = heat_available / set->surface_power;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.motion", "a single shot over %.3g cm2 wants %.3g kW in the work (%.3g W/cm2 for %.2g s); the set gives "
	    "%.3g kW there", set->area * 1e4, in->heat_power / 1e3, set->surface_power / 1e4, set->heating_time, heat_available / 1e3);
	rw_error_expected(err, "at most %.3g cm2 heated at a time: scan, not single shot", most * 1e4);
	rw_status status = rw_heating_scan(&single, 0.5 * in->diameter, in->length, 0.9 * heat_available, 0.0, &scan, NULL);
	if (status == RW_OK)
		rw_error_hint(err, "'motion: scan' with 'zone: %.2g mm' would do: %.2g mm/s, %.2g s for the length, %.3g kW in the work",
		    floor(scan.zone * 1e3), scan.speed * 1e3, scan.time, scan.power / 1e3);
	else
		rw_error_hint(err, "a larger set, or a longer time with less power");
	return RW_E_NOSOLVE;
}
