#include "chain/followers.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "chain/line.h"
#include "supply/connection.h"

rw_status rw_site_choose(rw_chain *chain, rw_error *err)
{
	rw_site_in *in = rw_chain_in(chain, "site", 0);
	if (isnan(in->fault_level_greatest))
		in->fault_level_greatest = 1e12;
	rw_chain_mark_filled(chain, "site", NULL);
	if (in->fault_level_least > in->fault_level_greatest) {
		(void)RW_RAISE(err, RW_E_VALUE, "site.fault_level_least", "'fault_level_least' %.4g MVA is above 'fault_level_greatest'",
		    in->fault_level_least / 1e6);
		rw_error_expected(err, "at most 'fault_level_greatest', %.4g MVA", in->fault_level_greatest / 1e6);
		rw_error_hint(err, "check which is which");
		return RW_E_VALUE;
	}
	if (in->harmonic_limits == RW_HARMONICS_IEEE_519 && isnan(in->fault_level_least)) {
		(void)RW_RAISE(err, RW_E_MISSING, "site.fault_level_least", "'harmonic_limits' go by the least fault level of the mains, which is not there");
		rw_error_expected(err, "'fault_level_least', from the supplier of the mains");
		rw_error_hint(err, "ask for it, or take 'harmonic_limits' out");
		return RW_E_MISSING;
	}
	return RW_OK;
}

rw_status rw_cases_choose(rw_chain *chain, rw_error *err)
{
	rw_cases_in *in = rw_chain_in(chain, "cases", 0);
	if (isnan(in->mains_low))
		in->mains_low = 0.9;
	if (isnan(in->mains_nominal))
		in->mains_nominal = 1.0;
	if (isnan(in->mains_high))
		in->mains_high = 1.1;
	if (in->valves < 0)
		in->valves = RW_VALVES_BOTH;
	rw_chain_mark_filled(chain, "cases", NULL);
	if (in->mains_low <= in->mains_nominal && in->mains_nominal <= in->mains_high)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "cases.mains_low", "the mains cases %.3g, %.3g, %.3g do not rise", in->mains_low, in->mains_nominal,
	    in->mains_high);
	rw_error_expected(err, "mains_low <= mains_nominal <= mains_high");
	rw_error_hint(err, "leave them out for 0.90, 1.00, 1.10");
	return RW_E_VALUE;
}

rw_status rw_oscillator_settle(rw_chain *chain, rw_error *err)
{
	(void)err;
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	double sides = rw_tank_sides(rw_chain_in(chain, "tank", 0));
	*(rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0) = (rw_oscillator_set){sides, sides * valve->parallel, rw_valve_derates(valve)};
	rw_chain_set_done(chain, "oscillator", 0);
	return RW_OK;
}

rw_status rw_tank_settle(rw_chain *chain, rw_error *err)
{
	(void)err;
	rw_tank_valve valve = rw_line_valve(rw_chain_in(chain, "valve", 0));
	rw_tank_set_solve(rw_chain_in(chain, "tank", 0), &valve, rw_chain_set(chain, "tank", 0));
	rw_chain_set_done(chain, "tank", 0);
	return RW_OK;
}

/* The filter's capacitor is the greatest store of a set: it must not be missing where charge and discharge are counted. */
static rw_status filter_is_stored(const rw_supply_in *supply, const rw_protection_in *protection, rw_error *err)
{
	double stored = 0.0;
	for (int i = 0; i < protection->n_stores; i++)
		stored += protection->stores[i].capacitance;
	if (supply->filter_capacitance <= stored * (1.0 + 1e-9))
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "supply.filter_capacitance", "'filter_capacitance' %.4g uF is not among the capacitors of 'protection.stores'",
	    1e6 * supply->filter_capacitance);
	rw_error_expected(err, "a store of that capacitance: its charge and discharge are counted there");
	rw_error_hint(err, "add it: protection: {stores: {filter: {capacitance: %.4g uF}}}", 1e6 * supply->filter_capacitance);
	return RW_E_VALUE;
}

rw_status rw_supply_settle(rw_chain *chain, rw_error *err)
{
	RW_TRY(filter_is_stored(rw_chain_in(chain, "supply", 0), rw_chain_in(chain, "protection", 0), err));
	const rw_site_in *site = rw_chain_in(chain, "site", 0);
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	rw_mains mains = {site->mains_voltage_rms, site->mains_frequency, cases->mains_high, site->fault_level_greatest, site->fault_level_least,
	    cases->mains_low};
	rw_supply_set *set = rw_chain_set(chain, "supply", 0);
	RW_TRY(rw_supply_set_solve(rw_chain_in(chain, "supply", 0), &mains, set, err));
	if (site->harmonic_limits == RW_HARMONICS_IEEE_519) {
		rw_status status = rw_supply_limits(&chain->base->harmonics[0], set, NULL);
		if (status != RW_OK)
			RW_TRY(rw_supply_limits(&chain->base->harmonics[1], set, err));
	}
	rw_chain_set_done(chain, "supply", 0);
	return RW_OK;
}

rw_status rw_work_settle(rw_chain *chain, rw_error *err)
{
	const rw_tank_in *tank = rw_chain_in(chain, "tank", 0);
	const rw_tank_set *tank_set = rw_chain_set(chain, "tank", 0);
	(void)err;
	for (int j = 0; j < chain->full->n_jobs; j++) {
		*(rw_work_set *)rw_chain_set(chain, "work", j) = chain->loads[j].set;
		rw_chain_set_done(chain, "work", j);
		const rw_output_in *output = rw_chain_in(chain, "output", j);
		bool apart = output->transformer == RW_OUTPUT_FITTED || tank->coupling == RW_COUPLING_SECONDARY;
		*(rw_output_set *)rw_chain_set(chain, "output", j) = (rw_output_set){chain->loads[j].wanted.resistance, chain->loads[j].wanted.reactance,
		    chain->loads[j].wanted.current_rms, apart ? 0.0 : tank_set->tank_at_ht};
		rw_chain_set_done(chain, "output", j);
	}
	return RW_OK;
}

static double voltage_greatest(const rw_chain *chain)
{
	const rw_supply_set *supply = rw_chain_set(chain, "supply", 0);
	const rw_cases_in *cases = rw_chain_in(chain, "cases", 0);
	return supply->nominal_no_load_voltage_dc * cases->mains_high;
}

rw_status rw_protection_settle(rw_chain *chain, rw_error *err)
{
	const rw_tank_in *tank = rw_chain_in(chain, "tank", 0);
	const rw_supply_set *supply = rw_chain_set(chain, "supply", 0);
	RW_TRY(rw_protection_solve(rw_chain_in(chain, "protection", 0), supply->no_load_voltage_pk, rw_tank_ht_capacitance(tank),
	    rw_chain_set(chain, "protection", 0), err));
	const int kind = ((const rw_supply_in *)rw_chain_in(chain, "supply", 0))->connection;
	RW_TRY(rw_arc_solve(rw_chain_in(chain, "protection", 0), supply->fault_current_dc, rw_connection_source(kind) * voltage_greatest(chain),
	    rw_chain_set(chain, "protection", 0), err));
	rw_chain_set_done(chain, "protection", 0);
	return RW_OK;
}

/* What a valve wants that no room judges yet is said, not dropped. */
rw_status rw_valve_follow(rw_chain *chain, rw_error *err)
{
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	char text[64];
	if (!isnan(valve->air_flow_min)) {
		rw_units_print(chain->base->units, &rw_kind_flow, valve->air_flow_min, 3, text, sizeof text);
		RW_TRY(rw_chain_note(chain, "valve.air_flow_min", RW_NO_CASE, err, "each valve wants %s of air at its seals: air is not judged here", text));
	}
	if (isnan(valve->seal_temperature_max))
		return RW_OK;
	return rw_chain_note(chain, "valve.seal_temperature_max", RW_NO_CASE, err, "the valve's seals stand %.0f degC at most: to be measured, it is not "
	    "judged here", valve->seal_temperature_max - 273.15);
}

/* Water the valves of a branch want at full dissipation; 0: none is told, or it is not theirs. */
static double flow_least_of(const rw_chain *chain, const rw_water_in *in, int branch)
{
	const rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	if (in->branches[branch].takes != RW_TAKES_VALVE || isnan(valve->water_flow_min))
		return 0.0;
	return ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves * valve->water_flow_min;
}

/* Heat a branch takes in a case. */
static double heat_of(const rw_chain *chain, const rw_water_in *in, int branch, int scase)
{
	const rw_oscillator_case *osc = rw_chain_case(chain, "oscillator", scase);
	const rw_tank_case *tank = rw_chain_case(chain, "tank", scase);
	const rw_filament_set *filament = rw_chain_set(chain, "filament", 0);
	double valves = ((const rw_oscillator_set *)rw_chain_set(chain, "oscillator", 0))->valves;
	switch (in->branches[branch].takes) {
	case RW_TAKES_VALVE: return valves * (osc->anode_loss + osc->grid_loss + in->filament_share * filament->power);
	case RW_TAKES_TANK:  return tank->inductor_loss + tank->grid_inductor_loss + tank->secondary_inductor_loss;
	case RW_TAKES_COIL:
		return ((const rw_coil_case *)rw_chain_case(chain, "coil", scase))->loss +
		       ((const rw_leads_case *)rw_chain_case(chain, "leads", scase))->loss +
		       ((const rw_output_case *)rw_chain_case(chain, "output", scase))->loss;
	default: return in->branches[branch].heat;
	}
}

/* Errors of the room name a branch by its place; here its name is known. */
static void name_branch(const rw_chain *chain, rw_error *err)
{
	int place;
	char member[64] = "";
	if (!err || sscanf(err->key, "water.branches.%d.%63s", &place, member) != 2)
		return;
	int r = rw_registry_find(chain->base->stages->registry, "water");
	snprintf(err->key, sizeof err->key, "water.branches.%s.%s", chain->full->part[r][0].names[0][place - 1], member);
}

static rw_status refuse_branch(const rw_chain *chain, int branch, const char *member, const char *what, const char *expected, rw_error *err)
{
	int r = rw_registry_find(chain->base->stages->registry, "water");
	char key[96];
	snprintf(key, sizeof key, "water.branches.%s.%s", chain->full->part[r][0].names[0][branch], member);
	(void)RW_RAISE(err, RW_E_VALUE, key, "%s", what);
	rw_error_expected(err, "%s", expected);
	rw_error_hint(err, "let a second branch take a given heat: 'takes: given' and its share as 'heat'");
	return RW_E_VALUE;
}

/* Water at earth on a part that stands at HT kills: the file may not say so. */
static rw_status check_potential(const rw_chain *chain, const rw_water_in *in, int branch, rw_error *err)
{
	const rw_tank_set *tank = rw_chain_set(chain, "tank", 0);
	bool coil = false;
	for (int j = 0; j < chain->full->n_jobs; j++)
		coil = coil || ((const rw_output_set *)rw_chain_set(chain, "output", j))->coil_at_ht > 0.0;
	bool at_ht = (in->branches[branch].takes == RW_TAKES_VALVE && tank->anode_at_ht > 0.0) ||
	             (in->branches[branch].takes == RW_TAKES_TANK && tank->tank_at_ht > 0.0) || (in->branches[branch].takes == RW_TAKES_COIL && coil);
	if (!at_ht || in->branches[branch].potential != RW_POTENTIAL_EARTH)
		return RW_OK;
	int r = rw_registry_find(chain->base->stages->registry, "water");
	char key[96];
	snprintf(key, sizeof key, "water.branches.%s.potential", chain->full->part[r][0].names[0][branch]);
	(void)RW_RAISE(err, RW_E_VALUE, key, "water at earth on a part that stands at the high tension with this feed and earthing");
	rw_error_expected(err, "'potential: ht'");
	rw_error_hint(err, "write 'potential: ht': its hoses then stand the HT; or another feed or earthing of the tank");
	return RW_E_VALUE;
}

/* The heat of a part goes to one branch, and a given heat only where it is asked for: else heat would be counted twice or dropped. */
static rw_status check_branches(const rw_chain *chain, const rw_water_in *in, rw_error *err)
{
	for (int b = 0; b < in->n_branches; b++) {
		if (in->branches[b].takes == RW_TAKES_GIVEN)
			continue;
		if (!isnan(in->branches[b].heat))
			return refuse_branch(chain, b, "heat", "a heat is given to a branch that takes another", "no 'heat' here, or 'takes: given'", err);
		for (int other = 0; other < b; other++)
			if (in->branches[other].takes == in->branches[b].takes)
				return refuse_branch(chain, b, "takes", "a branch before this one takes the same heat already", "one branch for each part", err);
		RW_TRY(check_potential(chain, in, b, err));
	}
	return RW_OK;
}

rw_status rw_water_follow(rw_chain *chain, rw_error *err)
{
	rw_water_in *in = rw_chain_in(chain, "water", 0);
	rw_water_set *set = rw_chain_set(chain, "water", 0);
	const rw_solution *s = chain->solution;
	bool any = false;
	RW_TRY(check_branches(chain, in, err));
	rw_water_choose_assumed(in);
	for (int k = 0; k < s->n_cases; k++)
		any = any || !s->why_not[k];
	if (!any)
		return RW_OK;   /* no heat is known: no flow or hose is chosen for none */
	for (int b = 0; b < in->n_branches; b++) {
		double most = 0.0;
		for (int k = 0; k < s->n_cases; k++)
			if (!s->why_not[k])
				most = fmax(most, heat_of(chain, in, b, k));
		set->branches[b].heat_greatest = most;
		set->branches[b].flow_least = flow_least_of(chain, in, b);
		set->branches[b].voltage_greatest = in->branches[b].potential == RW_POTENTIAL_HT ? voltage_greatest(chain) : 0.0;
	}
	rw_status status = rw_water_choose(in, set, &chain->base->water, err);
	for (int k = 0; k < s->n_cases && status == RW_OK; k++) {
		double heat[RW_BRANCHES_MAX];
		if (s->why_not[k])
			continue;
		for (int b = 0; b < in->n_branches; b++)
			heat[b] = heat_of(chain, in, b, k);
		const rw_oscillator_case *osc = rw_chain_case(chain, "oscillator", k);
		status = rw_water_solve(in, heat, osc->anode_voltage_dc, &chain->base->water, rw_chain_case(chain, "water", k), err);
		if (status == RW_OK)
			rw_chain_case_done(chain, "water", k);
	}
	if (status != RW_OK) {
		name_branch(chain, err);
		return status;
	}
	rw_chain_set_done(chain, "water", 0);
	rw_chain_mark_filled(chain, "water", NULL);
	return RW_OK;
}

/* Library. Facts of a valve file and the inputs they fill where the names differ. */
static const struct { const char *fact, *key; } filament_facts[] = {
    {"filament_voltage", "filament.voltage_rms"},       {"filament_current", "filament.current_rms"},
    {"filament_cold_ratio", "filament.cold_ratio"},     {"filament_start_limit", "filament.start_limit"},
    {"filament_start_measure", "filament.start_measure"},
};

static rw_status read_fact(const rw_chain *chain, const rw_item *item, const rw_fact *fact, double *value, rw_error *err)
{
	if (item->type != RW_CHOICE) {
		RW_TRY(rw_units_read(chain->base->units, item->kind, fact->value, value, err));
		return rw_item_accepts(item, chain->base->units, *value, err);
	}
	for (int i = 0; item->input->choices[i]; i++)
		if (strcmp(item->input->choices[i], fact->value) == 0) {
			*value = i;
			return RW_OK;
		}
	(void)RW_RAISE(err, RW_E_VALUE, fact->key, "'%s' is not one of the choices", fact->value);
	rw_error_expected(err, "a choice of %s", item->key);
	rw_error_hint(err, "mend the data file");
	return RW_E_VALUE;
}

static rw_status take_fact(rw_chain *chain, const char *key, const rw_fact *fact, rw_error *err)
{
	rw_view view = rw_chain_view(chain, 0, RW_NO_CASE);
	rw_slot slot;
	double value;
	RW_TRY(rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, err));
	const rw_item *item = rw_slot_item(chain->full, slot);
	rw_origin *origin = rw_slot_origin(chain->full, slot);
	rw_status status = read_fact(chain, item, fact, &value, err);
	if (status != RW_OK) {
		rw_yaml_mark(chain->valve_entry->tree, &fact->at, err);
		return status;
	}
	bool same = origin->state == RW_GIVEN && rw_slot_get(&view, slot) == value;
	if (origin->state == RW_GIVEN && !same)
		return RW_OK;
	if (!same) {
		RW_TRY(rw_slot_set(chain->full, slot, value, err));
		origin->state = RW_CHOSEN;
		origin->rule = "library";
	}
	origin->source = fact->source;   /* a value adopted from the library keeps its status as long as it is the same */
	origin->unverified = fact->unverified;
	origin->note = rw_arena_format(chain->arena, "valve %s, %s: %s", chain->valve_entry->name, fact->block, fact->status);
	return origin->note ? RW_OK : RW_RAISE(err, RW_E_MEMORY, key, "memory ran out");
}

/* The figures of the law 'divided', which points replace. */
static bool replaced_by_points(const rw_chain *chain, const rw_item *item)
{
	static const char *const keys[] = {"perveance", "mu", "division"};
	for (size_t i = 0; chain->valve_points && i < sizeof keys / sizeof keys[0]; i++)
		if (strcmp(item->key, keys[i]) == 0)
			return true;
	return false;
}

/* What the library has not got and no rule chooses must stand in the file. */
static rw_status require_all(const rw_chain *chain, const char *room, rw_error *err)
{
	int r = rw_registry_find(chain->base->stages->registry, room);
	const rw_room *table = chain->base->stages->registry->rooms[r];
	for (int i = 0; i < table->n_items; i++) {
		const rw_item *item = &table->items[i];
		rw_slot slot = {(int16_t)r, (int16_t)i, RW_NO_ELEMENT, 0, RW_NO_CASE};
		if (!item->input || item->input->optional || !item->input->rule || strcmp(item->input->rule, "library") != 0 || replaced_by_points(chain, item) ||
		    rw_slot_origin(chain->full, slot)->state != RW_OPEN)
			continue;
		char key[96];
		rw_slot_key(chain->full, slot, key, sizeof key);
		(void)RW_RAISE(err, RW_E_MISSING, key, "the library entry '%s' has no %s", chain->valve_entry->name, item->key);
		rw_error_expected(err, "%s in the generator file or in the entry", item->text);
		rw_error_hint(err, "add '%s' to the file", key);
		return RW_E_MISSING;
	}
	return RW_OK;
}

rw_status rw_take_library(rw_chain *chain, rw_error *err)
{
	rw_valve_in *valve = rw_chain_in(chain, "valve", 0);
	rw_status status = rw_library_entry(chain->base->library, chain->arena, "valves", valve->type, &chain->valve_entry, err);
	if (status == RW_E_KEY && err && err->line == 0)
		snprintf(err->key, sizeof err->key, "valve.type");
	RW_TRY(status);
	const rw_room *room = &rw_valve_room;
	for (int i = 0; i < room->n_items; i++) {
		char key[64];
		const rw_fact *fact = rw_entry_fact(chain->valve_entry, room->items[i].key);
		snprintf(key, sizeof key, "valve.%s", room->items[i].key);
		if (fact && room->items[i].type != RW_TEXT && room->items[i].type != RW_TABLE)
			RW_TRY(take_fact(chain, key, fact, err));
	}
	for (size_t i = 0; i < sizeof filament_facts / sizeof filament_facts[0]; i++) {
		const rw_fact *fact = rw_entry_fact(chain->valve_entry, filament_facts[i].fact);
		/* a limit of the file is read as the file says, never as the library means another */
		if (strcmp(filament_facts[i].key, "filament.start_measure") == 0 && rw_chain_given(chain, "filament.start_limit", 0) &&
		    !rw_chain_given(chain, "filament.start_measure", 0))
			continue;
		if (fact)
			RW_TRY(take_fact(chain, filament_facts[i].key, fact, err));
	}
	RW_TRY(rw_take_points(chain, err));
	RW_TRY(rw_choose_law(chain, err));
	rw_valve_choose(valve, rw_tank_sides(rw_chain_in(chain, "tank", 0)));
	RW_TRY(rw_valve_check(valve, err));
	rw_chain_mark_filled(chain, "valve", NULL);
	return require_all(chain, "valve", err);
}
