/* The chosen tank set right on its network: where a divider, a tap, a secondary, chokes or the valve's capacitances leave no closed
 * form. */
#include <math.h>

#include "base/numeric.h"
#include "tank/tank_internal.h"

enum { PASSES = 8 };

typedef struct fitting {
	rw_tank_in tank;
	const rw_tank_valve *valve;
	const rw_tank_want *want;
	rw_work *work;
} fitting;

/* Current into the anode and volts of the open grid at the frequency wanted, for 1 V at the anode. */
static rw_status at_wanted(const fitting *f, double complex *current, double complex *grid, rw_error *err)
{
	const double complex unit[2] = {1.0, 0.0};
	const bool open[2] = {false, true};
	double complex v[2], i[2];
	rw_tank_net t;
	RW_TRY(rw_tank_build(&f->tank, f->valve, &f->want->load, &t, err));
	RW_TRY(rw_tank_name_part(rw_net_stress(&t.net, f->want->frequency, unit, open, f->work, NULL, v, i, err), &t, err));
	*current = i[RW_TANK_PORT_ANODE];
	*grid = v[RW_TANK_PORT_GRID];
	return RW_OK;
}

static rw_status susceptance(void *context, double inductance, double *b, rw_error *err)
{
	fitting *f = context;
	double complex current, grid;
	f->tank.inductance = inductance;
	RW_TRY(at_wanted(f, &current, &grid, err));
	*b = cimag(current);
	return RW_OK;
}

/* A winding follows its mutual inductance and the inductor, so that it holds the flux whatever they are. */
static void follow(const rw_tank_in *given, rw_tank_in *tank)
{
	if (tank->feedback == RW_FEEDBACK_WINDING && isnan(given->grid_inductance))
		tank->grid_inductance = rw_round_digits(pow(tank->grid_mutual / tank->grid_coupling, 2.0) / tank->inductance, 3);
}

/* From the guess outwards, to where susceptance rises through zero with the inductance: the branch is inductive there. */
static rw_status fit_inductor(fitting *f, rw_error *err)
{
	double guess = f->tank.inductance;
	for (double away = 0.002; away < 0.6; away *= 2.0) {
		double low = guess * (1.0 - away), high = guess * (1.0 + away), at_low, at_high;
		rw_root root;
		RW_TRY(susceptance(f, low, &at_low, err));
		RW_TRY(susceptance(f, high, &at_high, err));
		if (!(at_low < 0.0 && at_high > 0.0))
			continue;
		RW_TRY(rw_root_find(susceptance, f, low, high, 0.0, 1e-10, &root, err));
		f->tank.inductance = root.x;
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_NOSOLVE, "tank.inductance", "no tank inductor near %.4g uH tunes this tank to the frequency wanted", guess * 1e6);
	rw_error_expected(err, "parts around it that leave a resonance there");
	rw_error_hint(err, "leave the given parts of the tank open, or want a greater loaded Q");
	return RW_E_NOSOLVE;
}

/* The part that sets the grid's volts; NULL: given. *up: they grow with it. */
static double *feedback_part(const rw_tank_in *given, rw_tank_in *tank, bool *up)
{
	*up = tank->feedback != RW_FEEDBACK_CAPACITIVE;
	switch (tank->feedback) {
	case RW_FEEDBACK_CAPACITIVE: return isnan(given->divider_grid_capacitance) ? &tank->divider_grid_capacitance : NULL;
	case RW_FEEDBACK_INDUCTIVE:  return isnan(given->grid_inductance) ? &tank->grid_inductance : NULL;
	default:                     return isnan(given->grid_mutual) ? &tank->grid_mutual : NULL;
	}
}

rw_status rw__tank_fit(const rw_tank_in *given, rw_tank_in *tank, const rw_tank_valve *valve, const rw_tank_want *want, double ratio,
                       rw_work *work, rw_error *err)
{
	fitting f = {*tank, valve, want, work};
	bool up, inductor_open = isnan(given->inductance);
	double *part = feedback_part(given, &f.tank, &up);
	for (int pass = 0; pass < PASSES; pass++) {   /* the grid's volts go with the part's value, or a little slower */
		double complex current, grid;
		if (pass == PASSES - 1 && part)
			*part = rw_round_digits(*part, 3);
		follow(given, &f.tank);
		if (inductor_open)
			RW_TRY(fit_inductor(&f, err));
		if (pass == PASSES - 1 || !part)
			break;
		RW_TRY(at_wanted(&f, &current, &grid, err));
		*part *= up ? ratio / cabs(grid) : cabs(grid) / ratio;
	}
	if (inductor_open)
		f.tank.inductance = rw_round_digits(f.tank.inductance, tank->coupling == RW_COUPLING_SECONDARY ? 4 : 3);
	follow(given, &f.tank);
	*tank = f.tank;
	return RW_OK;
}
