/* Capacitors as bought: what one unit of a bank bears, and the three segments of its rating over frequency. */
#include <math.h>

#include "tank/tank.h"

static const double two_pi = 6.283185307179586476925287;

/* A capacitor of the tank: peak RF volts, direct volts, current, capacitance. */
typedef struct bank { double rf_pk, dc, current_rms, capacitance; } bank;

static bank bank_at(const rw_tank_in *in, int place, double dc, const rw_tank_case *c)
{
	switch (place) {
	case RW_OF_BLOCKING:      return (bank){c->blocking_voltage_pk - dc, dc, c->blocking_current_rms, in->blocking_capacitance};
	case RW_OF_BYPASS:        return (bank){c->bypass_voltage_pk - dc, dc, c->bypass_current_rms, in->bypass_capacitance};
	case RW_OF_DIVIDER_ANODE: return (bank){c->capacitor_voltage_pk, 0.0, c->capacitor_current_rms, in->divider_anode_capacitance};
	case RW_OF_DIVIDER_GRID:  return (bank){c->divider_grid_voltage_pk, 0.0, c->divider_grid_current_rms, in->divider_grid_capacitance};
	case RW_OF_SECONDARY:
		return (bank){c->secondary_capacitor_voltage_pk, 0.0, c->output_current_rms, in->secondary_capacitance};
	default:                  return (bank){c->capacitor_voltage_pk, 0.0, c->capacitor_current_rms, in->capacitance};
	}
}

static void rate(const rw_capacitor_in *in, const bank *whole, double w, rw_capacitor_case *out)
{
	double reactance = in->in_parallel / in->in_series / (w * whole->capacitance), dc = whole->dc / in->in_series;
	const double allowed[] = {(in->voltage_pk_max - dc) / sqrt(2.0), sqrt(in->reactive_max * reactance), in->current_rms_max * reactance};
	double rf_pk = whole->rf_pk / in->in_series, current = whole->current_rms / in->in_parallel;
	*out = (rw_capacitor_case){dc + rf_pk, current, rf_pk / sqrt(2.0) * current, 0.0, RW_BY_NOTHING};
	for (int s = RW_BY_VOLTS; s <= RW_BY_CURRENT; s++)
		if (!isnan(allowed[s]) && (out->segment == RW_BY_NOTHING || allowed[s] < out->rf_voltage_allowed_rms)) {
			out->rf_voltage_allowed_rms = fmax(allowed[s], 0.0);
			out->segment = s;
		}
}

void rw_tank_rate_capacitors(const rw_tank_in *in, double frequency, double anode_voltage_dc, double crest_ratio, rw_tank_case *out)
{
	for (int k = 0; k < RW_CAPACITORS_MAX; k++) {
		const double none = (double)NAN;
		out->capacitors[k] = (rw_capacitor_case){none, none, none, none, none};
		if (k >= in->n_capacitors)
			continue;
		bank whole = bank_at(in, in->capacitors[k].place, anode_voltage_dc, out);
		rate(&in->capacitors[k], &whole, two_pi * frequency, &out->capacitors[k]);
		out->capacitors[k].reactive /= crest_ratio;
	}
}

void rw_tank_at_crest(const rw_tank_in *in, double frequency, double anode_voltage_dc, double anode_voltage_crest, double crest_ratio,
    rw_tank_case *out)
{
	double *const peaks[] = {&out->capacitor_voltage_pk, &out->inductor_voltage_pk, &out->grid_winding_voltage_pk, &out->divider_grid_voltage_pk,
	    &out->secondary_inductor_voltage_pk, &out->secondary_capacitor_voltage_pk};
	if (anode_voltage_crest == anode_voltage_dc)
		return;
	for (size_t i = 0; i < sizeof peaks / sizeof peaks[0]; i++)
		*peaks[i] *= crest_ratio;
	if (in->feed == RW_FEED_SHUNT)
		out->blocking_voltage_pk = anode_voltage_crest + crest_ratio * (out->blocking_voltage_pk - anode_voltage_dc);
	else
		out->bypass_voltage_pk = anode_voltage_crest + crest_ratio * (out->bypass_voltage_pk - anode_voltage_dc);
	rw_tank_rate_capacitors(in, frequency, anode_voltage_crest, crest_ratio, out);
}
