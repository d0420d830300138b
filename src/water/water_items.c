/* Figures of the water room. */
#include "item/rows.h"
#include "water/water.h"

#define IN(member) (uint32_t)offsetof(rw_water_in, member)
#define SET(member) (uint32_t)offsetof(rw_water_set, member)
#define CASE(member) (uint32_t)offsetof(rw_water_case, member)
#define BRANCH_IN(member) (uint32_t)offsetof(rw_water_branch_in, member)
#define BRANCH_SET(member) (uint32_t)offsetof(rw_water_branch_set, member)
#define BRANCH_CASE(member) (uint32_t)offsetof(rw_water_branch_case, member)
#define METHOD_WHEN(condition, done, keys, from) \
	{.kind = RW_METHOD, .when = (condition), .text = (done), .reads = (keys), .source = (from)}
#define OF_RULE RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "rules-of-practice"))
#define CONDUCTIVITY "conductivity = pure water + salts (1 + 0.02/K (T - 25 degC))"
#define AT_HT "water.branches.*.potential == ht"
#define AT_EARTH "water.branches.*.potential == earth"

enum { BRANCHES = 1 };   /* list number as items tell it */

const rw_column rw_water_columns[4] = {
	{"temperature", &rw_kind_temperature, true, 200.0, 700.0},
	{"density", &rw_kind_density, false, 500.0, 1200.0},
	{"heat_capacity", &rw_kind_heat_capacity, false, 2000.0, 8000.0},
	{"pure_conductivity", &rw_kind_conductivity, false, 1e-8, 1e-3},
};

static const char *const takes_choices[] = {"valve", "tank", "coil", "given", NULL};
static const char *const potential_choices[] = {"earth", "ht", NULL};

static const rw_item items[] = {
	/* inputs of the set */
	{RW_NUMBER_OF(rw_water_in, inlet_temperature, temperature, "T_in", "inlet water, hottest"),
	 .role = RW_WANT,
	 RW_INPUT(RW_FROM_TO(273.15, 363.15), .required = true)},
	{RW_NUMBER_OF(rw_water_in, outlet_limit, temperature, "T_lim", "outlet water, greatest"),
	 .role = RW_SETTING, OF_RULE,
	 RW_INPUT(RW_FROM_TO(278.15, 373.15), RW_RULE("R11", "65 degC", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, conductivity, conductivity, "kappa_25", "conductivity of the water at 25 degC"),
	 .role = RW_ASSUMED, OF_RULE,
	 RW_INPUT(RW_FROM_TO(5.5e-6, 1.0), RW_RULE("R11", "1 uS/cm", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, velocity_limit, velocity, "v_lim", "velocity in a hose, greatest"),
	 .role = RW_SETTING, OF_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 20.0), RW_RULE("R11", "2 m/s", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, leakage_limit, current_dc, "I_lim", "leakage through the water of one hose, greatest"),
	 .role = RW_SETTING, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "hose-leakage-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R11", "0.25 mA a hose", "hose-leakage-practice"))},
	{RW_NUMBER_OF(rw_water_in, stress_limit, stress, "E_lim", "volts along a hose, greatest"),
	 .role = RW_SETTING, OF_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), RW_RULE("R11", "2.5 kV/m", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, flow_step, flow, "dQ", "step flows are rounded up to"),
	 .role = RW_SETTING, OF_RULE, .internal = true,
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R11", "0.5 L/min", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, length_step, length, "dl", "step hose lengths are rounded up to"),
	 .role = RW_SETTING, OF_RULE, .internal = true,
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), RW_RULE("R11", "0.25 m", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_water_in, filament_share, fraction, "k_f", "share of the filament's power that reaches the anode's water"),
	 .role = RW_ASSUMED, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("0.8", "rules-of-practice")),
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), RW_RULE("R11", "0.8", "rules-of-practice"))},

	/* inputs of a branch */
	{.key = "branches.*.takes", .offset = BRANCH_IN(takes), .list = BRANCHES, .type = RW_CHOICE, .role = RW_PART,
	 .symbol = "takes", .text = "whose heat the branch takes",
	 RW_INPUT(.required = true, .choices = takes_choices)},
	{.key = "branches.*.potential", .offset = BRANCH_IN(potential), .list = BRANCHES, .type = RW_CHOICE, .role = RW_PART,
	 .symbol = "potential", .text = "what the cooled part stands at",
	 RW_INPUT(.required = true, .choices = potential_choices)},
	{.key = "branches.*.heat", .offset = BRANCH_IN(heat), .list = BRANCHES, .type = RW_NUMBER, .role = RW_WANT, .kind = &rw_kind_power,
	 .symbol = "P_given", .text = "heat of a branch that takes a given heat",
	 RW_INPUT(RW_FROM_TO(0.0, 1e8), .optional = true)},
	{.key = "branches.*.flow", .offset = BRANCH_IN(flow), .list = BRANCHES, .type = RW_NUMBER, .role = RW_SETTING, .kind = &rw_kind_flow,
	 .symbol = "Q", .text = "flow",
	 RW_FORMULAS(RW_BY_METHOD("greatest heat / (density x heat capacity x (outlet limit - inlet)), water at the mean of the two, up to the next "
	                          "flow step and at least one; not less than the valves want",
	                          "water.branches.*.flow_least,water.branches.*.heat_greatest,water.inlet_temperature,water.outlet_limit,water.flow_step", "iapws-sr6-08")),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0),
	          RW_RULE("R11", "outlet at its limit with the hottest inlet and the greatest heat, up to the next 0.5 L/min",
	                      "rules-of-practice"))},
	{.key = "branches.*.bore", .offset = BRANCH_IN(bore), .list = BRANCHES, .type = RW_NUMBER, .role = RW_PART, .kind = &rw_kind_length,
	 .symbol = "d", .text = "bore of its hoses",
	 RW_FORMULAS(RW_BY_METHOD("least of 8, 10, 12.7, 16, 19 and 25.4 mm with the velocity at most at its limit",
	                          "water.branches.*.flow,water.velocity_limit", "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R11", "smallest standard bore under 2 m/s", "rules-of-practice"))},
	{.key = "branches.*.length", .offset = BRANCH_IN(length), .list = BRANCHES, .type = RW_NUMBER, .role = RW_PART, .kind = &rw_kind_length,
	 .symbol = "l", .text = "length of each of its two hoses, at HT",
	 RW_FORMULAS(METHOD_WHEN(AT_HT, "greater of volts / stress limit and conductivity at the outlet limit x section x volts / leakage "
	     "limit, up to "
	                         "the next length step and at least one",
	                         "water.branches.*.voltage_greatest,water.branches.*.bore,water.stress_limit,water.leakage_limit,"
	                         "water.conductivity,water.outlet_limit,water.length_step", "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1000.0), .optional = true,
	          RW_RULE("R11", "at HT: greater of volts/2.5 kV per m and what keeps each hose under 0.25 mA, up to the next 0.25 m",
	                      "rules-of-practice"))},

	/* results of the set */
	{RW_NUMBER_OF(rw_water_set, flow_total, flow, "Q_tot", "flow of all branches"),
	 .role = RW_RESULT, RW_FORMULAS(RW_IS("sum(water.branches.*.flow)", "definition"))},
	{.key = "branches.*.heat_greatest", .offset = BRANCH_SET(heat_greatest), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .kind = &rw_kind_power, .symbol = "P_max", .text = "greatest heat of all cases",
	     RW_FORMULAS(RW_IS("worst(water.branches.*.heat_taken)", "definition"))},
	{.key = "branches.*.voltage_greatest", .offset = BRANCH_SET(voltage_greatest), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .kind = &rw_kind_voltage_dc, .symbol = "V_max", .text = "greatest volts along a hose: no load, mains high",
	 RW_FORMULAS(RW_IS_WHEN(AT_HT, "supply.nominal_no_load_voltage_dc * cases.mains_high", "definition"),
	             RW_IS_WHEN(AT_EARTH, "0 * supply.nominal_no_load_voltage_dc", "definition"))},
	{.key = "branches.*.flow_least", .offset = BRANCH_SET(flow_least), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .kind = &rw_kind_flow, .symbol = "Q_least", .text = "least water the valves it cools want at full dissipation; 0: none is told",
	 RW_FORMULAS(RW_BY_METHOD("number of valves times the least water of each, where it is told; none while no heat is known",
	             "oscillator.valves,valve.water_flow_min,water.branches.*.takes,water.branches.*.heat_greatest", "valve-data"))},

	/* results of a case */
	{RW_NUMBER_OF(rw_water_case, heat, power, "P_w", "heat to the water, all branches"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, RW_FORMULAS(RW_IS("sum(water.branches.*.heat_taken)", "definition"))},
	{RW_NUMBER_OF(rw_water_case, leakage_loss, power, "P_leak", "loss in the hoses' water, all branches"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, RW_FORMULAS(RW_IS("sum(water.branches.*.leakage_loss)", "definition"))},
	{.key = "branches.*.heat_taken", .offset = BRANCH_CASE(heat_taken), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .scope = RW_PER_CASE, .kind = &rw_kind_power, .symbol = "P", .text = "heat taken",
	 RW_FORMULAS(RW_IS_WHEN("water.branches.*.takes == valve",
	                        "oscillator.valves * (oscillator.anode_loss + oscillator.grid_loss + water.filament_share * filament.power)", "definition"),
	             RW_IS_WHEN("water.branches.*.takes == tank", "tank.inductor_loss + tank.grid_inductor_loss + tank.secondary_inductor_loss", "definition"),
	             RW_IS_WHEN("water.branches.*.takes == coil", "coil.loss + leads.loss + output.loss", "definition"),
	             RW_IS_WHEN("water.branches.*.takes == given", "water.branches.*.heat", "definition"))},
	{.key = "branches.*.outlet_temperature", .offset = BRANCH_CASE(outlet_temperature), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .scope = RW_PER_CASE, .kind = &rw_kind_temperature, .symbol = "T_out", .text = "outlet water",
	 RW_FORMULAS(RW_BY_METHOD("root of flow x density x heat capacity x (outlet - inlet) = heat, water at the mean of the two",
	                          "water.branches.*.heat_taken,water.branches.*.flow,water.inlet_temperature", "iapws-sr6-08"))},
	{.key = "branches.*.velocity", .offset = BRANCH_CASE(velocity), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT, .scope = RW_PER_CASE,
	 .kind = &rw_kind_velocity, .symbol = "v", .text = "velocity in the hoses",
	 RW_FORMULAS(RW_IS("4 * water.branches.*.flow / (pi * water.branches.*.bore^2)", "definition"))},
	{.key = "branches.*.leakage_cold", .offset = BRANCH_CASE(leakage_cold), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .scope = RW_PER_CASE, .uncertainty = 0.1, .kind = &rw_kind_current_dc, .symbol = "I_cold", .text = "leakage through the cold hose",
	 RW_FORMULAS(METHOD_WHEN(AT_HT, "volts x conductivity at the inlet temperature x section / length; " CONDUCTIVITY,
	                         "oscillator.anode_voltage_dc,water.conductivity,water.inlet_temperature,water.branches.*.bore,water.branches.*.length",
	                                     "iapws-sr6-08"),
	             RW_IS_WHEN(AT_EARTH, "0 * water.leakage_limit", "definition"))},
	{.key = "branches.*.leakage_hot", .offset = BRANCH_CASE(leakage_hot), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .scope = RW_PER_CASE, .uncertainty = 0.1, .kind = &rw_kind_current_dc, .symbol = "I_hot", .text = "leakage through the hot hose",
	 RW_FORMULAS(METHOD_WHEN(AT_HT, "volts x conductivity at the outlet temperature x section / length; " CONDUCTIVITY,
	                         "oscillator.anode_voltage_dc,water.conductivity,water.branches.*.outlet_temperature,water.branches.*.bore,"
	                                     "water.branches.*.length",
	                         "iapws-sr6-08"),
	             RW_IS_WHEN(AT_EARTH, "0 * water.leakage_limit", "definition"))},
	{.key = "branches.*.leakage_loss", .offset = BRANCH_CASE(leakage_loss), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT,
	 .scope = RW_PER_CASE, .kind = &rw_kind_power, .symbol = "P_l", .text = "loss in the water of its two hoses (DC only)",
	 RW_FORMULAS(RW_IS("oscillator.anode_voltage_dc * (water.branches.*.leakage_cold + water.branches.*.leakage_hot)", "definition"))},
	{.key = "branches.*.stress", .offset = BRANCH_CASE(stress), .list = BRANCHES, .type = RW_NUMBER, .role = RW_RESULT, .scope = RW_PER_CASE,
	 .kind = &rw_kind_stress, .symbol = "E", .text = "volts along its hoses",
	 RW_FORMULAS(RW_IS_WHEN(AT_HT, "oscillator.anode_voltage_dc / water.branches.*.length", "definition"),
	     RW_IS_WHEN(AT_EARTH, "0 * water.stress_limit", "definition"))},
};

static const rw_list lists[] = {
	{.key = "branches", .text = "branches of the cooling water", .capacity = RW_BRANCHES_MAX, .count_at = IN(n_branches),
	 .in_at = IN(branches), .in_stride = sizeof(rw_water_branch_in), .set_at = SET(branches), .set_stride = sizeof(rw_water_branch_set),
	 .case_at = CASE(branches), .case_stride = sizeof(rw_water_branch_case), .required = true},
};

static const rw_limit limits[] = {
	{.key = "water.outlet_temperature", .figure = "water.branches.*.outlet_temperature", .limit = "water.outlet_limit", .sense = RW_AT_MOST,
	 .text = "outlet water", .source = "rules-of-practice", .remedy = "more flow, or cooler inlet water"},
	{.key = "water.valve_flow", .figure = "water.branches.*.flow", .limit = "water.branches.*.flow_least", .sense = RW_AT_LEAST,
	 .when = "water.branches.*.flow_least > 0", .text = "flow against what the valves want", .source = "valve-data", .remedy = "more flow"},
	{.key = "water.filament_flow", .figure = "water.branches.*.flow", .limit = "oscillator.valves * valve.water_flow_filament", .sense = RW_AT_LEAST,
	 .when = "water.branches.*.takes == valve", .needs = "valve.water_flow_filament", .text = "flow against what the filaments alone want",
	 .source = "valve-data", .remedy = "more flow, also in standby and while it cools down"},
	{.key = "water.velocity", .figure = "water.branches.*.velocity", .limit = "water.velocity_limit", .sense = RW_AT_MOST,
	 .text = "velocity in the hoses", .source = "rules-of-practice",
	     .remedy = "a wider hose, or a second branch with a given share of the heat"},
	{.key = "water.leakage_cold", .figure = "water.branches.*.leakage_cold", .limit = "water.leakage_limit", .sense = RW_AT_MOST, .when = AT_HT,
	 .text = "leakage through the cold hose", .source = "hose-leakage-practice", .remedy = "longer hoses, purer water, or a narrower bore"},
	{.key = "water.leakage_hot", .figure = "water.branches.*.leakage_hot", .limit = "water.leakage_limit", .sense = RW_AT_MOST, .when = AT_HT,
	 .text = "leakage through the hot hose", .source = "hose-leakage-practice",
	     .remedy = "longer hoses, purer water, more flow, or a narrower bore"},
	{.key = "water.stress", .figure = "water.branches.*.voltage_greatest / water.branches.*.length", .limit = "water.stress_limit",
	 .sense = RW_AT_MOST, .when = AT_HT, .text = "volts along the hoses at no load, mains high", .source = "rules-of-practice",
	 .remedy = "longer hoses"},
};

const rw_room rw_water_room = {
	.name = "water", .text = "Cooling water",
	.in_size = sizeof(rw_water_in), .set_size = sizeof(rw_water_set), .case_size = sizeof(rw_water_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]),
	.lists = lists, .n_lists = (int)(sizeof lists / sizeof lists[0]),
	.limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
