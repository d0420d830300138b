#include "mains/mains.h"

#include <math.h>

#include "base/numeric.h"

#define PI 3.14159265358979323846

void rw_mains_choose_constants(rw_mains_in *in)
{
	const struct { double *member, value; } rule[] = {
		{&in->transformer_time_constant, 1800.0}, {&in->air_core_reactance, 0.2}, {&in->core_remanence, 0.6}, {&in->core_saturation, 1.33},
		{&in->auxiliary_current_rms, 5.0}, {&in->starts_per_year, 1000.0}, {&in->breaker_margin, 1.25}, {&in->breaker_hold, 1.05},
		{&in->breaker_time_constant, 5.0}, {&in->breaker_magnetic_tolerance, 0.2}, {&in->contactor_years_min, 2.0},
	};
	for (size_t i = 0; i < sizeof rule / sizeof *rule; i++)
		if (isnan(*rule[i].member))
			*rule[i].member = rule[i].value;
	if (in->keying < 0)
		in->keying = RW_KEYING_CONTACTOR;
}

/* A series circuit switched on a crest swings past it by exp(-pi R/2 sqrt(C/L)) where it rings; the phases in the path and the choke in series. */
static double overshoot(const rw_mains_around *around)
{
	double resistance = around->phases * around->phase_resistance + around->filter_resistance;
	double inductance = around->phases * around->phase_reactance / (2.0 * PI * around->frequency) + around->filter_inductance;
	double damping = 0.5 * resistance * sqrt(around->capacitance / inductance);
	return exp(-PI * damping / sqrt(fmax(1.0 - damping * damping, 1e-12)));   /* beyond the aperiodic limit nothing */
}

void rw_mains_set_solve(const rw_mains_in *in, const rw_mains_around *around, rw_mains_set *out)
{
	double free_peak = 2.0 * around->high + in->core_remanence - in->core_saturation;   /* of the flux the core cannot carry */
	bool run_up = in->keying == RW_KEYING_THYRISTORS && around->angle_controlled;   /* thyristors that only close, close like a contactor */
	out->inrush_current_pk = run_up ? 0.0 :
	                         sqrt(2.0) * around->rated_current_rms / in->air_core_reactance * fmax(free_peak, 0.0);
	out->filament_current_rms = around->filament_apparent_power / around->voltage_rms;
	double crest = around->crest_factor * around->no_load_voltage_dc * around->high;
	out->closing_voltage_pk = crest * (1.0 + (run_up ? 0.0 : overshoot(around)));
	out->blocking_bias = in->keying == RW_KEYING_GRID_BIAS ? 1.3 * crest / around->mu : (double)NAN;
	out->mains_impedance = around->fault_level_least > 0.0 ? around->transformer_power / around->fault_level_least : 0.0;   /* NAN: not known */
	double impedance = around->short_circuit_voltage * (1.0 + around->impedance_tolerance) + out->mains_impedance;
	out->fault_current_rms = around->low * around->secondary_current_rms / impedance;
}

double rw_mains_breaker_step(double current)
{
	static const double steps[] = {16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600};
	for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
		if (current <= steps[i] * (1.0 + 1e-9))
			return steps[i];
	return rw_ceil_to(current, 100.0);
}

void rw_mains_choose_parts(rw_mains_in *in, const rw_mains_set *set, double transformer_factor, double line_rms, double breaker_rms,
                           double rated_power, double step)
{
	if (isnan(in->transformer_power))
		in->transformer_power = rw_ceil_to(rated_power * transformer_factor, step);
	if (isnan(in->breaker_current))
		in->breaker_current = rw_mains_breaker_step(fmax(in->breaker_margin * line_rms, breaker_rms / in->breaker_hold));
	if (isnan(in->breaker_magnetic_multiple))
		in->breaker_magnetic_multiple =
		    fmax(rw_ceil_to(1.1 * set->inrush_current_pk / (sqrt(2.0) * (1.0 - in->breaker_magnetic_tolerance) * in->breaker_current), 1.0), 5.0);
}
