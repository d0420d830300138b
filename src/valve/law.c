/* The characteristic of the valve. */
#include "valve/valve_internal.h"

void rw_valve_currents(const rw_valve_law *law, double va, double vg, double *ia, double *ig)
{
	if (law->law == RW_LAW_POINTS)
		rw__cell_currents(law, rw__cell_of(law->points, va, vg), va, vg, ia, ig);
	else
		rw__currents_in(law, rw__region_of(law, va, vg), va, vg, ia, ig);
}

double rw_valve_cutoff(const rw_valve_law *law, double va)
{
	return law->law == RW_LAW_POINTS ? rw__points_cutoff(law->points, va) : -fmax(va, 0.0) / law->mu;
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

rw_valve_law rw_valve_law_of(const rw_valve_in *in, const rw_valve_points *points)
{
	rw_valve_law law = {
		.law = in->law,
		.perveance = in->perveance,
		.mu = in->mu,
		.division = in->division,
		.emission = isnan(in->emission) ? (double)INFINITY : in->emission,
		.exponent = 1.5,
	};
	if (in->law == RW_LAW_POINTS && points) {
		law.points = points;
		law.perveance = 1.0;
		law.mu = points->span.anode_most / -rw__points_cutoff(points, points->span.anode_most);
	}
	return law;
}

rw_valve_law rw_valve_law_times(const rw_valve_law *law, double perveance, double mu)
{
	rw_valve_law other = *law;
	other.perveance *= perveance;
	other.mu *= mu;
	return other;
}

rw_valve_law rw_valve_law_worn(const rw_valve_in *in, const rw_valve_points *points)
{
	rw_valve_law law = rw_valve_law_of(in, points);
	law.perveance *= in->worn_perveance;
	law.emission *= in->worn_emission;
	return law;
}
