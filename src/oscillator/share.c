/* Valves that share: what the one takes that lies furthest from the mean of its type. */
#include <math.h>

#include "base/numeric.h"
#include "oscillator/oscillator.h"

static const double fine = 1e-10;   /* of the class C means */

typedef struct one { rw_valve_law law; double grid_leak; rw_swing swing; rw_class_c currents; } one;

static rw_status leak_residual(void *context, double bias, double *y, rw_error *err)
{
	one *v = context;
	v->swing.grid_bias = bias;
	RW_TRY(rw_class_c_solve(&v->law, &v->swing, fine, &v->currents, err));
	*y = bias + v->grid_leak * v->currents.grid_current_dc;
	return RW_OK;
}

static rw_status settle(one *v, rw_error *err)
{
	rw_root root;
	double scale = v->swing.grid_swing_pk;
	RW_TRY(rw_root_find(leak_residual, v, -scale, 0.0, 1e-12 * scale, 0.0, &root, err));
	return leak_residual(v, root.x, &root.residual, err);
}

static void take_greater(const rw_class_c *c, rw_oscillator_case *out)
{
	out->anode_current_greatest = fmax(out->anode_current_greatest, c->anode_current_dc);
	out->anode_loss_greatest = fmax(out->anode_loss_greatest, c->anode_loss);
	out->grid_current_greatest = fmax(out->grid_current_greatest, c->grid_current_dc);
	out->grid_loss_greatest = fmax(out->grid_loss_greatest, c->grid_loss);
	out->cathode_current_pk_greatest = fmax(out->cathode_current_pk_greatest, c->cathode_current_pk);
}

rw_status rw_oscillator_share(const rw_valve_law *mean, double grid_leak, const rw_spread *spread, rw_oscillator_case *out, rw_error *err)
{
	static const double corner[4][2] = {{1.0, 1.0}, {1.0, -1.0}, {-1.0, 1.0}, {-1.0, -1.0}};
	rw_oscillator_case found = *out;
	found.anode_current_greatest = out->anode_current_dc;
	found.anode_loss_greatest = out->anode_loss;
	found.grid_current_greatest = out->grid_current_dc;
	found.grid_loss_greatest = out->grid_loss;
	found.cathode_current_pk_greatest = out->cathode_current_pk;
	for (int k = 0; k < 4 && (spread->perveance > 0.0 || spread->mu > 0.0); k++) {
		double mu = 1.0 + corner[k][1] * spread->mu, volts = mean->law == RW_LAW_POINTS ? mu : 1.0;
		one v = {.law = rw_valve_law_times(mean, 1.0 + corner[k][0] * spread->perveance, mu),
		    .grid_leak = grid_leak, .swing = {out->anode_voltage_dc / volts, out->anode_swing_pk / volts, 0.0, out->grid_swing_pk}};
		RW_TRY(settle(&v, err));
		v.currents.anode_loss *= volts;   /* a table has no mu to change: its valve stands at so much less anode volts (theory/valves.md) */
		take_greater(&v.currents, &found);
	}
	found.sharing = found.anode_current_greatest / found.anode_current_dc;
	*out = found;
	return RW_OK;
}
