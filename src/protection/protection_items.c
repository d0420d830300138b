/* Figures of the protection room. */
#include "item/rows.h"
#include "protection/protection.h"

#define IN(member) (uint32_t)offsetof(rw_protection_in, member)
#define SET(member) (uint32_t)offsetof(rw_protection_set, member)
#define PART(member, kind, symbol, text)    RW_NUMBER_OF(rw_protection_in, member, kind, symbol, text), .role = RW_PART
#define SETTING(member, kind, symbol, text) RW_NUMBER_OF(rw_protection_in, member, kind, symbol, text), .role = RW_SETTING
#define ASSUMED(member, kind, symbol, text) RW_NUMBER_OF(rw_protection_in, member, kind, symbol, text), .role = RW_ASSUMED
#define RESULT(member, kind, symbol, text)  RW_NUMBER_OF(rw_protection_set, member, kind, symbol, text), .role = RW_RESULT
#define R26(what) RW_RULE("R26", what, PRACTICE)
#define BY_RULE RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE))
#define WITH_CROWBAR .only = RW_IN_KINDS(rw_protection_in, crowbar, 1U << RW_CROWBAR_FITTED)

#define PRACTICE "guards-practice"
#define ARC      "arc-discharge"
#define WIRE     "copper-wire"

/* Parts of formulas. */
#define WITH_UNDER .only = RW_IN_KINDS(rw_protection_in, grid_under, 1U << RW_GUARD_FITTED)
#define NO_CROWBAR "protection.crowbar == none"
#define CROWBAR    "protection.crowbar == fitted"
#define C_S        "protection.surge_capacitance"
#define V_0        "protection.voltage_dc"
#define R_S        "protection.series_resistance"
#define OVER(arc)  "(" V_0 " - protection." arc ")"
#define FIRED(n)   "if(" C_S " > 0, 1 - exp(0 - " n " * protection.crowbar_time / (" R_S " * max(" C_S ", 1e-12 * protection.capacitance))), 1)"
#define CAPACITOR(arc) \
	RW_FORMULAS(RW_IS_WHEN("protection.surge_damped == 1 and " NO_CROWBAR, "protection.direct_energy + protection." arc " * " C_S " * " OVER(arc), ARC), \
	            RW_IS_WHEN("protection.surge_damped == 1 and " CROWBAR, \
	                       "protection.direct_energy + protection." arc " * " C_S " * " OVER(arc) " * " FIRED("1"), ARC), \
	            RW_IS_WHEN("protection.surge_damped == 0", "protection.direct_energy + protection.surge_energy", ARC))
#define FOLLOW_ON(arc, time) \
	RW_FORMULAS(RW_IS_WHEN(NO_CROWBAR, "protection." arc " * protection.fault_current_dc * protection." time, ARC), \
	            RW_IS_WHEN(CROWBAR, "protection." arc " * (protection.fault_current_dc * min(protection.crowbar_time, protection." time ") + " \
	                       "max(protection.crowbar_voltage - protection." arc ", 0) / protection.anode_resistance * " \
	                       "max(protection." time " - protection.crowbar_time, 0))", ARC))
#define SOURCE "if(supply.connection == half_wave or supply.connection == single_phase, 1, sqrt(3))"
#define LOOP  "(4 * protection.surge_inductance / (" R_S "^2 * " C_S "))"
#define METERED "if(meters.anode_place == cathode, 1, oscillator.valves)"

enum { STORES = 1 };   /* list number as items tell it */

static const char *const paths[] = {"direct", "resistor", NULL};
static const char *const crowbars[] = {"none", "fitted", NULL}, *const fittings[] = {"fitted", "none", NULL};

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

	{.key = "stores.*.path", .list = STORES, .offset = (uint32_t)offsetof(rw_store_in, path), .type = RW_CHOICE, .role = RW_PART, .symbol = "",
	 .text = "how it reaches an arc in the valve: straight, or through the surge resistor",
	 RW_FORMULAS(RW_BY_METHOD("straight below 20 nF, a bypass at the valve; else through the resistor", "protection.stores.*.capacitance", PRACTICE)),
	 RW_INPUT(.choices = paths, R26("direct below 20 nF, else resistor"))},

	/* the flash-arc */
	{SETTING(surge_current_pk_max, current_pk, "i_s,max", "peak current wanted at most of the stores behind the surge resistor"),
	 BY_RULE, RW_INPUT(RW_OVER_TO(0.0, 1e5), R26("400 A: with 10 kV in the usual 10 to 50 ohm"))},
	{PART(surge_resistance, resistance, "R_s", "surge resistor in the HT, between those stores and the anode"),
	 RW_FORMULAS(RW_IS("if(sum(if(protection.stores.*.path == resistor, protection.stores.*.capacitance, 0)) > 0, "
	                   "ceil_to(1.1 * cases.mains_high * oscillator.anode_voltage / protection.surge_current_pk_max, 5), 0)", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 1e4), R26("none without stores behind it; else holds their current, no-load volts taken as 1.1 of the anode volts; up to 5 ohm"))},
	{ASSUMED(surge_inductance, inductance, "L_s", "inductance of that loop"), BY_RULE,
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), R26("0: the greater current"))},
	{PART(surge_energy_max, energy, "W_s,max", "energy the surge resistor bears in one shot"), RW_INPUT(RW_OVER_TO(0.0, 1e9), .optional = true)},
	{ASSUMED(arc_voltage_low, voltage_dc, "V_arc,1", "drop of an arc in the valve, from"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("20 V"))},
	{ASSUMED(arc_voltage_high, voltage_dc, "V_arc,2", "drop of an arc in the valve, to"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("100 V"))},
	{ASSUMED(clearing_time, time, "t_c", "time from the arc until the supply's current has ended"),
	 RW_FORMULAS(RW_BY_METHOD("time of the anode trip and 10 ms until the arc in the contactor is out", "protection.anode_over_time", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), R26("time of the anode trip, 50 ms, and 10 ms of the contactor"))},
	{ASSUMED(fast_clearing_time, time, "t_f", "the same with a fast device, to compare with"),
	 RW_FORMULAS(RW_IS("digits(0.5 / site.mains_frequency, 3)", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), R26("half a mains cycle: blocked thyristors"))},
	{ASSUMED(arc_energy_guide, energy, "W_guide", "energy of an arc where no maker's figure is given"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), R26("50 J, large valves with an outer anode; fine grids bear less"))},
	{.key = "crowbar", .offset = IN(crowbar), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = "crowbar across the HT, at the valve's end",
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(.choices = crowbars, R26("none"))},
	{ASSUMED(crowbar_time, time, "t_cb", "time from the arc until the crowbar fires"), BY_RULE,
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), R26("10 us"), WITH_CROWBAR)},
	{ASSUMED(crowbar_voltage, voltage_dc, "V_cb", "volts across the fired crowbar"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("50 V"), WITH_CROWBAR)},
	{PART(anode_resistance, resistance, "R_2", "resistor between crowbar and anode"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("30 ohm"), WITH_CROWBAR)},
	{PART(step_resistance, resistance, "R_step", "resistor of a step start, on the direct side: it charges the stores before it is bypassed"),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), .optional = true)},
	{SETTING(step_share, fraction, "", "share of the HT at which it is bypassed"), RW_FORMULAS(RW_IS("0.95", PRACTICE)),
	 RW_INPUT(.min = 0.0, .min_open = true, .max = 1.0, .max_open = true, R26("95 %"))},
	{SETTING(wire_diameter, length, "d_w", "copper wire of the test in place of the valve: diameter"), BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 0.01), R26("0.2546 mm, No. 30 AWG"))},
	{SETTING(wire_length, length, "l_w", "its length"), BY_RULE, RW_INPUT(RW_OVER_TO(0.0, 10.0), R26("150 mm"))},

	/* trips */
	{SETTING(anode_over_trip, current_dc, "I_a>", "anode overcurrent trip, of the anode meter's reading"),
	 RW_FORMULAS(RW_BY_METHOD("1.25 of the greatest reading of any case; where the anode current the valves bear is given, no more than half way from "
	                          "that reading to it",
	                          "meters.anode_reading,meters.anode_place,valve.anode_current_max,valve.parallel_derating,oscillator.valves", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), R26("1.25 of the greatest reading, no more than half way to what the valves bear"))},
	{SETTING(anode_over_time, time, "t_a>", "time in which it trips"), BY_RULE, RW_INPUT(RW_FROM_TO(0.0, 100.0), R26("50 ms"))},
	{SETTING(grid_over_trip, current_dc, "I_g>", "grid overcurrent trip of each valve"),
	 RW_FORMULAS(RW_BY_METHOD("1.2 of the greatest grid current of any case, the empty coil with it; where the unloaded limit is given, no more than half "
	                          "way from that current to it",
	                          "oscillator.grid_current_greatest,valve.grid_current_max_unloaded", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("1.2 of the greatest, no more than half way to the unloaded limit"))},
	{SETTING(grid_over_time, time, "t_g>", "time in which it trips"), BY_RULE, RW_INPUT(RW_FROM_TO(0.0, 100.0), R26("200 ms"))},
	{.key = "grid_under", .offset = IN(grid_under), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = "trip on grid current missing while anode current flows",
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(.choices = fittings, R26("fitted"))},
	{.key = "phase_loss", .offset = IN(phase_loss), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = "relay that sees a mains phase missing",
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(.choices = fittings, R26("fitted"))},
	{SETTING(grid_under_trip, current_dc, "I_g<", "trip of each valve when grid current is under it while anode current flows"),
	 RW_FORMULAS(RW_IS("digits(0.5 * mildest(oscillator.grid_current_dc), 2)", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), R26("half the least normal grid current of any case"), WITH_UNDER)},
	{SETTING(grid_under_time, time, "t_g<", "time in which it trips: longer than the oscillation takes to build up"),
	 RW_FORMULAS(RW_BY_METHOD("200 ms; where the anode does not bear that: half of the time it bears less the clearing, 20 ms at least",
	                          "fault.anode_bears_time,fault.stopped_loss,valve.anode_dissipation_max,protection.clearing_time", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 100.0), R26("200 ms, or half of what the anode bears less the clearing"), WITH_UNDER)},

	/* results */
	{RW_NUMBER_OF(rw_protection_set, voltage_dc, voltage_dc, "V_0", "HT to which unloaded capacitors charge: the crest at no load, mains high"),
	 .role = RW_RESULT, RW_FORMULAS(RW_IS("supply.no_load_voltage_pk", "electrostatics"))},
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

	/* the flash-arc */
	{RESULT(series_resistance, resistance, "R_ser", "resistance in the way of the anode current: surge and anode resistor"),
	 RW_FORMULAS(RW_IS_WHEN(NO_CROWBAR, "protection.surge_resistance", "series-circuit"),
	             RW_IS_WHEN(CROWBAR, "protection.surge_resistance + protection.anode_resistance", "series-circuit"))},
	{RESULT(surge_capacitance, capacitance, "C_s", "stores behind the surge resistor"),
	 RW_FORMULAS(RW_IS("sum(if(protection.stores.*.path == resistor, protection.stores.*.capacitance, 0))", "electrostatics"))},
	{RESULT(direct_capacitance, capacitance, "C_d", "stores that reach an arc past it, blocking or bypass capacitor with them"),
	 RW_FORMULAS(RW_IS("protection.capacitance - " C_S, "electrostatics"))},
	{RESULT(surge_damped, number, "", "1: the stores behind the resistor empty without ringing"), .internal = true,
	 RW_FORMULAS(RW_IS("if(" R_S " > 0, if(" R_S "^2 * " C_S " >= 4 * protection.surge_inductance, 1, 0), 0)", ARC))},
	{RESULT(surge_current_pk, current_pk, "i_s", "peak current of those stores into an arc in the valve, its drop low"), .partial = true,
	 RW_FORMULAS(RW_IS_WHEN("protection.surge_inductance == 0", OVER("arc_voltage_low") " / " R_S, ARC),
	             RW_IS_WHEN("protection.surge_inductance > 0 and protection.surge_damped == 1",
	                        OVER("arc_voltage_low") " * sqrt(" C_S " / protection.surge_inductance) * exp(if(" LOOP " < 1, 0 - 0.5 * "
	                        "ln((1 + sqrt(1 - " LOOP ")) / (1 - sqrt(1 - " LOOP "))) / sqrt(1 - " LOOP "), 0 - 1))", ARC),
	             RW_IS_WHEN("protection.surge_inductance > 0 and protection.surge_damped == 0",
	                        OVER("arc_voltage_low") " * sqrt(" C_S " / protection.surge_inductance) * exp(0 - atan(sqrt(" LOOP " - 1)) / "
	                        "sqrt(" LOOP " - 1))", ARC))},
	{RESULT(surge_energy, energy, "W_s", "energy stored behind the surge resistor: what it must bear"),
	 RW_FORMULAS(RW_IS("0.5 * " C_S " * " V_0 "^2", "electrostatics"))},
	{RESULT(surge_resistor_energy, energy, "W_Rs", "of it in the resistors, the arc's drop low"),
	 RW_FORMULAS(RW_IS("if(" R_S " > 0, 0.5 * " C_S " * " OVER("arc_voltage_low") "^2, 0)", ARC))},
	{RESULT(surge_action, action, "A_s", "action of those stores through the valve, the arc's drop low"), .partial = true,
	 RW_FORMULAS(RW_IS_WHEN(NO_CROWBAR, C_S " * " OVER("arc_voltage_low") "^2 / (2 * " R_S ")", ARC),
	             RW_IS_WHEN(CROWBAR, C_S " * " OVER("arc_voltage_low") "^2 / (2 * " R_S ") * " FIRED("2"), ARC))},
	{RESULT(fault_current_dc, current_dc, "I_f", "direct current of the supply into an arc, mains high: at most, from the first moment"), .by = RW_BY_ESTIMATE,
	 .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS("1 / (1 / supply.fault_current_dc + protection.surge_resistance / (" SOURCE " * supply.nominal_no_load_voltage_dc * cases.mains_high))", ARC))},
	{RESULT(surge_follow_energy, energy, "W_Rf", "energy in the surge resistor by that current until cleared"),
	 RW_FORMULAS(RW_IS("protection.surge_resistance * protection.fault_current_dc^2 * protection.clearing_time", ARC))},
	{RESULT(direct_energy, energy, "W_d", "energy of the stores past the resistor: all of it goes into the arc"),
	 RW_FORMULAS(RW_IS("0.5 * protection.direct_capacitance * " V_0 "^2", "electrostatics"))},
	{RESULT(arc_capacitor_energy_low, energy, "W_C,1", "capacitors' part of a flash-arc's energy, its drop low"), CAPACITOR("arc_voltage_low")},
	{RESULT(arc_capacitor_energy_high, energy, "W_C,2", "capacitors' part of a flash-arc's energy, its drop high"), CAPACITOR("arc_voltage_high")},
	{RESULT(follow_on_energy_low, energy, "W_f,1", "supply's part of a flash-arc's energy until cleared, its drop low"),
	 FOLLOW_ON("arc_voltage_low", "clearing_time")},
	{RESULT(follow_on_energy_high, energy, "W_f,2", "supply's part of a flash-arc's energy until cleared, its drop high"),
	 FOLLOW_ON("arc_voltage_high", "clearing_time")},
	{RESULT(follow_on_energy_fast, energy, "W_f,f", "supply's part with the fast device, its drop high"), FOLLOW_ON("arc_voltage_high", "fast_clearing_time")},
	{RESULT(follow_on_action, action, "A_f", "action of the supply's current through the valve"),
	 RW_FORMULAS(RW_IS_WHEN(NO_CROWBAR, "protection.fault_current_dc^2 * protection.clearing_time", ARC),
	             RW_IS_WHEN(CROWBAR, "protection.fault_current_dc^2 * min(protection.crowbar_time, protection.clearing_time)", ARC))},
	{RESULT(arc_energy, energy, "W_arc", "energy of a flash-arc, capacitors and supply together, the worse of both drops"), .by = RW_BY_ESTIMATE, .uncertainty = 0.5,
	 RW_FORMULAS(RW_IS("max(protection.arc_capacitor_energy_low + protection.follow_on_energy_low, "
	                   "protection.arc_capacitor_energy_high + protection.follow_on_energy_high)", ARC))},
	{RESULT(arc_follow_share, fraction, "w_f", "share of the supply in it: over a half, the clearing time decides"),
	 RW_FORMULAS(RW_IS("max(protection.follow_on_energy_low, protection.follow_on_energy_high) / protection.arc_energy", ARC))},
	{RESULT(clearing_time_guide, time, "t_guide", "time in which the supply must clear for the guide energy, were there no crowbar"),
	 RW_FORMULAS(RW_IS("max(protection.arc_energy_guide - protection.arc_capacitor_energy_high, 0) / "
	                   "(protection.arc_voltage_high * protection.fault_current_dc)", ARC))},
	{RESULT(crowbar_charge, charge, "q_cb", "charge of the stores through the valve before the crowbar fires"), .partial = true,
	 RW_FORMULAS(RW_IS(C_S " * " OVER("arc_voltage_low") " * " FIRED("1"), ARC))},
	{RESULT(crowbar_current_pk, current_pk, "i_cb", "peak current of the stores in the crowbar"), .partial = true,
	 RW_FORMULAS(RW_IS("if(" C_S " > 0, max(" V_0 " - protection.crowbar_charge / max(" C_S ", 1e-12 * protection.capacitance) - protection.crowbar_voltage, 0) / "
	                   "protection.surge_resistance, 0)", ARC))},
	{RESULT(crowbar_energy, energy, "W_cb", "energy of the stores in the crowbar"), .partial = true,
	 RW_FORMULAS(RW_IS("if(" C_S " > 0, protection.crowbar_voltage * " C_S " * max(" V_0 " - protection.crowbar_charge / "
	                   "max(" C_S ", 1e-12 * protection.capacitance) - protection.crowbar_voltage, 0), 0)", ARC))},
	{RESULT(step_current_pk, current_pk, "i_step", "peak current of a step start, mains high"), .partial = true,
	 RW_FORMULAS(RW_IS(V_0 " / protection.step_resistance", "electrostatics"))},
	{RESULT(step_time, time, "t_step", "time until it may be bypassed"), .partial = true,
	 RW_FORMULAS(RW_IS("0 - protection.step_resistance * protection.capacitance * ln(1 - protection.step_share)", "electrostatics"))},
	{RESULT(step_energy, energy, "W_step", "energy in its resistor until then"), .partial = true,
	 RW_FORMULAS(RW_IS("0.5 * protection.capacitance * " V_0 "^2 * (1 - (1 - protection.step_share)^2)", "electrostatics"))},
	{RESULT(step_voltage, voltage_dc, "", "volts across it then: the step of the bypass"), .partial = true,
	 RW_FORMULAS(RW_IS(V_0 " * (1 - protection.step_share)", "electrostatics"))},
	{RESULT(wire_melt_energy, energy, "W_w", "energy that melts the copper wire of the test"),
	 RW_FORMULAS(RW_BY_METHOD("8960 kg/m3 and 0.665 MJ/kg from 20 degC to melted, times its volume", "protection.wire_diameter,protection.wire_length", WIRE))},
	{RESULT(wire_melt_action, action, "A_w", "action that melts it"),
	 RW_FORMULAS(RW_BY_METHOD("Onderdonk: circular mils squared, times log10(1 + 1043/274)/33", "protection.wire_diameter", WIRE))},
	{RESULT(wire_share, number, "A/A_w", "action of stores and supply over what melts the wire; over 1 it melts"), .by = RW_BY_ESTIMATE, .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS_WHEN(R_S " > 0", "(protection.surge_action + protection.follow_on_action) / protection.wire_melt_action", ARC),
	             RW_IS_WHEN(R_S " == 0", "protection.follow_on_action / protection.wire_melt_action", ARC))},

	/* trips */
	{RESULT(anode_over_clearance, fraction, "", "anode overcurrent trip over the greatest normal reading, less 1"), .partial = true,
	 RW_FORMULAS(RW_IS("protection.anode_over_trip / worst(meters.anode_reading) - 1", "definition"))},
	{RESULT(grid_over_clearance, fraction, "", "grid overcurrent trip over the greatest normal grid current, less 1"), .partial = true,
	 RW_FORMULAS(RW_IS("protection.grid_over_trip / worst(oscillator.grid_current_greatest) - 1", "definition"))},
	{RESULT(grid_under_clearance, fraction, "", "1 less grid-under trip over the least normal grid current"), .partial = true,
	 RW_FORMULAS(RW_IS("1 - protection.grid_under_trip / mildest(oscillator.grid_current_dc)", "definition"))},
	{RESULT(anode_over_reserve, fraction, "", "1 less anode overcurrent trip over what the valves bear"), .partial = true,
	 RW_FORMULAS(RW_IS("1 - protection.anode_over_trip / (" METERED " * valve.parallel_derating * valve.anode_current_max)", "definition"))},
	{RESULT(grid_over_reserve, fraction, "", "1 less grid overcurrent trip over the unloaded limit"), .partial = true,
	 RW_FORMULAS(RW_IS("1 - protection.grid_over_trip / valve.grid_current_max_unloaded", "definition"))},
	{RESULT(stopped_over_share, number, "", "anode meter's reading then over its trip; over 1 that trip sees it beside the grid-under trip"), .partial = true,
	 RW_FORMULAS(RW_IS_WHEN("fault.current_limited == 0", METERED " * fault.stopped_current_low / oscillator.valves / protection.anode_over_trip", "definition"),
	             RW_IS_WHEN("fault.current_limited == 1", METERED " * min(fault.stopped_current_low, fault.limited_current_dc) / oscillator.valves / "
	                        "protection.anode_over_trip", "definition"))},
	{RESULT(stopped_energy, energy, "W_a0", "energy into each anode until the grid-under trip has cleared it, mains high"), .partial = true, .uncertainty = 0.15,
	 RW_FORMULAS(RW_IS("fault.stopped_loss * (protection.grid_under_time + protection.clearing_time)", "energy"))},
	{RW_NUMBER_OF(rw_protection_case, surge_loss, power, "P_s", "loss in surge and anode resistor under load"), .role = RW_RESULT, .scope = RW_PER_CASE,
	 RW_FORMULAS(RW_IS(R_S " * (oscillator.valves * oscillator.anode_current_dc)^2", "energy"))},
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
	{.key = "protection.arc_energy", .figure = "protection.arc_energy", .limit = "valve.flash_arc_energy_max", .sense = RW_AT_MOST,
	 .needs = "valve.flash_arc_energy_max", .text = "energy of a flash-arc, capacitors and supply", .source = "valve-data",
	 .remedy = "'arc_follow_share' tells which part decides: over a half, a faster clearing or a crowbar; else less capacitance, or more of it behind a "
	     "surge resistor"},
	{.key = "protection.surge_resistance", .figure = R_S, .limit = V_0 " / protection.surge_current_pk_max", .sense = RW_AT_LEAST,
	 .when = C_S " > 0", .text = "resistance between HT stores and valve, for a flash-arc's peak", .source = PRACTICE,
	 .remedy = "a larger surge resistor"},
	{.key = "protection.surge_energy", .figure = "protection.surge_energy + protection.surge_follow_energy", .limit = "protection.surge_energy_max",
	 .sense = RW_AT_MOST, .needs = "protection.surge_energy_max", .text = "energy in the surge resistor until the supply has cleared",
	 .source = "generator-file", .remedy = "a resistor that bears more, or a faster clearing"},
	{.key = "protection.anode_over", .figure = "meters.anode_reading", .limit = "protection.anode_over_trip", .sense = RW_AT_MOST,
	 .text = "anode meter's reading under its trip", .source = PRACTICE,
	 .remedy = "a higher trip; where the valves do not bear it, a meter that sees the anode current alone, or less anode current"},
	{.key = "protection.anode_over_rating", .figure = "protection.anode_over_trip", .limit = METERED " * valve.parallel_derating * valve.anode_current_max", .sense = RW_AT_MOST,
	 .needs = "valve.anode_current_max", .text = "anode overcurrent trip under what the valves bear", .source = "valve-data", .remedy = "a lower trip"},
	{.key = "protection.grid_over", .figure = "oscillator.grid_current_greatest", .limit = "protection.grid_over_trip", .sense = RW_AT_MOST,
	 .text = "grid current under its trip", .source = PRACTICE,
	 .remedy = "a higher trip; where the unloaded limit leaves no room, less grid current with the coil empty"},
	{.key = "protection.grid_over_rating", .figure = "protection.grid_over_trip", .limit = "valve.grid_current_max_unloaded", .sense = RW_AT_MOST,
	 .needs = "valve.grid_current_max_unloaded", .text = "grid overcurrent trip under the unloaded limit", .source = "valve-data", .remedy = "a lower trip"},
	{.key = "protection.grid_under", .figure = "oscillator.grid_current_dc", .limit = "protection.grid_under_trip", .sense = RW_AT_LEAST,
	 .when = "protection.grid_under == fitted",
	 .text = "grid current over the grid-under trip", .source = PRACTICE, .remedy = "a lower trip"},
};

const rw_room rw_protection_room = {
	.name = "protection", .text = "Stored energy and discharge",
	.in_size = sizeof(rw_protection_in), .set_size = sizeof(rw_protection_set), .case_size = sizeof(rw_protection_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]),
	.lists = lists, .n_lists = (int)(sizeof lists / sizeof lists[0]),
	.limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
