/* The output transformer chosen (rule R18), and whether the set is large enough for the work at all. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/line.h"

static const double two_pi = 6.283185307179586476925287;
static const double volts_share = 0.45;     /* R18: peak volts of the secondary times the ratio, of the anode volts wanted */
static const double primary_share = 1.5;   /* R18: reactance of the primary over that of leads and coil at its side */

static double or_rule(double given, double rule) { return isnan(given) ? rule : given; }

/* Anode volts wanted, as rule R2 has them. */
static double anode_voltage(const rw_line *line)
{
	return or_rule(line->oscillator->anode_voltage, floor(0.8 * line->valve->anode_voltage_max / 100.0 + 1e-9) * 100.0);
}

/* The loaded state whose secondary wants most volts for the heat. */
static rw_status most_volts(const rw_line *line, double *volts_rms, double *reactance, rw_error *err)
{
	rw_output_in none = {.transformer = RW_OUTPUT_NONE};
	rw_line bare = *line;
	rw_heat_point point;
	double f = line->generator->frequency;
	bare.output = &none;
	*volts_rms = *reactance = 0.0;
	for (int k = 0; k < line->work->n_loads; k++) {
		if (k == line->empty)
			continue;
		RW_TRY(rw_line_heat_point(&bare, k, f, line->work->heat_power, &point, err));
		double volts = point.coil_current_rms * hypot(point.load.resistance, point.load.reactance);
		if (volts > *volts_rms) {
			*volts_rms = volts;
			*reactance = point.load.reactance;
		}
	}
	return RW_OK;
}

static rw_status choose(const rw_line *line, rw_error *err)
{
	rw_output_in *output = line->output;
	double volts, reactance;
	output->transformer = output->transformer < 0 ? RW_OUTPUT_NONE : output->transformer;
	if (output->transformer == RW_OUTPUT_NONE)
		return RW_OK;
	output->coupling = or_rule(output->coupling, 0.9);
	output->primary_q = or_rule(output->primary_q, 300.0);
	output->secondary_q = or_rule(output->secondary_q, 300.0);
	RW_TRY(most_volts(line, &volts, &reactance, err));
	if (isnan(output->primary_inductance) && !(reactance > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, "output.transformer", "an output transformer feeds a load of '%.4g ohm' reactance", reactance);
		rw_error_expected(err, "a work coil, whose reactance is above zero");
		rw_error_hint(err, "plates hang on a coupled secondary tank instead: 'coupling: secondary' in the tank");
		return RW_E_RANGE;
	}
	output->ratio = or_rule(output->ratio, fmax(1.0, floor(volts_share * anode_voltage(line) / (sqrt(2.0) * volts))));
	output->primary_inductance = or_rule(output->primary_inductance, rw_round_digits(primary_share * output->ratio * output->ratio * reactance /
	    (two_pi * line->generator->frequency), 2));
	return RW_OK;
}

rw_status rw_outputs_choose(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_line line;
		chain->job_at_fault = j;
		RW_TRY(rw_line_of(chain, j, &line, err));
		RW_TRY(choose(&line, err));
	}
	return RW_OK;
}

/* Heat in the work over output at the reference plane: of the state the file sizes on, else of the one where it is greatest. The tank's own
 * loss is not known yet: at the anode it counts as none. */
static rw_status share_of(const rw_line *line, double *share, rw_error *err)
{
	const char *named = line->generator->design_load;
	*share = 0.0;
	for (int k = 0; k < line->work->n_loads; k++) {
		rw_heat_point point;
		if (k == line->empty || (named[0] && strcmp(named, line->load_name[k]) != 0))
			continue;
		RW_TRY(rw_line_heat_point(line, k, line->generator->frequency, line->work->heat_power, &point, err));
		double coil = point.coil_current_rms * point.coil_current_rms * point.coil.resistance;
		double terminals = point.output_current_rms * point.output_current_rms * point.load.resistance;
		double output = line->generator->plane == RW_PLANE_WORK ? line->work->heat_power : line->generator->plane == RW_PLANE_COIL ? coil : terminals;
		*share = fmax(*share, line->work->heat_power / output);
	}
	return RW_OK;
}

rw_status rw_line_sizes(const rw_line *line, rw_error *err)
{
	double share;
	if (isnan(line->generator->rated_output) || (line->work->kind != RW_WORK_BAR && line->work->kind != RW_WORK_TUBE))
		return RW_OK;
	RW_TRY(share_of(line, &share, err));
	if (share == 0.0)
		return RW_OK;   /* no such state: told where it is looked for */
	return rw_work_verdict(line->work, &line->loads->set, share * line->generator->rated_output, err);
}
