/* The energy budget of each case: mains in, every loss and the heat in the work out, each loss also by a second route. */
#include <math.h>
#include <string.h>

#include "chain/line.h"

typedef struct row {
	const char *key, *text;   /* no text: the topology has no such part */
	double watts, second;
} row;

static const double complex j = (double complex)I;
static const double two_pi = 6.283185307179586476925287;
enum { SAMPLES = 8192 };

/* Anode and grid loss once more by plain sums over equal steps of the cycle: other nodes, no knowledge of the kinks. */
static void losses_by_sums(const rw_chain *chain, int scase, double *anode, double *grid)
{
	const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", scase);
	rw_valve_law law = rw_line_law(chain, scase);
	if (((const rw_supply_in *)rw_chain_in(chain, "supply", 0))->ripple_counted == RW_RIPPLE_CYCLE) {   /* no one cycle stands for all: by the balances */
		*anode = o->input_power - o->output_power;
		*grid = o->drive_power - o->leak_power;
		return;
	}
	*anode = *grid = 0.0;
	for (int k = 0; k < SAMPLES; k++) {
		double c = cos(two_pi * (k + 0.5) / SAMPLES), ia, ig;
		double va = o->anode_voltage_dc - o->anode_swing_pk * c, vg = o->grid_bias + o->grid_swing_pk * c;
		rw_valve_currents(&law, va, vg, &ia, &ig);
		*anode += va * ia / SAMPLES;
		*grid += vg * ig / SAMPLES;
	}
}

/* Losses of the tank once more without its network. */
static rw_tank_losses tank_by_hand(const rw_chain *chain, int k)
{
	const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", k);
	const rw_output_case *output = rw_chain_case(chain, "output", k);
	rw_tank_valve valve = rw_line_valve(rw_chain_in(chain, "valve", 0));
	rw_tank_load load = {output->resistance, output->reactance};
	rw_line line;
	if (rw_line_of(chain, chain->solution->cases[k].job, &line, NULL) != RW_OK)
		return (rw_tank_losses){0};
	rw_tank_in turned = rw_line_turned(&line);
	return rw_tank_losses_by_hand(&turned, &valve, &load, o->frequency, o->anode_swing_pk);
}

/* Square of coil current over terminal current by the volts of the mutual inductance over the secondary's mesh. */
static double second_current(const rw_chain *chain, int k)
{
	const rw_output_in *in = rw_chain_in(chain, "output", chain->solution->cases[k].job);
	const rw_leads_in *leads_in = rw_chain_in(chain, "leads", chain->solution->cases[k].job);
	const rw_leads_case *leads = rw_chain_case(chain, "leads", k);
	const rw_coil_case *coil = rw_chain_case(chain, "coil", k);
	double w = two_pi * ((const rw_oscillator_case *)rw_chain_case(chain, "oscillator", k))->frequency;
	double secondary = in->primary_inductance / (in->ratio * in->ratio), mutual = in->coupling * in->primary_inductance / in->ratio;
	double complex mesh = coil->resistance + leads->effective_resistance + w * secondary / in->secondary_q +
	                      j * (coil->reactance + w * (leads_in->inductance + secondary));
	return w * w * mutual * mutual / creal(mesh * conj(mesh));
}

/* Losses as the rooms computed them, beside the same by another way: from the balances of the circuit, from volts times current. */
static int rows_of(const rw_chain *chain, int k, row *rows)
{
	const rw_supply_set *supply_set = rw_chain_set(chain, "supply", 0);
	const rw_supply_case *supply = rw_chain_case(chain, "supply", k);
	const rw_oscillator_case *o = rw_chain_case(chain, "oscillator", k);
	const rw_oscillator_in *osc_in = rw_chain_in(chain, "oscillator", 0);
	const rw_tank_case *tank = rw_chain_case(chain, "tank", k);
	const rw_tank_in *tank_in = rw_chain_in(chain, "tank", 0);
	const rw_coil_case *coil = rw_chain_case(chain, "coil", k);
	const rw_leads_case *leads = rw_chain_case(chain, "leads", k);
	const rw_work_case *work = rw_chain_case(chain, "work", k);
	const rw_protection_case *protection = rw_chain_case(chain, "protection", k);
	const rw_filament_set *filament = rw_chain_set(chain, "filament", 0);
	const rw_output_in *output_in = rw_chain_in(chain, "output", chain->solution->cases[k].job);
	const rw_output_case *output = rw_chain_case(chain, "output", k);
	double id = supply->current_dc, n = ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves;
	rw_tank_losses hand = tank_by_hand(chain, k);
	bool transformed = output_in->transformer == RW_OUTPUT_FITTED;
	double coil_rms2 = hand.output_rms2 * (transformed ? second_current(chain, k) : 1.0);
	bool counted = ((const rw_supply_in *)rw_chain_in(chain, "supply", 0))->ripple_counted == RW_RIPPLE_CYCLE;
	double across_copper = supply->no_load_voltage_dc - supply->control_drop_dc - supply->overlap_drop_dc - supply->arm_drop_dc - supply->voltage_dc;
	double copper = counted ? supply->bridge_power - supply->diode_loss - supply->output_power : across_copper * id;
	double bleeder = counted ? supply->output_power - n * o->input_power : supply->voltage_dc * (id - n * o->anode_current_dc);
	double leak = counted ? o->drive_power - o->grid_loss : o->grid_bias * o->grid_bias / osc_in->grid_leak;
	bool tapped = tank_in->feedback == RW_FEEDBACK_INDUCTIVE, secondary = tank_in->coupling == RW_COUPLING_SECONDARY;
	const double none = (double)NAN;   /* a share or a product of givens: there is no other way to it */
	double anode_by_sums, grid_by_sums;
	losses_by_sums(chain, k, &anode_by_sums, &grid_by_sums);
	const row all[] = {
	    {"supply.iron_loss", "transformer iron", supply_set->iron_loss, none},
	    {"supply.copper_loss", "transformer copper", supply->copper_loss, copper},
	    {"supply.diode_loss", "rectifier", supply->diode_loss, none},
	    {"protection.bleeder_loss", "bleeder", protection->bleeder_loss, bleeder},
	    {"protection.surge_loss", protection->surge_loss > 0.0 ? "resistors in the HT" : NULL, protection->surge_loss,   /* by the volts across them */
	     (supply->voltage_dc - o->anode_voltage_dc) * n * o->anode_current_dc},
	    {"oscillator.anode_loss", "anode", n * o->anode_loss, n * anode_by_sums},
	    {"oscillator.grid_loss", "grid", n * o->grid_loss, n * grid_by_sums},
	    {"oscillator.leak_power", "grid leak", n * o->leak_power, n * leak},
	    {"tank.inductor_loss", "tank inductor", tank->inductor_loss, hand.inductor},
	    {"tank.grid_inductor_loss", tapped ? "tank inductor, grid part" : NULL, tank->grid_inductor_loss, hand.grid_inductor},
	    {"tank.capacitor_loss", "tank and blocking capacitors", tank->capacitor_loss, hand.capacitors},
	    {"tank.secondary_inductor_loss", secondary ? "secondary inductor" : NULL, tank->secondary_inductor_loss, hand.secondary_inductor},
	    {"tank.secondary_capacitor_loss", secondary && !isnan(tank_in->secondary_capacitance) ? "secondary capacitor" : NULL, tank->secondary_capacitor_loss, hand.secondary_capacitor},
	    {"output.loss", transformed ? "output transformer" : NULL, output->loss,   /* by the power that goes in and does not come out */
	     output->power - coil_rms2 * (coil->resistance + leads->effective_resistance)},
	    {"leads.loss", "leads", leads->loss, coil_rms2 * leads->effective_resistance},
	    {"coil.loss", "work coil", coil->loss, coil_rms2 * coil->own_resistance},
	    {"work.heat", "work", work->heat, tank->power - tank->inductor_loss - tank->grid_inductor_loss - tank->capacitor_loss -
	        tank->secondary_inductor_loss - tank->secondary_capacitor_loss - output->loss - leads->loss - coil->loss},
	    {"filament.power", "filament", n * filament->power, none},
	    {"filament.series_loss", "filament's series resistance", n * filament->series_loss, none},
	};
	int count = 0;
	for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
		if (all[i].text)
			rows[count++] = all[i];
	return count;
}

/* What the bridge takes from the mains by the line's side: mean of volts after overlap times current, and the iron; no loss of the list enters. */
static double mains_power(const rw_chain *chain, int k)
{
	const rw_supply_set *set = rw_chain_set(chain, "supply", 0);
	const rw_supply_case *supply = rw_chain_case(chain, "supply", k);
	const rw_filament_set *filament = rw_chain_set(chain, "filament", 0);
	return supply->bridge_power + set->iron_loss +
	       ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves * (filament->power + filament->series_loss);
}

rw_status rw_chain_budget(rw_chain *chain, const char *leave_out, rw_error *err)
{
	const rw_solution *s = chain->solution;
	chain->budgets = RW_ARENA_NEW(chain->arena, rw_budget, s->n_cases);
	chain->n_budgets = 0;
	if (!chain->budgets)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	for (int k = 0; k < s->n_cases; k++) {
		if (s->why_not[k])
			continue;
		row rows[RW_BUDGET_ROWS_MAX];
		int n = rows_of(chain, k, rows);
		rw_budget *b = &chain->budgets[chain->n_budgets++];
		*b = (rw_budget){.scase = k, .in = mains_power(chain, k)};
		for (int i = 0; i < n; i++) {
			if (leave_out && strcmp(leave_out, rows[i].key) == 0)
				continue;
			b->key[b->n] = rows[i].key;
			b->text[b->n] = rows[i].text;
			b->watts[b->n] = rows[i].watts;
			b->second[b->n++] = rows[i].second;
			b->out += rows[i].watts;
		}
		b->closure = (b->in - b->out) / b->in;
	}
	return RW_OK;
}
