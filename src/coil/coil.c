#include "coil/coil.h"

#include <math.h>
#include <stdio.h>

#include "coil/conductor.h"

/* R16, memory: working field in air with water vapour and scale about; water in a coil's tube. */
static const double field_most = 300e3, rise = 30.0, velocity_most = 3.0;
static const double water_density = 1000.0, water_heat = 4180.0;   /* kg/m3, J/(kg K) */

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

static rw_status whole(const rw_coil_in *in, rw_error *err)
{
	bool turns = in->turns == floor(in->turns), paths = in->water_paths == floor(in->water_paths);
	if (turns && paths)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, turns ? "coil.water_paths" : "coil.turns", "'%.4g' is not a whole number of %s",
	    turns ? in->water_paths : in->turns, turns ? "water paths" : "turns");
	rw_error_expected(err, "a whole number");
	rw_error_hint(err, turns ? "one path, or as many as the coil is tapped for" : "count a part of a turn with the leads");
	return RW_E_VALUE;
}

static rw_status crowded(const rw_coil_in *in, rw_error *err)
{
	double needed = in->turns * in->width;
	if (in->turns > 1.0 ? needed < in->length * (1.0 - 1e-9) : needed <= in->length * (1.0 + 1e-9))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "coil.length", "%.4g turns of '%.4g mm' do not fit in '%.4g mm'", in->turns, in->width * 1e3, in->length * 1e3);
	rw_error_expected(err, "more than %.4g mm, with air between the turns", needed * 1e3);
	rw_error_hint(err, "a longer coil, fewer turns, or a narrower conductor");
	return RW_E_RANGE;
}

/* The inductance of a turn of tube is known up to a tube of 0.4 of the turn's radius, which is two thirds of the clear bore. */
static rw_status slender(const rw_coil_in *in, rw_error *err)
{
	double most = in->inner_diameter * 2.0 / 3.0;
	if (in->conductor != RW_WINDING_TUBE || in->width <= most)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "coil.width", "a tube of '%.4g mm' is too thick for turns of '%.4g mm' bore", in->width * 1e3,
	    in->inner_diameter * 1e3);
	rw_error_expected(err, "at most two thirds of the bore, %.4g mm", most * 1e3);
	rw_error_hint(err, "a thinner tube, or 'conductor: strip'");
	return RW_E_RANGE;
}

static rw_status clears(const rw_coil_in *in, double work_diameter, rw_error *err)
{
	if (isnan(work_diameter) || in->inner_diameter > work_diameter)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "coil.inner_diameter", "a coil of '%.4g mm' bore does not go over work of '%.4g mm'", in->inner_diameter * 1e3,
	    work_diameter * 1e3);
	rw_error_expected(err, "more than the diameter of the work");
	rw_error_hint(err, "2 to 5 mm of air all round are usual");
	return RW_E_RANGE;
}

rw_status rw_coil_choose(rw_coil_in *in, double work_diameter, rw_error *err)
{
	if (in->kind < 0)
		in->kind = RW_COIL_MEASURED;
	if (in->kind != RW_COIL_TURNS)
		return RW_OK;
	in->conductor = in->conductor < 0 ? RW_WINDING_TUBE : in->conductor;
	in->temperature = or_rule(in->temperature, 333.15);
	in->field_pk_max = or_rule(in->field_pk_max, field_most);
	in->water_rise = or_rule(in->water_rise, rise);
	in->velocity_max = or_rule(in->velocity_max, velocity_most);
	in->water_paths = or_rule(in->water_paths, 1.0);
	RW_TRY(whole(in, err));
	RW_TRY(crowded(in, err));
	RW_TRY(clears(in, work_diameter, err));
	RW_TRY(slender(in, err));
	if (in->conductor != RW_WINDING_TUBE || in->thickness < 0.5 * in->width)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "coil.thickness", "a wall of '%.4g mm' leaves a tube of '%.4g mm' no bore", in->thickness * 1e3, in->width * 1e3);
	rw_error_expected(err, "under half the outer diameter");
	rw_error_hint(err, "water must pass; 1 mm is usual");
	return RW_E_RANGE;
}

rw_coil_turns rw_coil_turns_of(const rw_coil_in *in)
{
	return (rw_coil_turns){.turns = in->turns, .inner_diameter = in->inner_diameter, .length = in->length, .width = in->width,
	    .thickness = in->thickness, .temperature = in->temperature, .conductor = in->conductor};
}

rw_status rw_coil_rate(const rw_coil_in *in, const rw_coil_body *body, const rw_medhurst *medhurst, double frequency, rw_coil_case *out, rw_error *err)
{
	const rw_coil_turns turns = rw_coil_turns_of(in);
	const rw_coil_duty duty = {out->voltage_rms, out->current_rms, out->power, frequency, in->field_pk_max};
	rw_coil_stresses stress;
	rw_coil_cooling_result cooling;
	if (in->kind != RW_COIL_TURNS)
		return RW_OK;
	RW_TRY(rw_coil_stress(&turns, body, medhurst, &duty, &stress, err));
	RW_TRY(rw_coil_cooling(&turns, out->loss, in->water_rise, in->velocity_max, water_density, water_heat, &cooling, err));
	out->turn_voltage_pk = stress.turn_voltage_pk;
	out->turn_field_pk = stress.turn_field_pk;
	out->work_field_pk = stress.work_field_pk;
	out->water_flow = cooling.flow;
	out->water_velocity = cooling.velocity / in->water_paths;
	return RW_OK;
}
