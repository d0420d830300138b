/* Figures of the protection room. */
#include "item/rows.h"
#include "protection/protection.h"

#define IN(member) (uint32_t)offsetof(rw_protection_in, member)
#define SET(member) (uint32_t)offsetof(rw_protection_set, member)

enum { STORES = 1 };   /* list number as items tell it */

static const rw_item items[] = {
	/* inputs */
	{RW_NUMBER_OF(rw_protection_in, safe_voltage_dc, voltage_dc, "V_safe", "volts to which stored energy must fall"),
	 .role = RW_WANT, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "iec-60204-1")),
	 RW_INPUT(RW_OVER_TO(0.0, 1000.0), RW_RULE("R12", "60 V", "iec-60204-1"))},
	{RW_NUMBER_OF(rw_protection_in, safe_time, time, "t_safe", "time after switching off by which they must have fallen"),
	 .role = RW_WANT, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "iec-60204-1")),
	 RW_INPUT(RW_OVER_TO(0.0, 3600.0), RW_RULE("R12", "5 s", "iec-60204-1"))},
	{RW_NUMBER_OF(rw_protection_in, bleeder_current, current_dc, "I_b", "bleeder current at no-load volts, least"),
	 .role = RW_SETTING, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), RW_RULE("R12", "5 mA", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_protection_in, bleeder_resistance, resistance, "R_b", "bleeder"),
	 .role = RW_PART,
	 RW_FORMULAS(RW_IS("digits(0.995 / max(protection.capacitance * ln(protection.voltage_dc / protection.safe_voltage_dc) / "
	     "protection.safe_time, "
	                   "protection.bleeder_current / protection.voltage_dc), 3)", "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e12), RW_RULE("R12", "smaller of 60 V in 5 s and volts/5 mA, less 0.5 %, to three digits", "rules-of-practice"))},
	{.key = "stores.*.capacitance", .list = STORES, .offset = (uint32_t)offsetof(rw_store_in, capacitance), .type = RW_NUMBER, .role = RW_PART,
	 .kind = &rw_kind_capacitance, .symbol = "C", .text = "capacitor between HT and earth, besides the tank's blocking capacitor",
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), .required = true)},

	/* results */
	{RW_NUMBER_OF(rw_protection_set, voltage_dc, voltage_dc, "V_0", "HT at no load, mains high"),
	 .role = RW_RESULT, RW_FORMULAS(RW_IS("supply.nominal_no_load_voltage_dc * cases.mains_high", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_set, capacitance, capacitance, "C_tot", "capacitance on the HT, blocking or bypass capacitor with it"),
	 .role = RW_RESULT,
	 RW_FORMULAS(RW_IS_WHEN("tank.feed == shunt", "sum(protection.stores.*.capacitance) + oscillator.sides * tank.blocking_capacitance",
	                         "electrostatics"),
	             RW_IS_WHEN("tank.feed == series", "sum(protection.stores.*.capacitance) + tank.bypass_capacitance", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_set, stored_energy, energy, "W_0", "stored energy"),
	 .role = RW_RESULT, RW_FORMULAS(RW_IS("0.5 * protection.capacitance * protection.voltage_dc^2", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_set, stored_charge, charge, "q_0", "stored charge"),
	 .role = RW_RESULT, RW_FORMULAS(RW_IS("protection.capacitance * protection.voltage_dc", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_set, bleeder_power, power, "P_b", "loss in the bleeder at no load, mains high"),
	 .role = RW_RESULT,
	 RW_FORMULAS(RW_IS("protection.voltage_dc^2 / protection.bleeder_resistance", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_set, discharge_time, time, "t_d",
	    "time to safe volts through a sound bleeder alone: convenience, never the means"),
	 .role = RW_RESULT,
	 RW_FORMULAS(RW_IS("protection.bleeder_resistance * protection.capacitance * "
	                   "max(ln(protection.voltage_dc / protection.safe_voltage_dc), 0)", "electrostatics"))},
	{.key = "stores.*.energy", .list = STORES, .offset = (uint32_t)offsetof(rw_store_set, energy), .type = RW_NUMBER, .role = RW_RESULT,
	 .kind = &rw_kind_energy, .symbol = "W", .text = "energy stored in it",
	 RW_FORMULAS(RW_IS("0.5 * protection.stores.*.capacitance * protection.voltage_dc^2", "electrostatics"))},
	{RW_NUMBER_OF(rw_protection_case, bleeder_loss, power, "P_bl", "loss in the bleeder under load"), .role = RW_RESULT, .scope = RW_PER_CASE,
	 RW_FORMULAS(RW_IS_WHEN("supply.ripple_counted == mean", "supply.voltage_dc^2 / protection.bleeder_resistance", "electrostatics"),
	             RW_IS_WHEN("supply.ripple_counted == cycle", "(supply.voltage_dc^2 + supply.ripple_rms^2) / protection.bleeder_resistance", "electrostatics"))},
};

static const rw_list lists[] = {
	{.key = "stores", .text = "capacitors on the HT besides the tank's blocking capacitor", .capacity = RW_STORES_MAX, .count_at = IN(n_stores),
	 .in_at = IN(stores), .in_stride = sizeof(rw_store_in), .set_at = SET(stores), .set_stride = sizeof(rw_store_set)},
};

static const rw_limit limits[] = {
	{.key = "protection.discharge_time", .figure = "protection.discharge_time", .limit = "protection.safe_time", .sense = RW_AT_MOST,
	 .text = "time to safe volts through a sound bleeder",
	 .source = "iec-60204-1", .remedy = "a smaller bleeder, an automatic discharge device, or a warning with the waiting time; a bleeder "
	     "may be open: discharge and earthing devices decide"},
};

const rw_room rw_protection_room = {
	.name = "protection", .text = "Stored energy and discharge",
	.in_size = sizeof(rw_protection_in), .set_size = sizeof(rw_protection_set), .case_size = sizeof(rw_protection_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]),
	.lists = lists, .n_lists = (int)(sizeof lists / sizeof lists[0]),
	.limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
