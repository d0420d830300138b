/* Fourier amplitudes of the truncated-cosine pulse: the textbook's curves, to ten digits. */
#include "valve/valve_internal.h"

static double pulse_sum(int order, double half_angle, double exponent, int harmonic);

rw_status rw_pulse_fourier(double half_angle, double exponent, int harmonic, double *coefficient, rw_error *err)
{
	if (!(half_angle > 0.0 && half_angle <= M_PI))
		return RW_RAISE(err, RW_E_RANGE, "half_angle", "the half-angle of flow of %g rad is outside 0 to pi", half_angle);
	if (!(exponent >= 0.5 && exponent <= 4.0))
		return RW_RAISE(err, RW_E_RANGE, "exponent", "the exponent %g is outside 0.5 to 4", exponent);
	if (harmonic < 0 || harmonic > 9)
		return RW_RAISE(err, RW_E_RANGE, "harmonic", "harmonic %d is outside 0 to 9", harmonic);
	double coarse = pulse_sum(32, half_angle, exponent, harmonic), fine = pulse_sum(64, half_angle, exponent, harmonic);
	if (!(fabs(fine - coarse) <= 1e-8 * half_angle))
		return RW_RAISE(err, RW_E_NOSOLVE, "", "64 nodes are not enough for this pulse");
	*coefficient = fine;
	return RW_OK;
}

/* (k ? 2 : 1)/pi times the integral over 0..c. With t = c (1 - y^m) the power singularity at t = c becomes y^(m n): m = 4 makes that
 * smooth enough for any exponent, from 2 on m = 2 does. cos t - cos c is taken as a product of sines, which does not cancel there. */
static double pulse_sum(int order, double half_angle, double exponent, int harmonic)
{
	const rw__gauss_node *node = rw__gauss(order);
	double peak = sin(0.5 * half_angle), sum = 0.0, m = exponent < 2.0 ? 4.0 : 2.0;
	peak *= 2.0 * peak;                                  /* 1 - cos c */
	for (int i = 0; i < order; i++) {
		double y = node[i].at, power = m == 4.0 ? y * y * y : y, gap = half_angle * power * y, t = half_angle - gap;
		double shape = 2.0 * sin(0.5 * (t + half_angle)) * sin(0.5 * gap) / peak;
		sum += node[i].weight * m * half_angle * power * rw__power(shape, exponent) * cos(harmonic * t);
	}
	return sum * (harmonic ? 2.0 : 1.0) / M_PI;
}
