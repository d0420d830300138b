/* Figures of the supply room. */
#include "item/rows.h"
#include "supply/supply.h"

#define IN(member, kind, symbol, text)   RW_NUMBER_OF(rw_supply_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text)  RW_NUMBER_OF(rw_supply_set, member, kind, symbol, text), .role = RW_RESULT
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_supply_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE

#define PRACTICE "rules-of-practice"
#define BRIDGE   "iec-60146"

/* Parts of formulas. */
#define UX        "sqrt(supply.short_circuit_voltage^2 - supply.short_circuit_resistance^2)"
#define RULE_KVA  "ceil_to(supply.rating_factor * supply.secondary_voltage_rms * supply.duty_current_dc, supply.rated_power_step)"
#define FULL_LOAD "(supply.duty_voltage_dc + supply.arms_in_series * supply.diodes_in_series * supply.diode_drop_dc + " \
                  "supply.filter_resistance * supply.duty_current_dc)"
#define TO_STEP(volts) "ceil_to(" volts " - supply.secondary_voltage_step / 2, supply.secondary_voltage_step) + supply.secondary_steps_added * supply.secondary_voltage_step"
#define DROP      "(supply.bridge_share * supply.secondaries * " UX " / sqrt(2) + supply.resistance_factor * supply.secondaries * " \
                  "supply.short_circuit_resistance / supply.voltage_factor)"   /* of V_d0 / (V_2 I_d/S_T) */
#define SHARE     "(supply.duty_current_dc * supply.voltage_factor * " DROP " / supply.rated_power)"
#define KVA_IS    "abs(supply.rated_power - " RULE_KVA ") "
#define HALF      "supply.connection == half_wave"
#define SINGLE    "supply.connection == single_phase"
#define BRIDGES   "supply.connection != half_wave and supply.connection != single_phase"
#define FIRST_END "if(" SINGLE ", 2, if(" HALF ", 1, 0.5))"
#define MODE_1    "supply.commutation_ratio <= " FIRST_END
#define MODE_2    "(" BRIDGES ") and supply.commutation_ratio > 0.5 and supply.commutation_ratio <= sqrt(3) / 2"
#define MODE_3    "(" BRIDGES ") and supply.commutation_ratio > sqrt(3) / 2"
#define BLOCKS    "(" MODE_1 ") or (" MODE_2 ")"   /* the line current is a block with edges of 1 - cos */
#define HALF_2    HALF " and supply.commutation_ratio > 1 and supply.commutation_ratio <= 3 - sqrt(3)"
#define HALF_3    HALF " and supply.commutation_ratio > 3 - sqrt(3)"
#define A         "supply.overlap_delay"
#define U         "supply.overlap_angle"
#define SWING     "(cos(" A ") - cos(" A " + " U "))"
#define P         "(supply.overlap_angle - pi / 6)"
#define ACTIVE    "(supply.output_power + supply.copper_loss + supply.diode_loss)"
#define PHASES    "if(" SINGLE ", 1, sqrt(3))"
#define FUND      "if(" SINGLE ", 2 * sqrt(2) / pi, if(" HALF ", sqrt(6) / (2 * pi), sqrt(6) / pi))"
#define TWO       "supply.secondaries == 2"
#define DELTA_2   "supply.connection == bridge and supply.secondary_winding == delta"
#define EDGES     "((2 + cos(2 * " A " + " U ")) * sin(" U ") - (1 + 2 * cos(" A ") * cos(" A " + " U ")) * " U ") / " SWING "^2"

/* The power controlled. */
#define CYCLE  "supply.ripple_counted == cycle"
#define MEAN   "supply.ripple_counted == mean"
#define RATIO  "supply.control == tap or supply.control == variac"
#define FIRED  "supply.control == primary_thyristor"
#define WIDTH  "(pi / supply.pulses)"
#define CREST  "(supply.no_load_voltage_dc * " WIDTH " / sin(" WIDTH "))"
#define FIRING "settings.firing_angle"
#define SMOOTH_END "min(" FIRING " + " WIDTH ", pi / 2)"
#define ARMS   "(supply.arms_in_series * supply.diodes_in_series * supply.diode_drop_dc)"
#define END    "min(" FIRING " + " WIDTH ", acos(min(" ARMS " / " CREST ", 1)))"
#define SQUARE "(" CREST "^2 * (" SMOOTH_END " - " FIRING " + " WIDTH " + (sin(2 * " SMOOTH_END ") - sin(2 * (" FIRING " - " WIDTH "))) / 2) / (4 * " WIDTH "))"
#define RIPPLED "supply.bridge_current_dc * supply.current_rms / supply.current_dc"
#define RIPPLE_READS "supply.no_load_voltage_dc,supply.arm_drop_dc,supply.diodes_in_series,supply.diode_drop_dc,supply.phase_resistance,supply.phase_reactance," \
                     "settings.firing_angle,protection.bleeder_resistance,oscillator.valves,oscillator.load_resistance,oscillator.grid_swing_pk,oscillator.anode_swing_pk," \
                     "oscillator.grid_leak,valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.worn_perveance,valve.worn_emission,case.is_worn"
#define OVER_CYCLE(what) {.kind = RW_METHOD, .when = CYCLE, .text = (what), .reads = RIPPLE_READS, .source = "mains-cycle"}
#define FILTER_READS "supply.no_load_voltage_dc,supply.voltage_dc,supply.current_dc,supply.filter_inductance,supply.filter_capacitance,supply.ripple_frequency," \
                     "supply.phase_reactance,supply.resistance_factor"
#define FIRED_FILTER {.kind = RW_METHOD, .when = MEAN " and " FIRING " > 0 and supply.filter_inductance > 0", \
	.text = "of the ideal bridge at its angle, each harmonic behind choke and transformer, capacitor and load", \
	.reads = FILTER_READS ",settings.firing_angle", .source = "series-circuit"}
#define ONLY_RATIO RW_IN_KINDS(rw_supply_in, control, 1U << RW_CONTROL_TAP | 1U << RW_CONTROL_VARIAC)
#define ONLY_FIRED RW_IN_KINDS(rw_supply_in, control, 1U << RW_CONTROL_THYRISTOR)

static const char *const controls[] = {"none", "tap", "primary_thyristor", "variac", "star_delta", NULL};
static const char *const counts[] = {"mean", "cycle", NULL};
static const char *const bases[] = {"no_load", "full_load", NULL};
static const char *const connections[] = {"bridge", "twelve_series", "twelve_parallel", "half_wave", "single_phase", NULL};
static const char *const windings[] = {"star", "delta", NULL};

#define CONNECTED(bridge, series, parallel, half, single) \
	RW_FORMULAS(RW_IS_WHEN("supply.connection == bridge", bridge, BRIDGE), RW_IS_WHEN("supply.connection == twelve_series", series, BRIDGE), \
	            RW_IS_WHEN("supply.connection == twelve_parallel", parallel, BRIDGE), RW_IS_WHEN(HALF, half, BRIDGE), \
	            RW_IS_WHEN(SINGLE, single, BRIDGE))
#define CHOICE(member, names, text_, rule_, from_, only_) \
	{.key = #member, .offset = offsetof(rw_supply_in, member), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = (text_), \
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, from_)), RW_INPUT(.choices = names, RW_RULE("R22", rule_, from_), .only = only_)}
#define UZ_LEAST "supply.short_circuit_voltage * (1 - supply.impedance_tolerance)"
#define X_LEAST  "(sqrt((" UZ_LEAST ")^2 - supply.short_circuit_resistance^2) + supply.rated_power / site.fault_level_greatest)"
#define DECAY    "(2 * site.mains_frequency * ln(min(supply.fault_peak_factor, 1.9999999999) - 1))"
#define ARM      "supply.diode_inverse_voltage_pk"
#define OTHERS   "(supply.diodes_in_series - 1)"
#define HIGH     "(1 + supply.sharing_tolerance)"
#define LOW      "(1 - supply.sharing_tolerance)"
#define OVER     "((supply.diode_sharing - 1) * sqrt(2) * supply.secondary_voltage_rms * cases.mains_high)"
#define LIMIT(member, of) \
	{SET(member, fraction, "", "limit at the site, of the demand current: " of), .partial = true, \
	 RW_FORMULAS(RW_BY_METHOD("row of the table for the site's ratio of short-circuit current to demand current", \
	                          "supply.site_ratio,site.harmonic_limits", "ieee-519"))}
#define SHAPE "supply.connection,supply.commutation_ratio,supply.overlap_angle,supply.overlap_delay"
#define OF_MAINS SHAPE ",supply.bridge_current_dc,supply.secondary_voltage_rms,site.mains_voltage_rms,settings.ht_ratio,settings.firing_angle"
#define ORDER_TEXT "harmonic of the line current's wave, piece by piece; fired at an angle: of its smooth blocks"
#define PULSE_TEXT "harmonic of the current's pulse in the line, times what the overlap at the angle leaves of a plain block's"
#define ORDER(n, name) \
	{CASE(harmonic_##n##_rms, current_rms, "I_1(" #n ")", name " harmonic of the primary's line current"), \
	 RW_FORMULAS({.kind = RW_METHOD, .when = MEAN, .text = ORDER_TEXT, .reads = OF_MAINS, .source = BRIDGE}, \
	             {.kind = RW_METHOD, .when = CYCLE, .text = PULSE_TEXT, .reads = OF_MAINS "," RIPPLE_READS, .source = BRIDGE})}
#define GROUP(n, name) \
	{CASE(group_##n##_rms, current_rms, "", "greatest harmonic of the primary's line current, " name "; an even one counts four times"), \
	 .internal = true, \
	 RW_FORMULAS({.kind = RW_METHOD, .when = MEAN, .text = ORDER_TEXT, .reads = OF_MAINS, .source = "ieee-519"}, \
	             {.kind = RW_METHOD, .when = CYCLE, .text = PULSE_TEXT, .reads = OF_MAINS "," RIPPLE_READS, .source = "ieee-519"})}
#define GROUP_LIMIT(n, of) \
	{.key = "supply.harmonics_from_" #n, .figure = "supply.group_" #n "_rms", .limit = "supply.harmonic_limit_" #n " * supply.demand_current_rms", \
	 .sense = RW_AT_MOST, .when = "site.harmonic_limits == ieee_519", .needs = "site.harmonic_limits", \
	 .text = "greatest line harmonic, " of " (even ones times 4), at the site", .source = "ieee-519", .remedy = harmonics_remedy}
#define KINDS(mask) RW_IN_KINDS(rw_supply_in, connection, mask)

static const rw_item items[] = {
	/* what it is for */
	{IN(duty_voltage_dc, voltage_dc, "V_duty", "direct volts wanted of the supply at nominal mains"), .role = RW_WANT,
	 RW_FORMULAS(RW_IS("digits(oscillator.anode_voltage + protection.series_resistance * supply.duty_current_dc, 4)", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("R9", "the operating point's anode volts, and the drop in surge and anode resistor, to four digits", PRACTICE))},
	{IN(duty_current_dc, current_dc, "I_duty", "direct current wanted of the supply at those volts"), .role = RW_WANT,
	 RW_FORMULAS(RW_BY_METHOD("direct anode current of the operating point the set is sized on, with the bleeder's least current, three digits",
	                          "generator.frequency,generator.design_job,generator.design_load,oscillator.anode_voltage,"
	                                      "oscillator.half_angle,oscillator.anode_voltage_min,"
	                          "valve.*,tank.inductance,tank.capacitance,tank.inductor_q,work.heat_power,work.loads.*,leads.inductance,"
	                                      "leads.resistance,output.wanted_current_rms,output.wanted_resistance,protection.bleeder_current",
	                          PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R9", "the operating point's anode current and the bleeder's, to three digits", PRACTICE))},
	{.key = "duty_basis", .offset = offsetof(rw_supply_in, duty_basis), .type = RW_CHOICE, .role = RW_WANT, .symbol = "",
	 .text = "what the duty's volts are: at no load or at full load",
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(.choices = bases, RW_RULE("R9", "full_load", PRACTICE))},

	/* how the power is set */
	{.key = "control", .offset = offsetof(rw_supply_in, control), .type = RW_CHOICE, .role = RW_PART, .symbol = "",
	 .text = "how the power is set: by the volts of the transformer, or by primary thyristors",
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(.choices = controls, RW_RULE("R23", "none", PRACTICE))},
	{.key = "ripple_counted", .offset = offsetof(rw_supply_in, ripple_counted), .type = RW_CHOICE, .role = RW_ASSUMED, .symbol = "",
	 .text = "averages: of smooth HT, or over the mains cycle with its ripple",
	 RW_FORMULAS(RW_BY_METHOD("cycle with primary thyristors, no filter and no resistor in the HT, else mean",
	                         "supply.control,supply.filter_inductance,protection.series_resistance", "mains-cycle")),
	 RW_INPUT(.choices = counts, RW_RULE("R23", "cycle with primary thyristors, no filter and no resistor in the HT, else mean", "mains-cycle"))},
	{IN(ratio_low, fraction, "", "least HT ratio of tap or variac"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("supply.control == tap", "0.5", PRACTICE), RW_IS_WHEN("supply.control == variac", "0.1", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true, .only = ONLY_RATIO, RW_RULE("R23", "taps 50 %, variac 10 %", PRACTICE))},
	{IN(ratio_step, fraction, "", "step of the HT ratio, from 100 % down"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("supply.control == tap", "0.05", PRACTICE), RW_IS_WHEN("supply.control == variac", "0.005", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 0.9), .optional = true, .only = ONLY_RATIO, RW_RULE("R23", "taps 5 %, variac 0.5 %", PRACTICE))},
	{IN(firing_angle_min, angle, "", "least firing angle"), .role = RW_PART, RW_FORMULAS(RW_IS_WHEN(FIRED, "0", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 2.0943951023931957), .optional = true, .only = ONLY_FIRED, RW_RULE("R23", "0", PRACTICE))},
	{IN(firing_angle_max, angle, "", "greatest firing angle"), .role = RW_PART, RW_FORMULAS(RW_IS_WHEN(FIRED, "105 * pi / 180", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 2.0943951023931957), .optional = true, .only = ONLY_FIRED, RW_RULE("R23", "105 degrees: 3 % of the volts are left", PRACTICE))},
	{IN(firing_angle_step, angle, "", "step of the firing angle, from the least up"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN(FIRED, "0.5 * pi / 180", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 0.5235987755982989), .optional = true, .only = ONLY_FIRED, RW_RULE("R23", "0.5 degrees", PRACTICE))},

	/* transformer */
	CHOICE(connection, connections, "connection of the rectifier", "bridge: six pulses from three phases", PRACTICE, {0}),
	CHOICE(primary_winding, windings, "winding of the primary", "delta", PRACTICE, KINDS(15U)),
	CHOICE(secondary_winding, windings, "winding of the bridge's secondary", "star", PRACTICE, KINDS(1U)),
	{IN(secondary_voltage_rms, voltage_rms, "V_2", "secondary line volts, no load, nominal mains; of each secondary; single phase: of the winding"),
	 .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("supply.duty_basis == no_load", TO_STEP("supply.duty_voltage_dc / supply.voltage_factor"), BRIDGE),
	             RW_IS_WHEN("supply.duty_basis == full_load and " KVA_IS "< 0.5 * supply.rated_power_step",
	                        TO_STEP(FULL_LOAD " / supply.voltage_factor / (1 - " DROP " / supply.rating_factor)"), BRIDGE),
	             RW_IS_WHEN("supply.duty_basis == full_load and " KVA_IS ">= 0.5 * supply.rated_power_step",
	                        TO_STEP("2 * " FULL_LOAD " / (supply.voltage_factor + sqrt(supply.voltage_factor^2 - 4 * " SHARE " * " FULL_LOAD "))"), BRIDGE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("R9", "gives the duty's volts after overlap, copper and diodes; to the nearest step", PRACTICE))},
	{IN(secondary_voltage_step, voltage_rms, "", "step to which the secondary volts are rounded"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R9", "50 V", PRACTICE))},
	{IN(secondary_steps_added, count, "", "steps of the secondary beyond what the duty needs"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("raised one by one, from 0 to 10, until the frozen set gives the heat wanted at nominal mains",
	                          "work.heat_power,work.loads.*,generator.*,oscillator.anode_voltage,oscillator.grid_leak,tank.capacitance,"
	                                      "tank.inductance,tank.inductor_q,tank.loss_tangent,tank.grid_mutual,tank.grid_inductance,"
	                          "tank.blocking_capacitance,tank.choke_inductance,tank.bypass_capacitance,tank.divider_anode_capacitance,"
	                          "tank.divider_grid_capacitance,tank.grid_coupling,tank.grid_choke_inductance,tank.secondary_inductance,"
	                          "tank.secondary_mutual,tank.secondary_capacitance,tank.secondary_q,tank.feedback,tank.coupling,tank.feed,"
	                          "tank.arrangement,protection.bleeder_resistance,protection.series_resistance,work.empty,valve.*,"
	                                      "leads.inductance,leads.resistance,output.wanted_current_rms,output.wanted_resistance,"
	                          "supply.duty_voltage_dc,supply.duty_current_dc,supply.secondary_voltage_step,supply.short_circuit_voltage,"
	                                      "supply.short_circuit_resistance,supply.diode_drop_dc,"
	                          "supply.diode_voltage_pk,supply.diode_margin,supply.connection,supply.filter_resistance,cases.*",
	                          PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 10.0), RW_RULE("R9", "0, raised until the frozen set gives the heat wanted", PRACTICE))},
	{IN(rated_power, apparent_power, "S_T", "rating of the transformer on its no-load volts: its secondaries together"), .role = RW_PART,
	 RW_FORMULAS(RW_IS(RULE_KVA, BRIDGE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e8), RW_RULE("R9", "no-load volts times line currents of the duty; up to the step", PRACTICE))},
	{IN(rated_power_step, apparent_power, "", "step to which the rating is rounded up"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1e7), RW_RULE("R9", "100 VA", PRACTICE))},
	{IN(short_circuit_voltage, fraction, "u_z", "short-circuit volts of the transformer, on its rating"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("0.05", PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 0.3), RW_RULE("R9", "5 %", PRACTICE))},
	{IN(short_circuit_resistance, fraction, "u_r", "resistive part of the short-circuit volts"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("0.015", PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 0.3), RW_RULE("R9", "1.5 %", PRACTICE))},
	{IN(iron_loss_fraction, fraction, "p_Fe", "iron loss over the rating"), .role = RW_ASSUMED, .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS("0.005", PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 0.1), RW_RULE("R9", "0.5 %", PRACTICE))},

	/* rectifier */
	{IN(diode_voltage_pk, voltage_pk, "V_RRM", "repetitive reverse volts of one diode"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("R9", "1.2 kV", PRACTICE))},
	{IN(diode_margin, number, "k_D", "diodes' reverse volts over the arm's inverse volts"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_IS("2.5", PRACTICE)), RW_INPUT(RW_FROM_TO(1.0, 10.0), RW_RULE("R9", "2.5", PRACTICE))},
	{IN(diode_drop_dc, voltage_dc, "V_F", "forward volts of one diode"), .role = RW_ASSUMED, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 100.0), RW_RULE("R9", "1 V", PRACTICE))},
	{IN(current_limit_dc, current_dc, "I_lim", "direct current to which an electronic or saturating limit holds the supply"), .role = RW_SETTING,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), .optional = true)},
	{.key = "diodes_in_series", .offset = offsetof(rw_supply_in, diodes_in_series), .type = RW_INTEGER, .role = RW_PART, .kind = &rw_kind_count,
	 .symbol = "n_D", .text = "diodes in series in each arm",
	 RW_FORMULAS(RW_IS("max(ceil_to(supply.diode_margin * sqrt(2) * supply.secondary_voltage_rms * cases.mains_high / "
	     "supply.diode_voltage_pk, 1), 1)", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(1.0, 1000.0), RW_RULE("R9", "2.5 times the inverse volts at mains high over 1.2 kV diodes", PRACTICE))},

	{IN(diode_sharing, number, "k_U", "volts of the worst diode of an arm over an equal share, aimed at"), .role = RW_WANT,
	 RW_FORMULAS(RW_IS("1.15", PRACTICE)), RW_INPUT(RW_OVER_TO(1.0, 5.0), RW_RULE("R22", "1.15, by resistors and capacitors across each", PRACTICE))},
	{IN(diode_leakage_spread, current_dc, "\u0394I_R", "reverse current of its diodes, greatest less least"), .role = RW_ASSUMED, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R22", "1 mA, hot", PRACTICE))},
	{IN(diode_charge_spread, charge, "\u0394Q_rr", "recovered charge of its diodes, greatest less least"), .role = RW_ASSUMED, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R22", "1 uC", PRACTICE))},
	{IN(sharing_resistance, resistance, "R_D", "resistor across each diode"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("e24(" OVER " / (max(" OTHERS ", 1) * supply.diode_leakage_spread))", "diode-strings")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e12), RW_RULE("R22", "takes the spread of the reverse currents, E24", "diode-strings"))},
	{IN(sharing_capacitance, capacitance, "C_D", "capacitor across each diode"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("e24(max(" OTHERS ", 1) * supply.diode_charge_spread / " OVER ")", "diode-strings")),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R22", "takes the spread of the recovered charges, E24", "diode-strings"))},
	{IN(sharing_tolerance, fraction, "", "tolerance of these resistors and capacitors"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_IS("0.05", PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R22", "5 %", PRACTICE))},

	/* filter */
	{IN(filter_inductance, inductance, "L_f", "choke behind the rectifier"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R22", "0: none", PRACTICE))},
	{IN(filter_resistance, resistance, "R_f", "its resistance"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 1e5), RW_RULE("R22", "0", PRACTICE))},
	{IN(filter_capacitance, capacitance, "C_f", "capacitor behind that choke; to be listed in protection.stores too"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 1.0), RW_RULE("R22", "0: none", PRACTICE))},

	/* faults and site */
	{IN(diode_current_mean_max, current_dc, "I_FAV", "greatest mean forward current of one diode"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), .optional = true)},
	{IN(diode_surge_i2t, action, "I^2t", "surge one diode bears until the fault is cleared"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1e9), .optional = true)},
	{IN(fault_clearing_time, time, "t_k", "time in which a dead short of the direct side is cleared"), .role = RW_ASSUMED, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 10.0), RW_RULE("R22", "100 ms: relay and contactor", PRACTICE))},
	{IN(impedance_tolerance, fraction, "", "how far the impedance may be from the one ordered"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_IS("0.1", "transformer-limits")), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R22", "10 %", "transformer-limits"))},
	{IN(demand_current_rms, current_rms, "I_L", "mains line current the site's harmonic limits are a share of"), .role = RW_SETTING,
	 RW_FORMULAS(RW_IS("supply.rated_primary_current_rms", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), RW_RULE("R22", "the set's own rated primary current, as if it were alone at the site", PRACTICE))},

	/* of the connection */
	{SET(voltage_factor, number, "k_V", "no-load direct volts over secondary volts"),
	 CONNECTED("3 * sqrt(2) / pi", "6 * sqrt(2) / pi", "3 * sqrt(2) / pi", "3 * sqrt(2) / (2 * pi)", "2 * sqrt(2) / pi")},
	{SET(rating_factor, number, "k_S", "VA of the secondaries over their volts times the direct current"),
	 CONNECTED("sqrt(2)", "2 * sqrt(2)", "sqrt(2)", "1", "1")},
	{SET(resistance_factor, number, "k_R", "drop in the copper over the direct current in one phase's resistance"), .internal = true,
	 CONNECTED("2", "4", "1", "1", "1")},
	{SET(bridge_share, number, "", "direct current of one bridge over all of it"), .internal = true, CONNECTED("1", "1", "0.5", "1", "1")},
	{SET(pulses, count, "p", "pulses of the direct volts in a cycle of the mains"), CONNECTED("6", "12", "12", "3", "2")},
	{SET(secondaries, count, "", "secondaries of the transformer"), .internal = true, CONNECTED("1", "2", "2", "1", "1")},
	{SET(arms_in_series, count, "", "arms in the path of the direct current"), .internal = true, CONNECTED("2", "4", "2", "1", "2")},
	{SET(ripple_frequency, frequency, "f_r", "ripple frequency of the direct volts"),
	 RW_FORMULAS(RW_IS("supply.pulses * site.mains_frequency", BRIDGE))},

	/* the set */
	{SET(turns_ratio, number, "n_T", "turns of the primary over those of the secondary; of two secondaries: the star"),
	 RW_FORMULAS(RW_IS("site.mains_voltage_rms / supply.secondary_voltage_rms * if(" SINGLE ", 1, if(supply.primary_winding == star, 1 / sqrt(3), 1) * "
	                   "if(" DELTA_2 ", 1, sqrt(3)))", "iec-60076"))},
	{SET(primary_rating, apparent_power, "S_1w", "rating of the primary, on its volts"),
	 RW_FORMULAS(RW_IS("supply.rated_power * if(" TWO ", cos(pi / 12), if(" HALF ", sqrt(2 / 3), 1))", BRIDGE))},
	{SET(winding_rating, apparent_power, "S_w", "half the sum of all windings' ratings: the size of the transformer"),
	 RW_FORMULAS(RW_IS("0.5 * (supply.primary_rating + supply.rated_power)", BRIDGE))},
	{SET(rated_secondary_current_rms, current_rms, "I_2n", "rated line current of one secondary"),
	 RW_FORMULAS(RW_IS("supply.rated_power / (supply.secondaries * " PHASES " * supply.secondary_voltage_rms)", "iec-60076"))},
	{SET(rated_primary_current_rms, current_rms, "I_1n", "rated line current of the primary"),
	 RW_FORMULAS(RW_IS("supply.primary_rating / (" PHASES " * site.mains_voltage_rms)", "iec-60076"))},
	{SET(nominal_no_load_voltage_dc, voltage_dc, "V_d0n", "no-load direct volts at nominal mains"),
	 RW_FORMULAS(RW_IS("supply.voltage_factor * supply.secondary_voltage_rms", BRIDGE))},
	{SET(no_load_voltage_pk, voltage_pk, "V_d0pk", "greatest direct volts at no load, mains high"),
	 RW_FORMULAS(RW_IS("sqrt(2) * supply.secondary_voltage_rms * cases.mains_high * if(supply.connection == twelve_series, 2 * cos(pi / 12), "
	                   "if(" HALF ", 1 / sqrt(3), 1))", BRIDGE))},
	{SET(phase_reactance, resistance, "X_T", "short-circuit reactance a phase, on the secondary"),
	 RW_FORMULAS(RW_IS(UX " * supply.secondaries * supply.secondary_voltage_rms^2 / supply.rated_power", "iec-60076"))},
	{SET(phase_resistance, resistance, "R_T", "short-circuit resistance a phase, on the secondary"),
	 RW_FORMULAS(RW_IS("supply.short_circuit_resistance * supply.secondaries * supply.secondary_voltage_rms^2 / supply.rated_power", "iec-60076"))},
	{SET(duty_secondary_current_rms, current_rms, "I_2duty", "secondary line current of the duty, overlap left out"),
	 RW_FORMULAS(RW_IS("supply.rating_factor * supply.duty_current_dc / (supply.secondaries * " PHASES ")", BRIDGE))},
	{SET(diode_inverse_voltage_pk, voltage_pk, "V_inv", "inverse volts of one arm at no load, mains high"),
	 RW_FORMULAS(RW_IS("sqrt(2) * supply.secondary_voltage_rms * cases.mains_high", BRIDGE))},
	{SET(iron_loss, power, "P_Fe", "iron loss of the transformer"),
	    RW_FORMULAS(RW_IS("supply.iron_loss_fraction * supply.rated_power", PRACTICE))},
	{SET(short_circuit_current_rms, current_rms, "I_k", "short-circuit line current on the secondary, stiff mains"),
	 RW_FORMULAS(RW_IS("supply.rated_secondary_current_rms / supply.short_circuit_voltage", "iec-60909"))},
	{SET(short_circuit_current_pk, current_pk, "i_p", "first peak of that current, with its offset"),
	 RW_FORMULAS(RW_IS("(1.02 + 0.98 * exp(-3 * supply.short_circuit_resistance / " UX ")) * sqrt(2) * supply.short_circuit_current_rms",
	     "iec-60909"))},

	{SET(fault_current_rms, current_rms, "I_kmax", "greatest short-circuit line current on the secondary: greatest fault level, least impedance, mains high"),
	 RW_FORMULAS(RW_IS("cases.mains_high * supply.rated_secondary_current_rms / (" UZ_LEAST " + supply.rated_power / site.fault_level_greatest)", "iec-60909"))},
	{SET(fault_peak_factor, number, "\u03ba", "first peak of that current over its steady peak"),
	 RW_FORMULAS(RW_IS("1.02 + 0.98 * exp(-3 * supply.short_circuit_resistance / " X_LEAST ")", "iec-60909"))},
	{SET(fault_current_pk, current_pk, "i_pmax", "first peak of that current"),
	 RW_FORMULAS(RW_IS("supply.fault_peak_factor * sqrt(2) * supply.fault_current_rms", "iec-60909"))},
	{SET(fault_current_least_rms, current_rms, "I_kmin", "least short-circuit line current on the secondary: least fault level, greatest impedance, mains low"),
	 .partial = true,
	 RW_FORMULAS(RW_IS("cases.mains_low * supply.rated_secondary_current_rms / (supply.short_circuit_voltage * (1 + supply.impedance_tolerance) + "
	                   "supply.rated_power / site.fault_level_least)", "iec-60909"))},
	{SET(fault_current_dc, current_dc, "I_dk", "mean direct current into a dead short, the reactances alone, mains high"),
	 RW_FORMULAS(RW_IS("cases.mains_high * supply.secondary_voltage_rms / (sqrt(2) * supply.bridge_share) * if(" SINGLE ", 2, if(" HALF ", 2 * sqrt(3), 2 / sqrt(3))) / "
	                   "(" X_LEAST " * supply.secondaries * supply.secondary_voltage_rms^2 / supply.rated_power)", BRIDGE))},
	{SET(fault_primary_current_rms, current_rms, "I_1kmax", "mains line current with all secondaries shorted"),
	 RW_FORMULAS(RW_IS("supply.fault_current_rms * supply.secondaries * supply.secondary_voltage_rms / site.mains_voltage_rms", "iec-60909"))},
	{SET(fault_diode_i2t, action, "", "surge in one arm until a dead short is cleared, at most: all of its line's, with the first offset"),
	 RW_FORMULAS(RW_IS_WHEN("supply.connection == half_wave", "3 * supply.fault_current_rms^2 * supply.fault_clearing_time", "iec-60909"),
	             RW_IS_WHEN("supply.connection != half_wave", "(1 + if(supply.short_circuit_resistance > 0, (exp(2 * " DECAY " * supply.fault_clearing_time) - 1) / "
	                        "(" DECAY " * supply.fault_clearing_time), 2)) * supply.fault_current_rms^2 * supply.fault_clearing_time", "iec-60909"))},
	{SET(diode_share_voltage_pk, voltage_pk, "V_inv1", "inverse volts of the worst diode of an arm at no load, mains high"),
	 RW_FORMULAS(RW_IS("(" ARM " + " OTHERS " * max(supply.sharing_resistance * " LOW " * supply.diode_leakage_spread, supply.diode_charge_spread / "
	                   "(supply.sharing_capacitance * " HIGH "))) / (1 + " OTHERS " * " LOW " / " HIGH ")", "diode-strings"))},
	{SET(sharing_loss, power, "P_R", "loss in one resistor across a diode at no load, mains high"),
	 RW_FORMULAS(RW_IS("if(" SINGLE ", 0.25, 1 / 3 + sqrt(3) / (8 * pi)) * (" ARM " / supply.diodes_in_series)^2 / supply.sharing_resistance", "diode-strings"))},
	{SET(site_ratio, number, "I_sc/I_L", "least short-circuit current of the mains over the demand current"), .partial = true,
	 RW_FORMULAS(RW_IS("site.fault_level_least / (" PHASES " * site.mains_voltage_rms * supply.demand_current_rms)", "ieee-519"))},
	LIMIT(harmonic_limit_2, "odd orders to the 9th"), LIMIT(harmonic_limit_11, "the 11th to the 15th"), LIMIT(harmonic_limit_17, "the 17th to the 21st"),
	LIMIT(harmonic_limit_23, "the 23rd to the 33rd"), LIMIT(harmonic_limit_35, "the 35th on"), LIMIT(distortion_limit, "all harmonics together"),

	/* under load */
	{CASE(source_factor, number, "m n", "volts of the transformer over the nominal full ones"),
	 RW_FORMULAS(RW_IS("supply.no_load_voltage_dc / supply.nominal_no_load_voltage_dc", "definition"))},
	{CASE(no_load_voltage_dc, voltage_dc, "V_d0", "no-load direct volts at this mains and HT ratio, thyristors fully on"),
	 RW_FORMULAS(RW_IS("supply.nominal_no_load_voltage_dc * case.mains_factor * settings.ht_ratio", BRIDGE))},
	{CASE(voltage_dc, voltage_dc, "V_d", "direct volts under load"),
	 RW_FORMULAS(RW_IS("supply.no_load_voltage_dc - supply.control_drop_dc - supply.overlap_drop_dc - supply.resistive_drop_dc - supply.arm_drop_dc", BRIDGE))},
	{CASE(current_dc, current_dc, "I_d", "direct current, valve and bleeder"),
	 RW_FORMULAS(RW_IS("oscillator.valves * oscillator.anode_current_dc + supply.voltage_dc / protection.bleeder_resistance", "energy"))},
	{CASE(control_ratio, number, "k_\u03b1", "mean volts left by the firing angle"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, "(sin(" SMOOTH_END ") - sin(" FIRING " - " WIDTH ")) / (2 * sin(" WIDTH "))", "phase-control"),
	             RW_IS_WHEN(CYCLE, "(sin(" END ") - sin(" FIRING " - " WIDTH ")) / (2 * sin(" WIDTH "))", "phase-control"))},
	{CASE(conduction, number, "", "share of the time in which current flows"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, "1", "definition"),
	             RW_IS_WHEN(CYCLE, "(" END " - " FIRING " + " WIDTH ") / (2 * " WIDTH ")", "phase-control"))},
	{CASE(control_drop_dc, voltage_dc, "\u0394V_\u03b1", "direct volts taken away by the firing angle"),
	 RW_FORMULAS(RW_IS("supply.no_load_voltage_dc * (1 - supply.control_ratio)", "phase-control"))},
	{CASE(current_rms, current_rms, "I_d,rms", "direct current with its ripple, where that is counted"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, "supply.current_dc", "definition"), OVER_CYCLE("root of the mean of the square over the pulse"))},
	{CASE(ripple_rms, voltage_rms, "V_r,HT", "ripple on the HT as loaded, behind the filter; not counted and thyristors not fully on: of the ideal bridge at its angle"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN " and " FIRING " == 0", "supply.filtered_ripple_rms", "definition"),
	             RW_IS_WHEN(MEAN " and " FIRING " > 0 and supply.filter_inductance == 0", "sqrt(max(" SQUARE " - (supply.no_load_voltage_dc * supply.control_ratio)^2, 0))", "phase-control"),
	             FIRED_FILTER,
	             OVER_CYCLE("of the loaded volts over the pulse"))},
	{CASE(ripple_pp, voltage_pk, "V_r,HT,pp", "the same, peak to peak"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN " and " FIRING " == 0", "supply.filtered_ripple_pp", "definition"),
	             RW_IS_WHEN(MEAN " and " FIRING " > 0 and supply.filter_inductance == 0", CREST " * (cos(max(" FIRING " - " WIDTH ", 0)) - max(cos(" FIRING " + " WIDTH "), 0))", "phase-control"),
	             FIRED_FILTER,
	             OVER_CYCLE("greatest less least of the loaded volts over the pulse"))},
	{CASE(bridge_power, power, "P_b", "mean of the source's volts, less overlap, times the current"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, "(supply.no_load_voltage_dc - supply.control_drop_dc - supply.overlap_drop_dc) * supply.current_dc", "energy"),
	             OVER_CYCLE("mean of source volts times current, less the mean resistance of commutation times its square"))},
	{CASE(output_power, power, "P_d", "direct power: where ripple is counted, mean of the product"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, "supply.voltage_dc * supply.current_dc", "energy"),
	             RW_IS_WHEN(CYCLE, "oscillator.valves * oscillator.input_power + protection.bleeder_loss", "energy"))},
	{CASE(regulation, fraction, "\u03b5", "fall of the direct volts from no load"),
	 RW_FORMULAS(RW_IS("1 - supply.voltage_dc / supply.no_load_voltage_dc", "definition"))},
	{CASE(bridge_current_dc, current_dc, "I_b", "direct current of one bridge"),
	 RW_FORMULAS(RW_IS("supply.bridge_share * supply.current_dc", BRIDGE))},
	{CASE(commutation_ratio, number, "x", "a bridge's direct current over the peak line-to-line short-circuit current"),
	 RW_FORMULAS(RW_IS("sqrt(2) * supply.phase_reactance * supply.bridge_current_dc / (supply.secondary_voltage_rms * supply.source_factor)", BRIDGE))},
	{CASE(overlap_delay, angle, "\u03b1", "delay of commutation, of the firing angle or forced by the overlap before it; under zero: it sets in before the volts cross"),
	 RW_FORMULAS(RW_IS_WHEN(MODE_1, FIRING, BRIDGE), RW_IS_WHEN(MODE_2, "asin(supply.commutation_ratio) - pi / 6", BRIDGE),
	     RW_IS_WHEN(MODE_3, "pi / 6", BRIDGE), RW_IS_WHEN(HALF_2, "0", BRIDGE), RW_IS_WHEN(HALF_3, "-(pi / 6)", BRIDGE))},
	{CASE(overlap_angle, angle, "u", "angle of overlap"),
	 RW_FORMULAS(RW_IS_WHEN(MODE_1, "acos(max(cos(" FIRING ") - supply.commutation_ratio, -1)) - " FIRING, BRIDGE), RW_IS_WHEN(MODE_2, "pi / 3", BRIDGE),
	             RW_IS_WHEN(MODE_3, "acos(1 - sqrt(3) * supply.commutation_ratio) - pi / 3", BRIDGE),
	             RW_IS_WHEN(HALF_2, "2 * pi / 3 - asin(sqrt(3) / 2 * (1 - supply.commutation_ratio) + 0.5)", BRIDGE),
	             RW_IS_WHEN(HALF_3, "5 * pi / 6 + asin(supply.commutation_ratio / sqrt(3) - 1)", BRIDGE))},
	{CASE(overlap_drop_dc, voltage_dc, "\u0394V_x", "direct volts lost to overlap"),
	 RW_FORMULAS(RW_IS_WHEN("(" MODE_1 ") or (" HALF_2 ")", "supply.no_load_voltage_dc * supply.commutation_ratio / 2", BRIDGE),
	             RW_IS_WHEN(MODE_2, "supply.no_load_voltage_dc * (1 - sqrt(3) / 2 * sqrt(1 - supply.commutation_ratio^2))", BRIDGE),
	             RW_IS_WHEN(MODE_3, "supply.no_load_voltage_dc * (1 - sqrt(3) + 1.5 * supply.commutation_ratio)", BRIDGE),
	             RW_IS_WHEN(HALF_3, "supply.no_load_voltage_dc * (1 - 1 / sqrt(3) + supply.commutation_ratio / 6)", BRIDGE))},
	{CASE(resistive_drop_dc, voltage_dc, "\u0394V_r", "direct volts lost in the windings and the filter's choke"),
	 RW_FORMULAS(RW_IS("(supply.resistance_factor * supply.phase_resistance + supply.filter_resistance) * supply.current_dc", BRIDGE))},
	{CASE(arm_drop_dc, voltage_dc, "\u0394V_D", "direct volts lost in the diodes of the conducting arms"),
	 RW_FORMULAS(RW_IS("supply.arms_in_series * supply.diodes_in_series * supply.diode_drop_dc * supply.conduction", BRIDGE))},
	{CASE(secondary_current_rms, current_rms, "I_2", "line current of one secondary"),
	 RW_FORMULAS(RW_IS_WHEN(BLOCKS,
	                        RIPPLED " * sqrt(if(" SINGLE ", 1 - 2 / pi * " EDGES ", if(" HALF ", 1, 2) / 3 * (1 - 3 / (2 * pi) * " EDGES ")))",
	                        BRIDGE),
	             {.kind = RW_METHOD, .when = "not (" BLOCKS ")",
	              .text = "rms of the line current, piece by piece with three and four diodes conducting",
	              .reads = "supply.bridge_current_dc,supply.current_dc,supply.current_rms,supply.commutation_ratio,supply.overlap_angle,supply.connection", .source = BRIDGE})},
	{CASE(secondary_current_fund_rms, current_rms, "I_21", "fundamental of the secondary line current"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN " and (" BLOCKS ")",
	                        FUND " * supply.bridge_current_dc * sqrt((1 - supply.control_drop_dc / supply.no_load_voltage_dc)^2 + "
	                        "(cos(" FIRING " - " WIDTH ") - cos(" SMOOTH_END "))^2) * sqrt(((cos(" A ") + cos(" A " + " U ")) / 2)^2 + "
	                        "((sin(2 * " A ") - sin(2 * (" A " + " U ")) + 2 * " U ") / (4 * " SWING "))^2)", BRIDGE),
	             OVER_CYCLE("by source power and the current a quarter behind over the pulse, with what the overlap leaves of it"),
	             RW_IS_WHEN(MEAN " and " MODE_3, "sqrt(2 / 3) * supply.bridge_current_dc / supply.commutation_ratio * sqrt((3 / (2 * pi) * cos(" P ")^2)^2 + "
	                        "(1 - 3 / pi * ((pi / 2 - " P ") / 2 - sin(2 * " P ") / 4))^2)", BRIDGE),
	             {.kind = RW_METHOD, .when = MEAN " and " HALF " and supply.commutation_ratio > 1",
	              .text = "fundamental of the line current, piece by piece with two and three diodes conducting",
	              .reads = "supply.bridge_current_dc,supply.commutation_ratio,supply.overlap_angle", .source = BRIDGE})},
	{CASE(displacement_factor, number, "cos \u03c6_1", "displacement factor of the secondary current"),
	 RW_FORMULAS(RW_IS_WHEN(MEAN, FUND " * (1 - (supply.control_drop_dc + supply.overlap_drop_dc) / supply.no_load_voltage_dc) * "
	     "supply.bridge_current_dc / supply.secondary_current_fund_rms", BRIDGE),
	     RW_IS_WHEN(CYCLE, "supply.bridge_power / (sqrt(3) * supply.secondary_voltage_rms * supply.source_factor * supply.secondary_current_fund_rms)",
	         BRIDGE))},
	{CASE(star_current_rms, current_rms, "I_2Y", "current of a winding of the star secondary; single phase: of the winding"),
	 RW_FORMULAS(RW_IS("if(" DELTA_2 ", 0, 1) * supply.secondary_current_rms", BRIDGE))},
	{CASE(delta_current_rms, current_rms, "I_2D", "current of a winding of the delta secondary"),
	 RW_FORMULAS(RW_IS("if(" TWO ", 1, if(" DELTA_2 ", 1, 0)) * supply.secondary_current_rms / sqrt(3)", BRIDGE))},
	{CASE(primary_current_rms, current_rms, "I_T", "line current of the primary on the mains side of its ratio, without iron loss and magnetising current"),
	 RW_FORMULAS(RW_IS_WHEN("supply.secondaries == 1", "sqrt(supply.secondary_current_rms^2 - if(" HALF ", 1, 0) * (supply.bridge_current_dc / 3)^2) * "
	                        "supply.secondary_voltage_rms * settings.ht_ratio / site.mains_voltage_rms", BRIDGE),
	             {.kind = RW_METHOD, .when = TWO, .text = "rms of the sum of the star and the delta secondary's line currents, piece by piece: the 5th, 7th, "
	              "17th and 19th cancel", .reads = "supply.bridge_current_dc,supply.commutation_ratio,supply.overlap_angle,supply.overlap_delay,"
	              "supply.secondary_voltage_rms,site.mains_voltage_rms,settings.ht_ratio", .source = BRIDGE})},
	{CASE(primary_winding_current_rms, current_rms, "I_1w", "current of a primary winding"),
	 RW_FORMULAS(RW_IS_WHEN(SINGLE, "supply.primary_current_rms", BRIDGE),
	             RW_IS_WHEN("supply.connection != single_phase", "supply.primary_current_rms / if(supply.primary_winding == delta, sqrt(3), 1)", BRIDGE))},
	{CASE(diode_current_mean, current_dc, "I_Dav", "mean current of an arm"),
	 RW_FORMULAS(RW_IS("supply.bridge_current_dc / if(" SINGLE ", 2, 3)", BRIDGE))},
	{CASE(diode_current_rms, current_rms, "I_D", "current of an arm"),
	 RW_FORMULAS(RW_IS("supply.secondary_current_rms / if(" HALF ", 1, sqrt(2))", BRIDGE))},
	{CASE(diode_heat, power, "P_D1", "heat in one diode"), RW_FORMULAS(RW_IS("supply.diode_drop_dc * supply.diode_current_mean", "energy"))},
	{CASE(light_load_voltage_dc, voltage_dc, "V_dl", "direct volts with the bleeder alone, at this mains"),
	 RW_FORMULAS(RW_IS("max(supply.no_load_voltage_dc - supply.arms_in_series * supply.diodes_in_series * supply.diode_drop_dc, 0) / (1 + (supply.voltage_factor * supply.bridge_share * supply.phase_reactance / "
	                   "sqrt(2) + supply.resistance_factor * supply.phase_resistance + supply.filter_resistance) / protection.bleeder_resistance)", BRIDGE))},
	{CASE(voltage_pk, voltage_pk, "V_dpk", "greatest direct volts under load"),
	 RW_FORMULAS(RW_BY_METHOD("greatest of the direct volts' wave after the overlap, less copper and diodes; not under the mean",
	                          SHAPE ",supply.no_load_voltage_dc,supply.resistive_drop_dc,supply.arm_drop_dc", BRIDGE))},
	{CASE(ripple_voltage_rms, voltage_rms, "V_r", "ripple of the direct volts, unfiltered"),
	 RW_FORMULAS(RW_BY_METHOD("rms about the mean of the direct volts' wave, piece by piece", SHAPE ",supply.no_load_voltage_dc", BRIDGE))},
	{CASE(ripple_voltage_pp, voltage_pk, "V_rpp", "ripple of the direct volts, unfiltered, peak to peak"),
	 RW_FORMULAS(RW_BY_METHOD("greatest less least of the direct volts' wave", SHAPE ",supply.no_load_voltage_dc", BRIDGE))},
	{CASE(filtered_ripple_rms, voltage_rms, "V_rf", "ripple of the direct volts behind the filter, the load a resistance; without filter as before it"),
	 RW_FORMULAS(RW_IS_WHEN("supply.filter_inductance == 0", "supply.ripple_voltage_rms", "definition"),
	             {.kind = RW_METHOD, .when = "supply.filter_inductance > 0", .text = "harmonics of the direct volts' wave, each behind choke and transformer, capacitor and "
	              "load, summed to the 600th", .reads = SHAPE "," FILTER_READS, .source = "series-circuit"})},
	{CASE(filtered_ripple_pp, voltage_pk, "V_rf,pp", "the same, peak to peak"),
	 RW_FORMULAS(RW_IS_WHEN("supply.filter_inductance == 0", "supply.ripple_voltage_pp", "definition"),
	             {.kind = RW_METHOD, .when = "supply.filter_inductance > 0", .text = "greatest less least of the sum of those harmonics",
	              .reads = SHAPE "," FILTER_READS, .source = "series-circuit"})},
	{CASE(critical_inductance, inductance, "L_c", "least choke whose current does not stop with the bleeder alone"),
	 RW_FORMULAS(RW_IS("2 * protection.bleeder_resistance / ((supply.pulses^2 - 1) * 2 * pi * supply.ripple_frequency)", "series-circuit"))},
	{CASE(primary_current_fund_rms, current_rms, "I_T1", "fundamental of the primary's line current"),
	 RW_FORMULAS(RW_IS("supply.secondaries * supply.secondary_current_fund_rms * supply.secondary_voltage_rms * settings.ht_ratio / site.mains_voltage_rms", BRIDGE))},
	{CASE(current_thd, fraction, "THD_i", "harmonics of the primary's line current over its fundamental"),
	 RW_FORMULAS(RW_IS("sqrt((supply.primary_current_rms / supply.primary_current_fund_rms)^2 - 1)", "definition"))},
	{CASE(total_demand_distortion, fraction, "TDD", "harmonics of the primary's line current over the demand current"),
	 RW_FORMULAS(RW_IS("supply.current_thd * supply.primary_current_fund_rms / supply.demand_current_rms", "ieee-519"))},
	ORDER(2, "2nd"), ORDER(3, "3rd"), ORDER(4, "4th"), ORDER(5, "5th"), ORDER(7, "7th"), ORDER(11, "11th"), ORDER(13, "13th"), ORDER(17, "17th"),
	ORDER(19, "19th"), ORDER(23, "23rd"), ORDER(25, "25th"),
	GROUP(2, "2nd to 10th"), GROUP(11, "11th to 16th"), GROUP(17, "17th to 22nd"), GROUP(23, "23rd to 34th"), GROUP(35, "35th to 50th"),
	{CASE(copper_loss, power, "P_Cu", "loss in the windings and the filter's choke"), RW_FORMULAS(RW_IS("(supply.resistance_factor * supply.phase_resistance + supply.filter_resistance) * supply.current_rms^2", "energy"))},
	{CASE(diode_loss, power, "P_D", "loss in the diodes"), RW_FORMULAS(RW_IS("supply.arms_in_series * supply.diodes_in_series * supply.diode_drop_dc * supply.current_dc", "energy"))},
	{CASE(mains_power, power, "P_1", "power the HT supply takes from the mains"), RW_FORMULAS(RW_IS(ACTIVE " + supply.iron_loss", "energy"))},
	{CASE(mains_current_rms, current_rms, "I_1", "mains line current of the HT supply"),
	 RW_FORMULAS(RW_IS("supply.apparent_power / (" PHASES " * site.mains_voltage_rms * case.mains_factor)", "ac-power"))},
	{CASE(apparent_power, apparent_power, "S_1", "apparent power the HT supply takes, distortion with it"),
	 RW_FORMULAS(RW_IS("sqrt(supply.mains_power^2 + (" PHASES " * site.mains_voltage_rms * case.mains_factor * "
	     "supply.primary_current_rms)^2 - " ACTIVE "^2)", "ac-power"))},
	{CASE(power_factor, number, "\u03bb", "power factor of the HT supply"),
	    RW_FORMULAS(RW_IS("supply.mains_power / supply.apparent_power", "ac-power"))},
};

static const char harmonics_remedy[] = "more pulses where there are fewer than twelve, a smaller firing angle if any, more impedance, a filter at the site, or a point of common "
                                       "coupling with more fault level";

static const rw_limit limits[] = {
	{.key = "supply.transformer_current", .figure = "supply.secondary_current_rms",
	    .limit = "1.05 * supply.rated_secondary_current_rms * max(case.mains_factor, 1)",
	 .sense = RW_AT_MOST, .text = "secondary current against the transformer's rating", .source = PRACTICE,
	     .remedy = "a larger transformer, or less load"},
	{.key = "supply.current", .figure = "supply.current_dc", .limit = "1.05 * supply.duty_current_dc * case.mains_factor", .sense = RW_AT_MOST,
	 .text = "direct current against the duty of the transformer",
	 .source = PRACTICE, .remedy = "give the greater current as 'duty_current_dc', or size the set on that load"},
	{.key = "supply.diode_voltage", .figure = "supply.diode_inverse_voltage_pk",
	    .limit = "supply.diodes_in_series * supply.diode_voltage_pk / supply.diode_margin",
	 .sense = RW_AT_MOST, .text = "inverse volts of an arm against its diodes with their margin", .source = PRACTICE,
	 .remedy = "more diodes in series in each arm"},
	{.key = "supply.diode_share", .figure = "supply.diode_share_voltage_pk", .limit = "supply.diode_voltage_pk", .sense = RW_AT_MOST,
	 .text = "inverse volts of the worst diode of an arm against its rating", .source = PRACTICE,
	 .remedy = "more diodes in series, or resistors and capacitors that share better"},
	{.key = "supply.diode_current", .figure = "supply.diode_current_mean", .limit = "supply.diode_current_mean_max", .sense = RW_AT_MOST,
	 .needs = "supply.diode_current_mean_max", .text = "mean current of a diode against its rating", .source = PRACTICE,
	 .remedy = "a larger diode; parallel ones only with enforced sharing"},
	{.key = "supply.diode_surge", .figure = "supply.fault_diode_i2t", .limit = "supply.diode_surge_i2t", .sense = RW_AT_MOST,
	 .needs = "supply.diode_surge_i2t", .text = "surge of a diode in a dead short until it is cleared", .source = "iec-60909",
	 .remedy = "a quicker breaker, more impedance, or a larger diode"},
	{.key = "supply.critical_inductance", .figure = "supply.critical_inductance", .limit = "supply.filter_inductance", .sense = RW_AT_MOST,
	 .when = "supply.filter_inductance > 0 and supply.filter_capacitance > 0",
	 .text = "least choke for unbroken current with the bleeder alone",
	 .source = "series-circuit", .remedy = "a greater choke, or a bleeder of less resistance; else the volts rise to the crest at light load"},
	{.key = "supply.filter_resonance", .figure = "supply.ripple_frequency",
	 .limit = "1.5 / (2 * pi * sqrt(supply.filter_inductance * supply.filter_capacitance))", .sense = RW_AT_LEAST,
	 .when = "supply.filter_inductance > 0 and supply.filter_capacitance > 0", .text = "ripple frequency against the filter's resonance",
	 .source = PRACTICE, .remedy = "a greater choke or capacitor"},
	GROUP_LIMIT(2, "to the 10th"), GROUP_LIMIT(11, "11th to 16th"), GROUP_LIMIT(17, "17th to 22nd"), GROUP_LIMIT(23, "23rd to 34th"),
	GROUP_LIMIT(35, "35th to 50th"),
	{.key = "supply.total_demand_distortion", .figure = "supply.total_demand_distortion", .limit = "supply.distortion_limit", .sense = RW_AT_MOST,
	 .when = "site.harmonic_limits == ieee_519", .needs = "site.harmonic_limits", .text = "harmonics of the line current together against the site's limit",
	 .source = "ieee-519", .remedy = harmonics_remedy},
};

static const char *const regulation_text[] = {"direct volts"};
static const rw_kind *const regulation_kind[] = {&rw_kind_voltage_dc};

static const rw_series series[] = {
	{.key = "regulation", .text = "direct volts over direct current at the case's mains, to one and a half times the duty's current",
	 .x_text = "direct current", .x_kind = &rw_kind_current_dc, .n_curves = 1, .curve_text = regulation_text, .curve_kind = regulation_kind},
};

const rw_room rw_supply_room = {
	.name = "supply", .text = "HT supply", .in_size = sizeof(rw_supply_in), .set_size = sizeof(rw_supply_set),
	    .case_size = sizeof(rw_supply_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
	.series = series, .n_series = 1,
};
