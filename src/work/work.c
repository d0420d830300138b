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
static const double zone_least = 8e-3;             /* m: no coil heats less alone; R15 */
static const double scan_share = 0.9;             /* of the heat there is: the scan proposed leaves a tenth */
static const double room_temperature = 293.15, room_temperature_most = 303.15;   /* K; R15 */

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

/* The time to two digits, never shorter: the surface keeps to its greatest temperature. */
static double round_time(double time)
{
	double rounded = rw_round_digits(time, 2);
	return rounded >= time ? rounded : rw_round_digits(rounded + pow(10.0, floor(log10(time)) - 1.0), 2);
}

static bool turned(const rw_work_in *in) { return in->kind == RW_WORK_BAR || in->kind == RW_WORK_TUBE; }

static rw_status missing(const char *key, const char *what, const char *hint, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_MISSING, key, "'%s' is missing", strchr(key, '.') + 1);
	rw_error_expected(err, "%s", what);
	rw_error_hint(err, "%s", hint);
	return RW_E_MISSING;
}

static double celsius(double temperature) { return temperature - 273.15; }

static rw_status check_open(const rw_work_in *in, rw_error *err)
{
	if (in->treatment == RW_TREATMENT_SURFACE && isnan(in->depth))
		return missing("work.depth", "the depth to be austenitised, in mm", "add 'depth:', or heat through with 'treatment: through'", err);
	if (in->treatment == RW_TREATMENT_THROUGH && isnan(in->time))
		return missing("work.time", "the time in which the section is heated through, in s", "add 'time:'", err);
	if (in->motion == RW_MOTION_SCAN && isnan(in->zone))
		return missing("work.zone", "the length heated at a time, in mm", "add 'zone:', about the length of the coil", err);
	if (in->motion == RW_MOTION_SCAN && in->zone > in->length) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.zone", "a zone of '%.4g mm' is longer than the '%.4g mm' to be heated", in->zone * 1e3, in->length * 1e3);
		rw_error_expected(err, "at most the length");
		rw_error_hint(err, "then it is a single shot: 'motion: single_shot'");
		return RW_E_RANGE;
	}
	return RW_OK;
}

static rw_status check_section(const rw_work_in *in, rw_error *err)
{
	double bore = in->kind == RW_WORK_TUBE ? in->bore : 0.0, wall = 0.5 * (in->diameter - bore);
	if (!(bore < in->diameter)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.bore", "the bore '%.4g mm' is not under the diameter '%.4g mm'", bore * 1e3, in->diameter * 1e3);
		rw_error_expected(err, "a wall of some thickness");
		rw_error_hint(err, "check the two");
		return RW_E_RANGE;
	}
	if (in->treatment == RW_TREATMENT_SURFACE && bore > 0.0 && bore < 0.5 * in->diameter) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.bore", "a bore of '%.4g mm' leaves a wall too thick to count as flat", bore * 1e3);
		rw_error_expected(err, "at least half of the diameter, %.4g mm", 0.5e3 * in->diameter);
		rw_error_hint(err, "take it as 'kind: bar': right while the heat does not come to the bore");
		return RW_E_RANGE;
	}
	if (in->treatment == RW_TREATMENT_SURFACE && !(in->depth < wall)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.depth", "a depth of '%.4g mm' is no layer of a section of '%.4g mm'", in->depth * 1e3, wall * 1e3);
		rw_error_expected(err, "less than %.4g mm", wall * 1e3);
		rw_error_hint(err, "heat the whole section with 'treatment: through'");
		return RW_E_RANGE;
	}
	if (in->part_length >= in->length)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "work.part_length", "the part of '%.4g mm' is shorter than the '%.4g mm' to be heated",
	    in->part_length * 1e3, in->length * 1e3);
	rw_error_expected(err, "at least the length to be heated");
	rw_error_hint(err, "leave it out for a part heated over its whole length");
	return RW_E_RANGE;
}

static rw_status melts(const char *key, const char *what, double temperature, const rw_material *material, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, key, "%s of '%.5g degC' lets '%s' melt", what, celsius(temperature), material->name);
	rw_error_expected(err, "less than %.5g degC", celsius(material->melting_temperature));
	rw_error_hint(err, "give 'surface_temperature_max' and a target well under it");
	return RW_E_RANGE;
}

static rw_status check_temperatures(const rw_work_in *in, const rw_material *material, rw_error *err)
{
	bool surface = in->treatment == RW_TREATMENT_SURFACE;
	if (!(in->target_temperature > in->start_temperature)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.target_temperature", "the target of '%.5g degC' is not over the start of '%.5g degC'",
		    celsius(in->target_temperature), celsius(in->start_temperature));
		rw_error_expected(err, "more than the start temperature");
		rw_error_hint(err, "check the two and their units");
		return RW_E_RANGE;
	}
	if (surface && !(in->surface_temperature_max > in->target_temperature)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.surface_temperature_max", "the surface may come to '%.5g degC' only, and the depth wants '%.5g degC'",
		    celsius(in->surface_temperature_max), celsius(in->target_temperature));
		rw_error_expected(err, "more than the target: the surface is the hottest");
		rw_error_hint(err, "leave it out for 150 K over the target");
		return RW_E_RANGE;
	}
	if (in->target_temperature >= material->melting_temperature)   /* false where the entry does not know */
		return melts("work.target_temperature", "a target", in->target_temperature, material, err);
	if (surface && in->surface_temperature_max >= material->melting_temperature)
		return melts("work.surface_temperature_max", "a surface", in->surface_temperature_max, material, err);
	return RW_OK;
}

/* What is asked of the material at a temperature of the file. */
static rw_status known_at(const rw_material *material, const rw_property *asked, int n, double temperature, const char *key, rw_error *err)
{
	for (int i = 0; i < n; i++) {
		double value;
		rw_status status = rw_material_at(material, asked[i], temperature, &value, err);
		if (status == RW_OK)
			continue;
		if (err)
			snprintf(err->key, sizeof err->key, "%s", status == RW_E_RANGE ? key : "work.material");
		if (status == RW_E_RANGE)
			rw_error_hint(err, "another temperature, or a material whose tables reach it");
		return status;
	}
	return RW_OK;
}

static rw_status check_turned(const rw_work_in *in, const rw_material *material, rw_error *err)
{
	static const rw_property asked[] = {RW_HEAT_CAPACITY, RW_CONDUCTIVITY, RW_RESISTIVITY};
	RW_TRY(check_open(in, err));
	RW_TRY(check_section(in, err));
	RW_TRY(known_at(material, asked + 2, 1, in->target_temperature, "work.target_temperature", err));
	RW_TRY(check_temperatures(in, material, err));
	RW_TRY(known_at(material, asked, 2, in->start_temperature, "work.start_temperature", err));
	return known_at(material, asked, 2, in->target_temperature, "work.target_temperature", err);
}

static rw_status check_skin(const rw_work_in *in, double hot_depth, double frequency, rw_error *err)
{
	double most = in->kind == RW_WORK_BAR ? 0.5 * in->diameter : 50.0 * (in->diameter - in->bore);   /* what heating.h takes */
	if (in->treatment != RW_TREATMENT_SURFACE || hot_depth <= most)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "generator.frequency", "at '%.4g kHz' the field goes through the hot section: skin depth '%.3g mm'",
	    frequency / 1e3, hot_depth * 1e3);
	rw_error_expected(err, "at least %.3g kHz, for a skin depth up to %.3g mm", frequency / 1e3 * pow(hot_depth / most, 2.0), most * 1e3);
	rw_error_hint(err, "a higher frequency, or 'treatment: through'");
	return RW_E_RANGE;
}

/* Keys of the closed forms are theirs; here they are the file's. */
static rw_status in_the_work(rw_status status, const char *key, rw_error *err)
{
	if (status != RW_OK && err && strncmp(err->key, "work.", 5) != 0)
		snprintf(err->key, sizeof err->key, "%s", status == RW_E_MISSING ? "work.material" : key);
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

/* No time is short enough: the power is in the depth at once. */
static rw_status no_time(const rw_work_in *in, double hot_depth, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.time", "the skin depth of '%.3g mm' alone heats to '%.3g mm': the surface keeps under '%.5g degC' in any time",
	    hot_depth * 1e3, in->depth * 1e3, celsius(in->surface_temperature_max));
	rw_error_expected(err, "a time, or a depth well over the skin depth");
	rw_error_hint(err, "add 'time:', or take a higher frequency");
	return RW_E_NOSOLVE;
}

static double temperature_finished(const rw_work_set *set) { return rw_round_digits(celsius(set->surface_temperature), 3) + 273.15; }

static bool resistivity_known(const rw_material *material, double temperature)
{
	double value;
	return rw_material_at(material, RW_RESISTIVITY, temperature, &value, NULL) == RW_OK;
}

/* The surface may come to where nothing is known of the material. */
static rw_status past_tables(const rw_work_in *in, const rw_material *material, rw_error *err)
{
	static const rw_property resistivity = RW_RESISTIVITY;
	return known_at(material, &resistivity, 1, in->surface_temperature_max, "work.surface_temperature_max", err);
}

/* The time given ends where nothing is known of the material. */
static rw_status too_hot(const rw_work_in *in, const rw_material *material, const rw_work_set *set, rw_error *err)
{
	rw_surface_heat heat;
	(void)RW_RAISE(err, RW_E_RANGE, "work.time", "in '%.4g s' the surface would end at '%.4g degC', past the tables of '%s'", in->time,
	    celsius(set->surface_temperature), material->name);
	if (in->treatment == RW_TREATMENT_SURFACE && surface_heat(in, material, set->hot_depth, (double)NAN, &heat, NULL) == RW_OK) {
		rw_error_expected(err, "at least %.3g s", heat.time);
		rw_error_hint(err, "%.3g s keeps the surface to '%.5g degC'", heat.time, celsius(in->surface_temperature_max));
		return RW_E_RANGE;
	}
	const rw_table *known = &material->table[RW_RESISTIVITY];
	rw_error_expected(err, "a longer time");
	rw_error_hint(err, "the surface leads the less, the longer it takes");
	if (in->treatment == RW_TREATMENT_THROUGH && known->n_rows > 0) {   /* the surface leads its mean as 1/time */
		double most = rw_table_cell(known, known->n_rows - 1, 0), lead = set->surface_temperature - in->target_temperature;
		rw_error_expected(err, "at least %.3g s, for a surface up to %.5g degC", in->time * lead / (most - in->target_temperature), celsius(most));
	}
	return RW_E_RANGE;
}

static rw_status choose_surface(rw_work_in *in, const rw_material *material, double frequency, rw_work_set *set, rw_error *err)
{
	rw_surface_heat heat;
	bool open = isnan(in->time);
	RW_TRY(check_skin(in, set->hot_depth, frequency, err));
	if (open) {
		rw_status status = in_the_work(surface_heat(in, material, set->hot_depth, in->time, &heat, err), "work.depth", err);
		if (status == RW_E_NOSOLVE)
			return no_time(in, set->hot_depth, err);
		RW_TRY(status);
		in->time = round_time(heat.time);
	}
	RW_TRY(in_the_work(surface_heat(in, material, set->hot_depth, in->time, &heat, err), "work.time", err));
	set->absorbed_power = heat.flux;
	set->lost_power = heat.loss_flux;
	set->surface_power = heat.surface_power;
	set->surface_temperature = heat.surface_temperature;
	set->core_temperature = heat.core_temperature;
	set->energy = heat.energy * set->area;
	if (in->n_loads > 0 || resistivity_known(material, temperature_finished(set)))   /* the program's own states end with the surface */
		return RW_OK;
	return open ? past_tables(in, material, err) : too_hot(in, material, set, err);
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
	set->absorbed_power = heat.flux;
	set->lost_power = heat.loss_flux;
	set->surface_power = heat.surface_power;
	set->surface_temperature = heat.surface_temperature;
	set->core_temperature = heat.core_temperature;
	set->energy = heat.energy;
	if (in->n_loads > 0 || resistivity_known(material, temperature_finished(set)))
		return RW_OK;
	return too_hot(in, material, set, err);
}

/* R15: room temperature, which for tables that begin at 300 K is where they begin. */
static double usual_start(const rw_material *material)
{
	static const rw_property asked[] = {RW_HEAT_CAPACITY, RW_CONDUCTIVITY, RW_RESISTIVITY};
	double start = room_temperature;
	for (int i = 0; i < 3; i++) {
		const rw_table *table = &material->table[asked[i]];
		double first = table->n_rows > 0 ? rw_table_cell(table, 0, 0) : room_temperature;
		if (first > start && first <= room_temperature_most)
			start = first;
	}
	return start;
}

static rw_status choose_turned(rw_work_in *in, const rw_material *material, double frequency, rw_work_set *set, rw_error *err)
{
	in->treatment = in->treatment < 0 ? RW_TREATMENT_SURFACE : in->treatment;
	in->motion = in->motion < 0 ? RW_MOTION_SINGLE_SHOT : in->motion;
	in->part_length = or_rule(in->part_length, in->length);
	in->start_temperature = or_rule(in->start_temperature, usual_start(material));
	in->surface_temperature_max = or_rule(in->surface_temperature_max, in->target_temperature + surface_over);
	in->convection = or_rule(in->convection, 10.0);
	RW_TRY(check_turned(in, material, err));
	double resistivity;
	RW_TRY(in_the_work(rw_material_at(material, RW_RESISTIVITY, in->target_temperature, &resistivity, err), "work.material", err));
	set->hot_depth = rw_eddy_depth(resistivity, 1.0, frequency);
	set->heated_length = in->motion == RW_MOTION_SCAN ? in->zone : in->length;
	set->area = M_PI * in->diameter * set->heated_length;
	if (in->treatment == RW_TREATMENT_SURFACE)
		RW_TRY(choose_surface(in, material, frequency, set, err));
	else
		RW_TRY(choose_through(in, material, set, err));
	set->heating_time = in->time;
	if (in->motion == RW_MOTION_SCAN) {
		set->scan_speed = in->zone / in->time;
		set->scan_time = (in->length + in->zone) / set->scan_speed;
	}
	set->heat_needed = set->surface_power * set->area;
	in->heat_power = or_rule(in->heat_power, rw_round_digits(set->heat_needed, 3));
	return RW_OK;
}

static double middle(double low, double high) { return rw_round_digits(sqrt(low * high), 3); }

static rw_status check_drying(const rw_work_in *in, rw_error *err)
{
	if (in->evaporated_mass > in->water_mass) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.evaporated_mass", "'%.4g kg' cannot evaporate from '%.4g kg' of water", in->evaporated_mass, in->water_mass);
		rw_error_expected(err, "at most the water in it");
		rw_error_hint(err, "give the water as 'water_mass:'");
		return RW_E_RANGE;
	}
	if (in->target_temperature < in->start_temperature || (in->target_temperature == in->start_temperature && in->evaporated_mass == 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.target_temperature", "from '%.5g degC' to '%.5g degC' the stuff takes no heat",
		    celsius(in->start_temperature), celsius(in->target_temperature));
		rw_error_expected(err, "more than the start temperature, or as much and water to be evaporated");
		rw_error_hint(err, "check the two and their units");
		return RW_E_RANGE;
	}
	if (!isnan(in->time) || in->heat_power > in->loss)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.heat_power", "'%.4g kW' never gets the stuff there: its loss of '%.4g kW' takes all of it",
	    in->heat_power / 1e3, in->loss / 1e3);
	rw_error_expected(err, "more than the loss");
	rw_error_hint(err, "leave it out and give 'time:'");
	return RW_E_NOSOLVE;
}

static rw_status check_dielectric(const rw_work_in *in, rw_error *err)
{
	if (in->gap_open < in->gap_closed) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.gap_open", "the gap of the open plates, '%.4g mm', is under that of the closed ones, '%.4g mm'",
		    in->gap_open * 1e3, in->gap_closed * 1e3);
		rw_error_expected(err, "at least gap_closed");
		rw_error_hint(err, "leave it out when the power comes on with the plates closed");
		return RW_E_RANGE;
	}
	if (isnan(in->time) && isnan(in->heat_power))
		return missing("work.time", "the time of heating, in s", "add 'time:', or give 'heat_power:'", err);
	return check_drying(in, err);
}

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
	RW_TRY(check_dielectric(in, err));
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
	set->heat_needed = set->energy / in->time + in->loss;
	in->heat_power = or_rule(in->heat_power, rw_round_digits(set->heat_needed, 3));
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
	add(names, loads, n, "finished", at(temperature_finished(set)));
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

rw_status rw_work_mean_heat(const rw_material *material, const double *temperature, const double *heat, int n, double *mean, rw_error *err)
{
	double energy = 0.0, time = 0.0;
	for (int k = 0; k < n; k++)
		if (!(heat[k] > 0.0)) {
			(void)RW_RAISE(err, RW_E_RANGE, "heat", "a state takes no heat");
			rw_error_expected(err, "heat in every state");
			rw_error_hint(err, "look at its figures");
			return RW_E_RANGE;
		}
	*mean = heat[0];
	for (int k = 1; k < n; k++) {
		double stretch;
		RW_TRY(rw_material_heat(material, temperature[k - 1], temperature[k], &stretch, err));
		energy += stretch;
		time += stretch / (0.5 * (heat[k - 1] + heat[k]));
	}
	if (time > 0.0)
		*mean = energy / time;
	return RW_OK;
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
	rw_scan scan = {0};
	double most = heat_available / set->surface_power;
	(void)RW_RAISE(err, RW_E_NOSOLVE, "work.motion", "a single shot over %.3g cm2 wants %.3g kW in the work (%.3g W/cm2 for %.3g s); the rated "
	    "output brings %.3g kW there", set->area * 1e4, in->heat_power / 1e3, set->surface_power / 1e4, set->heating_time, heat_available / 1e3);
	rw_error_expected(err, "at most %.3g cm2 heated at a time: scan, not single shot", most * 1e4);
	rw_status status = rw_heating_scan(&single, 0.5 * in->diameter, in->length, scan_share * heat_available, zone_least, &scan, NULL);
	double zone = floor(scan.zone * 1e3) * 1e-3, speed = zone / set->heating_time;
	if (status == RW_OK && zone > 0.0)
		rw_error_hint(err, "'motion: scan' with 'zone: %.0f mm' and a coil about as long would do: %.3g mm/s, %.3g s for the length, %.3g kW in the work",
		    zone * 1e3, speed * 1e3, (in->length + zone) / speed, M_PI * in->diameter * zone * set->surface_power / 1e3);
	else
		rw_error_hint(err, "a larger set, or a longer time with less power");
	return RW_E_NOSOLVE;
}
