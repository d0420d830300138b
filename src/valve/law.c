/* The characteristic of the valve. */
#include "valve/valve_internal.h"

void rw_valve_currents(const rw_valve_law *law, double va, double vg, double *ia, double *ig)
{
	rw__currents_in(law, rw__region_of(law, va, vg), va, vg, ia, ig);
}

/* The exponents of the handbooks without a call of pow. */
double rw__power(double x, double exponent)
{
	if (x <= 0.0)
		return 0.0;
	if (exponent == 1.5)
		return x * sqrt(x);
	if (exponent == 1.0)
		return x;
	return exponent == 2.0 ? x * x : pow(x, exponent);
}

rw_valve_law rw_valve_law_of(const rw_valve_in *in)
{
	return (rw_valve_law){
		.law = in->law,
		.perveance = in->perveance,
		.mu = in->mu,
		.division = in->division,
		.emission = isnan(in->emission) ? (double)INFINITY : in->emission,
		.exponent = 1.5,
	};
}

rw_valve_law rw_valve_law_worn(const rw_valve_in *in)
{
	rw_valve_law law = rw_valve_law_of(in);
	law.perveance *= in->worn_perveance;
	law.emission *= in->worn_emission;
	return law;
}

void rw_valve_choose(rw_valve_in *in)
{
	if (in->law < 0)
		in->law = RW_LAW_DIVIDED;
	if (in->parallel < 0)
		in->parallel = 1;
	if (isnan(in->worn_perveance))
		in->worn_perveance = 0.9;
	if (isnan(in->worn_emission))
		in->worn_emission = 0.7;
}
