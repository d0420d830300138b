/* Cooling water: flow, hoses, outlet temperature and leakage of each branch. */
#include <math.h>
#include <stdio.h>

#include "base/numeric.h"
#include "water/water.h"

enum { TEMPERATURE, DENSITY, HEAT_CAPACITY, PURE_CONDUCTIVITY };

static const double zero_celsius = 273.15;          /* K */
static const double reference_temperature = 298.15; /* K: conductivity is stated at 25 degC */
static const double salt_coefficient = 0.02;        /* 1/K: of what the dissolved salts conduct; instrument makers' figure for traces */
static const double standard_bores[] = {0.008, 0.010, 0.0127, 0.016, 0.019, 0.0254};   /* m: hoses of the trade; memory */
enum { N_BORES = sizeof standard_bores / sizeof standard_bores[0] };

static double celsius(double temperature) { return temperature - zero_celsius; }

/* A property at a temperature; says the span in degC when outside. */
static rw_status property(const rw_table *properties, int column, double temperature, double *value, rw_error *err)
{
	double low = rw_table_cell(properties, 0, TEMPERATURE), high = rw_table_cell(properties, properties->n_rows - 1, TEMPERATURE);
	if (temperature >= low && temperature <= high)
		return rw_table_at(properties, TEMPERATURE, column, temperature, value, err);
	(void)RW_RAISE(err, RW_E_RANGE, "water", "water at '%.1f degC' is outside the table of its properties", celsius(temperature));
	rw_error_expected(err, "%.1f to %.1f degC", celsius(low), celsius(high));
	rw_error_hint(err, "check water.inlet_temperature and the flows");
	return RW_E_RANGE;
}

/* rho cp, J/(m3 K) */
static rw_status heat_of_volume(const rw_table *properties, double temperature, double *heat, rw_error *err)
{
	double density, heat_capacity;
	RW_TRY(property(properties, DENSITY, temperature, &density, err));
	RW_TRY(property(properties, HEAT_CAPACITY, temperature, &heat_capacity, err));
	*heat = density * heat_capacity;
	return RW_OK;
}

static rw_status outlet_above_inlet(double inlet, double outlet, rw_error *err)
{
	if (outlet > inlet)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "water.outlet_limit", "outlet at '%.1f degC' is not above the inlet", celsius(outlet));
	rw_error_expected(err, "more than %.1f degC", celsius(inlet));
	rw_error_hint(err, "cooler inlet water (water.inlet_temperature) or a higher outlet limit");
	return RW_E_RANGE;
}

rw_status rw_water_flow(double heat, double inlet, double outlet, const rw_table *properties, double *flow, rw_error *err)
{
	RW_TRY(outlet_above_inlet(inlet, outlet, err));
	if (!(heat >= 0.0 && isfinite(heat))) {
		(void)RW_RAISE(err, RW_E_RANGE, "water", "heat of '%.6g W' cannot be taken by water", heat);
		rw_error_expected(err, "zero or more");
		rw_error_hint(err, "check what the branches take");
		return RW_E_RANGE;
	}
	double per_kelvin;
	RW_TRY(heat_of_volume(properties, 0.5 * (inlet + outlet), &per_kelvin, err));
	*flow = heat / (per_kelvin * (outlet - inlet));
	return RW_OK;
}

rw_status rw_water_conductivity(double conductivity_25, double temperature, const rw_table *properties, double *conductivity, rw_error *err)
{
	double pure, pure_25;
	RW_TRY(property(properties, PURE_CONDUCTIVITY, temperature, &pure, err));
	RW_TRY(property(properties, PURE_CONDUCTIVITY, reference_temperature, &pure_25, err));
	double salts = conductivity_25 - pure_25;
	if (!(salts >= -0.01 * pure_25 && isfinite(salts))) {   /* sources of pure water at 25 degC agree to better than 1 % */
		(void)RW_RAISE(err, RW_E_RANGE, "water.conductivity", "water of '%.4g uS/cm' at 25 degC would be purer than pure",
		    conductivity_25 * 1e4);
		rw_error_expected(err, "at least %.4g uS/cm", pure_25 * 1e4);
		rw_error_hint(err, "demineralised water mostly has 0.1 to 5 uS/cm");
		return RW_E_RANGE;
	}
	*conductivity = pure + fmax(salts, 0.0) * (1.0 + salt_coefficient * (temperature - reference_temperature));
	return RW_OK;
}

static double area(double bore) { return 0.25 * M_PI * bore * bore; }

double rw_water_column_resistance(double conductivity, double bore, double length)
{
	return length / (conductivity * area(bore));
}

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

void rw_water_choose_assumed(rw_water_in *in)
{
	fill(&in->outlet_limit, 65.0 + zero_celsius);
	fill(&in->conductivity, 1e-4);
	fill(&in->velocity_limit, 2.0);
	fill(&in->leakage_limit, 0.25e-3);
	fill(&in->stress_limit, 2500.0);
	fill(&in->flow_step, 0.5e-3 / 60.0);
	fill(&in->length_step, 0.25);
	fill(&in->filament_share, 0.8);
}

/* Key of a branch's figure; the room does not know names, so the place counts, from 1. */
typedef struct branch_key { char text[64]; } branch_key;

static branch_key key_of(int i, const char *figure)
{
	branch_key key;
	snprintf(key.text, sizeof key.text, "water.branches.%d.%s", i + 1, figure);
	return key;
}

static rw_status choose_bore(rw_water_branch_in *branch, double velocity_limit, int i, rw_error *err)
{
	double least = sqrt(4.0 * branch->flow / (M_PI * velocity_limit));
	double bore = rw_ceil_in(standard_bores, N_BORES, least);
	if (isfinite(bore)) {
		branch->bore = bore;
		return RW_OK;
	}
	double widest = standard_bores[N_BORES - 1];
	(void)RW_RAISE(err, RW_E_RANGE, key_of(i, "bore").text,
	    "flow of '%.4g L/min' is too much for the widest standard hose, %.1f mm, at %.3g m/s",
	               branch->flow * 6e4, widest * 1e3, velocity_limit);
	rw_error_expected(err, "at most %.4g L/min", area(widest) * velocity_limit * 6e4);
	rw_error_hint(err, "give the bore, or a second branch a given share of the heat");
	return RW_E_RANGE;
}

/* Hot hose: the outlet at its limit conducts best. */
static rw_status choose_length(rw_water_branch_in *branch, const rw_water_in *in, double voltage_dc, const rw_table *properties, rw_error *err)
{
	double hot;
	RW_TRY(rw_water_conductivity(in->conductivity, in->outlet_limit, properties, &hot, err));
	double by_stress = voltage_dc / in->stress_limit;
	double by_leakage = hot * area(branch->bore) * voltage_dc / in->leakage_limit;
	branch->length = fmax(rw_ceil_to(fmax(by_stress, by_leakage), in->length_step), in->length_step);
	return RW_OK;
}

static rw_status choose_branch(rw_water_in *in, int i, const rw_water_branch_set *set, const rw_table *properties, rw_error *err)
{
	rw_water_branch_in *branch = &in->branches[i];
	if (branch->takes == RW_TAKES_GIVEN && isnan(branch->heat)) {
		(void)RW_RAISE(err, RW_E_MISSING, key_of(i, "heat").text, "a branch that takes a given heat has none");
		rw_error_expected(err, "its heat, such as '1.5 kW'");
		rw_error_hint(err, "add 'heat' to the branch, or let it take that of a part");
		return RW_E_MISSING;
	}
	if (!(set->heat_greatest >= 0.0 && isfinite(set->heat_greatest)) || !(set->voltage_greatest >= 0.0 && isfinite(set->voltage_greatest))) {
		(void)RW_RAISE(err, RW_E_RANGE, key_of(i, "heat_greatest").text, "no flow or hose can be chosen for '%.6g W' and '%.6g V'",
		               set->heat_greatest, set->voltage_greatest);
		rw_error_expected(err, "zero or more of both");
		rw_error_hint(err, "check what the branch takes");
		return RW_E_RANGE;
	}
	if (isnan(branch->flow)) {
		double flow;
		RW_TRY(rw_water_flow(set->heat_greatest, in->inlet_temperature, in->outlet_limit, properties, &flow, err));
		branch->flow = fmax(rw_ceil_to(fmax(flow, set->flow_least), in->flow_step), in->flow_step);
	}
	if (isnan(branch->bore))
		RW_TRY(choose_bore(branch, in->velocity_limit, i, err));
	if (isnan(branch->length) && branch->potential == RW_POTENTIAL_HT)
		RW_TRY(choose_length(branch, in, set->voltage_greatest, properties, err));
	return RW_OK;
}

rw_status rw_water_choose(rw_water_in *in, rw_water_set *set, const rw_table *properties, rw_error *err)
{
	rw_water_in chosen = *in;
	rw_water_choose_assumed(&chosen);
	RW_TRY(outlet_above_inlet(chosen.inlet_temperature, chosen.outlet_limit, err));
	double flow_total = 0.0;
	for (int i = 0; i < chosen.n_branches; i++) {
		RW_TRY(choose_branch(&chosen, i, &set->branches[i], properties, err));
		flow_total += chosen.branches[i].flow;
	}
	*in = chosen;
	set->flow_total = flow_total;
	return RW_OK;
}

typedef struct balance { double heat, flow, inlet; const rw_table *properties; } balance;

/* Heat carried at an outlet temperature, less the heat there is, relative to it. */
static rw_status surplus(void *context, double outlet, double *y, rw_error *err)
{
	const balance *b = context;
	double per_kelvin;
	RW_TRY(heat_of_volume(b->properties, 0.5 * (b->inlet + outlet), &per_kelvin, err));
	*y = b->flow * per_kelvin * (outlet - b->inlet) / b->heat - 1.0;
	return RW_OK;
}

static rw_status outlet_temperature(const rw_water_in *in, int i, double heat, const rw_table *properties, double *outlet, rw_error *err)
{
	double flow = in->branches[i].flow, inlet = in->inlet_temperature;
	if (!(heat >= 0.0 && isfinite(heat)) || !(flow > 0.0)) {
		(void)RW_RAISE(err, RW_E_RANGE, key_of(i, "heat_taken").text, "heat of '%.6g W' in '%.6g L/min' has no outlet temperature", heat,
		    flow * 6e4);
		rw_error_expected(err, "heat zero or more, flow more than zero");
		rw_error_hint(err, "check the branch's flow and what it takes");
		return RW_E_RANGE;
	}
	balance b = {heat, flow, inlet, properties};
	double top = rw_table_cell(properties, properties->n_rows - 1, TEMPERATURE), at_top, per_kelvin;
	RW_TRY(heat_of_volume(properties, inlet, &per_kelvin, err));   /* inlet inside the table */
	if (heat == 0.0) {
		*outlet = inlet;
		return RW_OK;
	}
	RW_TRY(surplus(&b, top, &at_top, err));
	if (at_top < 0.0) {
		(void)RW_RAISE(err, RW_E_RANGE, key_of(i, "outlet_temperature").text,
		    "water would boil: '%.4g kW' in '%.4g L/min' is more than it can carry",
		               heat * 1e-3, flow * 6e4);
		rw_error_expected(err, "outlet at most %.1f degC", celsius(top));
		rw_error_hint(err, "about %.3g L/min would carry it there; more for the outlet limit", flow * 6e4 / (1.0 + at_top));
		return RW_E_RANGE;
	}
	rw_root root;
	RW_TRY(rw_root_find(surplus, &b, inlet, top, 1e-10, 1e-14, &root, err));
	*outlet = root.x;
	return RW_OK;
}

static rw_status solve_leakage(const rw_water_in *in, int i, double voltage_dc, const rw_table *properties, rw_water_branch_case *out,
    rw_error *err)
{
	const rw_water_branch_in *branch = &in->branches[i];
	out->leakage_cold = out->leakage_hot = out->leakage_loss = out->stress = 0.0;
	if (branch->potential != RW_POTENTIAL_HT)
		return RW_OK;
	if (!(branch->length > 0.0)) {
		(void)RW_RAISE(err, RW_E_MISSING, key_of(i, "length").text, "hoses at HT have no length");
		rw_error_expected(err, "the length of each of its two hoses");
		rw_error_hint(err, "leave 'length' open for the rule");
		return RW_E_MISSING;
	}
	double cold, hot;
	RW_TRY(rw_water_conductivity(in->conductivity, in->inlet_temperature, properties, &cold, err));
	RW_TRY(rw_water_conductivity(in->conductivity, out->outlet_temperature, properties, &hot, err));
	out->leakage_cold = voltage_dc / rw_water_column_resistance(cold, branch->bore, branch->length);
	out->leakage_hot = voltage_dc / rw_water_column_resistance(hot, branch->bore, branch->length);
	out->leakage_loss = voltage_dc * (out->leakage_cold + out->leakage_hot);
	out->stress = voltage_dc / branch->length;
	return RW_OK;
}

rw_status rw_water_solve(const rw_water_in *in, const double *heat, double voltage_dc, const rw_table *properties, rw_water_case *out,
    rw_error *err)
{
	rw_water_branch_case branches[RW_BRANCHES_MAX];
	double heat_total = 0.0, leakage_loss = 0.0;
	for (int i = 0; i < in->n_branches; i++) {
		rw_water_branch_case *branch = &branches[i];
		branch->heat_taken = heat[i];
		RW_TRY(outlet_temperature(in, i, heat[i], properties, &branch->outlet_temperature, err));
		branch->velocity = in->branches[i].flow / area(in->branches[i].bore);
		RW_TRY(solve_leakage(in, i, voltage_dc, properties, branch, err));
		heat_total += branch->heat_taken;
		leakage_loss += branch->leakage_loss;
	}
	for (int i = 0; i < in->n_branches; i++)
		out->branches[i] = branches[i];
	out->heat = heat_total;
	out->leakage_loss = leakage_loss;
	return RW_OK;
}
