#include "circuit/circuit.h"

#include <math.h>

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;

static void expect_span(double low, double high, const char *unit, rw_error *err)
{
	if (isfinite(high))
		rw_error_expected(err, "%.9g to %.9g %s", low, high, unit);
	else
		rw_error_expected(err, "%.9g %s or more", low, unit);
}

static bool is_element(double x) { return x >= 0.0 && isfinite(x); }

static rw_status check(const rw_load_port *port, rw_error *err)
{
	bool rc = port->kind == RW_PORT_RC;
	bool fine = port->n >= 0 && port->n <= RW_LADDER_MAX && (rc || port->kind == RW_PORT_RL) && is_element(port->r0) &&
	            (rc ? port->c0 > 0.0 && isfinite(port->c0) : is_element(port->l0));
	for (int k = 0; fine && k < port->n; k++)
		fine = is_element(port->r[k]) && is_element(rc ? port->c[k] : port->l[k]);
	fine = fine && isfinite(port->di_dr) && isfinite(port->di_dl) && ((port->di_dr == 0.0 && port->di_dl == 0.0) || port->i_ref > 0.0);
	if (fine)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "load", "the load is no passive ladder");
	rw_error_expected(err, "at most %d pairs of finite values of zero or more, a capacitance in series above zero if it is plates, "
	    "and a current of reference where it changes with the current", RW_LADDER_MAX);
	return RW_E_RANGE;
}

/* (i/i_ref)^slope. */
static rw_status current_factor(const rw_load_port *port, double slope, double current_rms, double *factor, rw_error *err)
{
	double f = slope == 0.0 ? 1.0 : pow(current_rms / port->i_ref, slope);
	if (f > 0.0 && isfinite(f)) {
		*factor = f;
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_RANGE, "current", "a current of '%.4g A' rms is none that the load can follow", current_rms);
	rw_error_expected(err, "more than 0 A rms");
	rw_error_hint(err, "the load is known around the current of the heat wanted, %.4g A", port->i_ref);
	return RW_E_RANGE;
}

/* Adds r parallel to jx; either of them zero shorts the pair, an infinite x leaves r. */
static void add_parallel(double r, double x, double *resistance, double *reactance)
{
	if (!(r > 0.0 && x > 0.0))
		return;
	double q = x < r ? x / r : r / x, least = fmin(r, x) / (1.0 + q * q);
	*resistance += x < r ? least * q : least;
	*reactance += x < r ? least : least * q;
}

/* Re z and |Im z| of the ladder alone; a pair of r and c is r parallel to -j/(w c). */
static void ladder(const rw_load_port *port, double w, double *resistance, double *reactance)
{
	bool rc = port->kind == RW_PORT_RC;
	*resistance = port->r0;
	*reactance = rc ? 1.0 / (w * port->c0) : w * port->l0;
	for (int k = 0; k < port->n; k++)
		add_parallel(port->r[k], rc ? 1.0 / (w * port->c[k]) : w * port->l[k], resistance, reactance);
}

rw_status rw_load_port_impedance(const rw_load_port *port, double frequency, double current_rms, double complex *z, rw_error *err)
{
	RW_TRY(check(port, err));
	if (!(frequency > 0.0 && frequency >= port->f_lo && frequency <= port->f_hi)) {
		(void)RW_RAISE(err, RW_E_RANGE, "frequency", "the frequency '%.9g' Hz is outside the range of the load", frequency);
		expect_span(port->f_lo, port->f_hi, "Hz", err);
		return RW_E_RANGE;
	}
	double of_r = 1.0, of_x = 1.0;
	if (!(current_rms < 0.0)) {
		RW_TRY(current_factor(port, port->di_dr, current_rms, &of_r, err));
		RW_TRY(current_factor(port, port->di_dl, current_rms, &of_x, err));
	}
	double resistance, reactance;
	ladder(port, two_pi * frequency, &resistance, &reactance);
	resistance *= of_r;
	reactance *= of_x;
	if (!(isfinite(resistance) && isfinite(reactance)))
		return RW_RAISE(err, RW_E_RANGE, "load", "the impedance of the load at '%.9g' Hz is too great to be told", frequency);
	*z = resistance + j * (port->kind == RW_PORT_RC ? -reactance : reactance);
	return RW_OK;
}
