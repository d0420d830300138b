#include "circuit/circuit.h"

#include <math.h>

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;

static rw_status out_of_model(const char *key, double low, double high, const char *unit, double value, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, key, "the %s '%.9g' %s is outside the range of the load", key, value, unit);
	if (isfinite(high))
		rw_error_expected(err, "%.9g to %.9g %s", low, high, unit);
	else
		rw_error_expected(err, "%.9g %s or more", low, unit);
	return RW_E_RANGE;
}

/* 1 + slope (i - i_ref)/i_ref; the first order has left its range where it is not positive any more. */
static rw_status current_factor(const rw_load_port *port, double slope, double current_rms, double *factor, rw_error *err)
{
	double f = slope == 0.0 ? 1.0 : 1.0 + slope * (current_rms - port->i_ref) / port->i_ref;
	if (!(f > 0.0 && isfinite(f))) {
		double edge = port->i_ref * (1.0 - 1.0 / slope);
		return out_of_model("current", slope > 0.0 ? fmax(edge, 0.0) : 0.0, slope > 0.0 ? (double)INFINITY : edge, "A rms", current_rms, err);
	}
	*factor = f;
	return RW_OK;
}

static rw_status check(const rw_load_port *port, rw_error *err)
{
	bool fine = port->n >= 0 && port->n <= RW_LADDER_MAX && isfinite(port->r0) && isfinite(port->l0);
	for (int k = 0; fine && k < port->n; k++)
		fine = port->r[k] >= 0.0 && port->l[k] >= 0.0 && isfinite(port->r[k]) && isfinite(port->l[k]);
	fine = fine && isfinite(port->di_dr) && isfinite(port->di_dl) && ((port->di_dr == 0.0 && port->di_dl == 0.0) || port->i_ref > 0.0);
	if (fine)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "load", "the load is no passive ladder");
	rw_error_expected(err, "at most %d pairs of finite values of zero or more, and a current of reference where it changes with the "
	    "current", RW_LADDER_MAX);
	return RW_E_RANGE;
}

rw_status rw_load_port_impedance(const rw_load_port *port, double frequency, double current_rms, double complex *z, rw_error *err)
{
	RW_TRY(check(port, err));
	if (!(frequency > 0.0 && frequency >= port->f_lo && frequency <= port->f_hi))
		return out_of_model("frequency", port->f_lo, port->f_hi, "Hz", frequency, err);
	if (!(current_rms >= 0.0 && isfinite(current_rms)))
		return out_of_model("current", 0.0, (double)INFINITY, "A rms", current_rms, err);
	double of_r, of_l;
	RW_TRY(current_factor(port, port->di_dr, current_rms, &of_r, err));
	RW_TRY(current_factor(port, port->di_dl, current_rms, &of_l, err));
	double w = two_pi * frequency;
	double resistance = port->r0 * of_r, reactance = w * port->l0 * of_l;
	for (int k = 0; k < port->n; k++) {
		/* r parallel to jx is r x (x + j r)/(r^2 + x^2); either of them zero shorts the pair */
		double r = port->r[k], x = w * port->l[k];
		if (r > 0.0 && x > 0.0) {
			double h = hypot(r, x);
			resistance += r * (x / h) * (x / h);
			reactance += x * (r / h) * (r / h);
		}
	}
	*z = resistance + j * reactance;
	return RW_OK;
}
