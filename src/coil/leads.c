/* Leads between generator and work coil: inductance and resistance of two tubes, volts and loss in a case. */
#include <math.h>

#include "base/constants.h"
#include "coil/conductor.h"
#include "coil/leads.h"


double rw_skin_depth(double resistivity, double frequency)
{
	return sqrt(resistivity / (M_PI * frequency * RW_MU0));
}

double rw_copper_resistivity(double temperature)
{
	return 1.7241e-8 * (1.0 + 0.00393 * (temperature - 293.15));
}

static rw_status tubes_given(const rw_leads_in *in, rw_error *err)
{
	if (!isnan(in->length) && !isnan(in->diameter) && !isnan(in->spacing))
		return RW_OK;
	const char *open = isnan(in->inductance) ? "inductance" : "resistance";
	(void)RW_RAISE(err, RW_E_MISSING, isnan(in->inductance) ? "leads.inductance" : "leads.resistance", "the leads have no '%s'", open);
	rw_error_expected(err, "inductance and resistance, or length, diameter and spacing of the tubes");
	rw_error_hint(err, "two 10 mm tubes at 20 mm centres have about 0.5 uH a metre");
	return RW_E_MISSING;
}

static rw_status tubes_apart(const rw_leads_in *in, rw_error *err)
{
	if (in->length > 0.0 && in->diameter > 0.0 && in->spacing > in->diameter)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "leads.spacing", "tubes of '%.4g mm' at '%.4g mm' between centres touch", in->diameter * 1e3,
	    in->spacing * 1e3);
	rw_error_expected(err, "spacing over the diameter, both above zero");
	rw_error_hint(err, "the spacing is from centre to centre");
	return RW_E_RANGE;
}

/* Thin skin: the model's one condition on frequency. */
static rw_status skin_thin(const rw_leads_in *in, double delta, double frequency, rw_error *err)
{
	if (delta < 0.2 * in->diameter)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "leads.diameter", "skin depth of '%.3g mm' at '%.4g kHz' is not thin against tubes of '%.4g mm'",
	    delta * 1e3, frequency * 1e-3, in->diameter * 1e3);
	rw_error_expected(err, "skin depth under a fifth of the diameter");
	rw_error_hint(err, "give leads.resistance");
	return RW_E_RANGE;
}

rw_status rw_leads_choose(rw_leads_in *in, double frequency, rw_error *err)
{
	rw_leads_in chosen = *in;
	if (isnan(chosen.temperature))
		chosen.temperature = 333.15;
	if (isnan(chosen.voltage_share_max))
		chosen.voltage_share_max = 0.5;
	if (isnan(in->inductance) || isnan(in->resistance)) {
		RW_TRY(tubes_given(in, err));
		RW_TRY(tubes_apart(in, err));
	}
	if (isnan(in->inductance))
		chosen.inductance = RW_MU0 / M_PI * in->length * acosh(in->spacing / in->diameter);
	if (isnan(in->resistance)) {
		if (!(frequency > 0.0 && isfinite(frequency))) {
			(void)RW_RAISE(err, RW_E_RANGE, "generator.frequency", "leads at '%.6g Hz' have no skin depth", frequency);
			rw_error_expected(err, "more than zero");
			rw_error_hint(err, "give leads.resistance");
			return RW_E_RANGE;
		}
		double resistivity = rw_copper_resistivity(chosen.temperature), delta = rw_skin_depth(resistivity, frequency);
		RW_TRY(skin_thin(in, delta, frequency, err));
		double crowding;
		RW_TRY(rw_parallel_wires(in->spacing / in->diameter, &crowding, err));
		chosen.resistance = 2.0 * resistivity * in->length / (M_PI * in->diameter * delta) * crowding;
	}
	*in = chosen;
	return RW_OK;
}

rw_status rw_leads_solve(const rw_leads_in *in, double design_frequency, double frequency, double current_rms, rw_leads_case *out, rw_error *err)
{
	if (!(design_frequency > 0.0 && frequency > 0.0 && isfinite(design_frequency) && isfinite(frequency) && isfinite(current_rms))) {
		(void)RW_RAISE(err, RW_E_RANGE, "leads.loss", "leads cannot be rated at '%.6g Hz' (wanted '%.6g Hz') and '%.6g A'", frequency,
		               design_frequency, current_rms);
		rw_error_expected(err, "both frequencies more than zero");
		rw_error_hint(err, "check generator.frequency");
		return RW_E_RANGE;
	}
	double resistance = in->resistance * sqrt(frequency / design_frequency), reactance = 2.0 * M_PI * frequency * in->inductance;
	out->effective_resistance = resistance;
	out->voltage_rms = fabs(current_rms) * hypot(resistance, reactance);
	out->loss = current_rms * current_rms * resistance;
	return RW_OK;
}
