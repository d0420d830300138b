/* Curves made on demand: each series of the rooms' tables and the function that makes it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "chain/followers.h"
#include "chain/line.h"

typedef rw_status (*maker)(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err);

static rw_status oscillator_cycle(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err)
{
	const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", scase);
	rw_valve_law law = rw_line_law(chain, scase);
	(void)err;
	for (int k = 0; k < n; k++) {
		x[k] = 6.283185307179586476925287 * k / (n - 1);
		y[k] = o->anode_voltage_dc - o->anode_swing_pk * cos(x[k]);
		y[n + k] = o->grid_bias + o->grid_swing_pk * cos(x[k]);
		rw_valve_currents(&law, y[k], y[n + k], &y[2 * n + k], &y[3 * n + k]);
	}
	return RW_OK;
}

static rw_status supply_regulation(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err)
{
	const rw_supply_in *in = rw_chain_in(chain, "supply", 0);
	const rw_supply_set *set = rw_chain_set(chain, "supply", 0);
	const rw_supply_case *this = rw_chain_case(chain, "supply", scase);   /* at its mains and setting */
	for (int k = 0; k < n; k++) {
		x[k] = 1.5 * in->duty_current_dc * k / (n - 1);
		RW_TRY(rw_supply_voltage(in, set, this->source_factor, x[k], &y[k], err));
		y[k] = fmax(y[k] - this->control_drop_dc, 0.0);
	}
	return RW_OK;
}

static const struct { const char *key; maker make; } makers[] = {
    {"oscillator.cycle", oscillator_cycle},
    {"supply.regulation", supply_regulation},
    {"filament.start", rw_filament_start_series},
    {"filament.heating", rw_filament_heating_series},
};

const rw_series *rw_chain_find_series(const rw_chain *chain, const char *key)
{
	const rw_registry *registry = chain->base->stages->registry;
	for (int r = 0; r < registry->n_rooms; r++)
		for (int i = 0; i < registry->rooms[r]->n_series; i++) {
			char full[96];
			snprintf(full, sizeof full, "%s.%s", registry->rooms[r]->name, registry->rooms[r]->series[i].key);
			if (strcmp(full, key) == 0)
				return &registry->rooms[r]->series[i];
		}
	return NULL;
}

rw_status rw_chain_series(const rw_chain *chain, const char *key, int scase, int n, double *x, double *y, rw_error *err)
{
	for (size_t i = 0; i < sizeof makers / sizeof makers[0]; i++) {
		if (strcmp(makers[i].key, key) != 0)
			continue;
		if (chain->solution->why_not[scase])
			return RW_RAISE(err, RW_E_NOSOLVE, key, "the case is not solved: %.200s", chain->solution->why_not[scase]);
		return makers[i].make(chain, scase, n, x, y, err);
	}
	return RW_RAISE(err, RW_E_KEY, key, "there is no series '%s'", key);
}
