/* Figures of the mains room. */
#include "item/rows.h"
#include "mains/mains.h"

#define IN(member, kind, symbol, text)  RW_NUMBER_OF(rw_mains_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_mains_set, member, kind, symbol, text), .role = RW_RESULT

#define PRACTICE "rules-of-practice"
#define RATED    "supply.rated_primary_current_rms"
#define CREST    "supply.no_load_voltage_pk"
#define DAMPING  "(0.5 * (supply.resistance_factor * supply.phase_resistance + supply.filter_resistance) * sqrt(protection.capacitance / "  \
                 "(supply.resistance_factor * supply.phase_reactance / (2 * pi * site.mains_frequency) + supply.filter_inductance)))"
#define RUN_UP   "mains.keying == thyristor_gate and supply.control == primary_thyristor"
#define RULE     "value of the rule"
/* An assumed constant with its rule. */
#define CONSTANT(member, kind, symbol, text, role_, words, ...) \
	{IN(member, kind, symbol, text), .role = (role_), RW_FORMULAS(RW_BY_METHOD(RULE, NULL, PRACTICE)), \
	 RW_INPUT(__VA_ARGS__, RW_RULE("R24", words, PRACTICE))}
#define NUMBER(member, kind, symbol, text, role_, value, words, ...) \
	{IN(member, kind, symbol, text), .role = (role_), RW_FORMULAS(RW_IS(value, PRACTICE)), \
	 RW_INPUT(__VA_ARGS__, RW_RULE("R24", words, PRACTICE))}

static const char *const keyings[] = {"contactor", "thyristor_gate", "grid_bias", "grid_shorted", "detuned", NULL};

static const rw_item items[] = {
	{.key = "keying", .offset = offsetof(rw_mains_in, keying), .type = RW_CHOICE, .role = RW_PART, .symbol = "",
	 .text = "by what the shot is switched: HT contactor, thyristors before the transformer, blocking bias on the grid, grid shorted to the "
	         "cathode, tank detuned",
	 RW_FORMULAS(RW_BY_METHOD(RULE, NULL, PRACTICE)), RW_INPUT(.choices = keyings, RW_RULE("R24", "contactor", PRACTICE))},

	/* transformer */
	{IN(transformer_power, apparent_power, "S_c", "continuous rating of the HT transformer on no-load volts"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("ceil_to(supply.rated_power * min(worst(duty.transformer_factor), 1), supply.rated_power_step)", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e8), RW_RULE("R24", "rating in the shot times the heating factor of the heaviest duty", PRACTICE))},
	CONSTANT(transformer_time_constant, time, "\u03c4_T", "thermal time constant of the HT transformer", RW_ASSUMED,
	         "30 min, dry type; oil about 1.5 h", RW_FROM_TO(10.0, 36000.0)),
	NUMBER(air_core_reactance, number, "x_air", "reactance of its saturated primary over rated volts a rated ampere", RW_ASSUMED, "0.2", "0.2",
	         RW_FROM_TO(0.02, 2.0)),
	NUMBER(core_remanence, number, "B_r/B_m", "remanence of its core over the crest at nominal mains", RW_ASSUMED, "0.6", "0.6", RW_FROM_TO(0.0, 1.0)),
	NUMBER(core_saturation, number, "B_s/B_m", "saturation of its core over the crest at nominal mains", RW_ASSUMED, "1.33", "1.33",
	         RW_FROM_TO(1.0, 3.0)),

	/* mains side */
	CONSTANT(auxiliary_current_rms, current_rms, "I_aux", "line current of pumps, fans and control", RW_ASSUMED, "5 A", RW_FROM_TO(0.0, 1e4)),
	NUMBER(starts_per_year, count, "n_s", "times a year the set is switched on", RW_ASSUMED, "1000", "1000: four a day on 250 days",
	         RW_FROM_TO(1.0, 1e6)),
	{IN(breaker_current, current_rms, "I_n", "rated current of the breaker"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("next of 16 20 25 32 40 50 63 80 100 125 160 200 250 315 ... A over margin times the rms of the line and over "
	                          "what its bimetal must hold",
	                          "duty.line_current_rms,duty.breaker_current_rms,duty.shot_line_current_rms,mains.breaker_margin,mains.breaker_hold", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R24", "next standard step over 1.25 times the rms of the line over the heaviest duty", PRACTICE))},
	NUMBER(breaker_margin, number, "", "breaker's rated current over the rms of the line", RW_ASSUMED, "1.25", "1.25", RW_FROM_TO(1.0, 5.0)),
	NUMBER(breaker_hold, number, "", "multiple of its rated current at which it never trips", RW_ASSUMED, "1.05", "1.05", RW_FROM_TO(1.0, 2.0)),
	CONSTANT(breaker_time_constant, time, "\u03c4_B", "thermal time constant of its bimetal", RW_ASSUMED,
	         "5 s: the quickest that its standard lets trip", RW_FROM_TO(0.5, 3600.0)),
	{IN(breaker_magnetic_multiple, number, "m", "magnetic trip over rated current, rms"), .role = RW_SETTING,
	 RW_FORMULAS(RW_IS("max(ceil_to(1.1 * mains.inrush_current_pk / (sqrt(2) * (1 - mains.breaker_magnetic_tolerance) * mains.breaker_current), "
	                   "1), 5)", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(1.0, 100.0), RW_RULE("R24", "10 % over the switch-on current at its lower tolerance, whole, at least 5", PRACTICE))},
	NUMBER(breaker_magnetic_tolerance, fraction, "", "tolerance of the magnetic trip", RW_ASSUMED, "0.2", "20 %", RW_FROM_TO(0.0, 0.9)),
	{IN(contactor_current, current_rms, "I_e", "rated current of the HT contactor for making and breaking in this use"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), .optional = true)},
	{IN(contactor_life, count, "", "makes the HT contactor lasts at the current it breaks here"), .role = RW_PART,
	 RW_INPUT(RW_FROM_TO(1000.0, 1e8), .optional = true)},
	NUMBER(contactor_years_min, number, "", "years the HT contactor shall last", RW_WANT, "2", "2", RW_OVER_TO(0.0, 100.0)),

	/* results */
	{SET(inrush_current_pk, current_pk, "i_in", "first peak when the HT is switched on, worst phase, mains high; none when thyristors run it up by their angle"),
	 .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS_WHEN(RUN_UP, "0 * mains.breaker_current", "keying-practice"),
	             RW_IS_WHEN("not (" RUN_UP ")", "sqrt(2) * " RATED " / mains.air_core_reactance * "
	                        "max(2 * cases.mains_high + mains.core_remanence - mains.core_saturation, 0)", "transformer-inrush"))},
	{SET(filament_current_rms, current_rms, "I_f1", "line current of all filament transformers, on one pair of lines"),
	 RW_FORMULAS(RW_IS("oscillator.valves * filament.apparent_power / site.mains_voltage_rms", "ac-power"))},
	{SET(closing_voltage_pk, voltage_pk, "v_cl",
	     "volts the capacitors on the HT can reach with no load when it is switched on, mains high: for clearances and X-rays"),
	 .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS_WHEN(RUN_UP, CREST, "keying-practice"),
	             RW_IS_WHEN("not (" RUN_UP ")",
	                        CREST " * (1 + exp(-pi * " DAMPING " / sqrt(max(1 - " DAMPING "^2, 1e-12))))", "series-circuit"))},
	{SET(blocking_bias, voltage_dc, "V_block", "bias that cuts the valve off between the shots, least"), .partial = true, .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS_WHEN("mains.keying == grid_bias", "1.3 * " CREST " / valve.mu", "keying-practice"))},
	{SET(mains_impedance, number, "x_k", "impedance of the mains at their least fault level, on the transformer's rating; 0 where that level is not given"),
	 RW_FORMULAS(RW_BY_METHOD("transformer's rating over the least fault level of the mains; 0 where none is given: stiff mains",
	                          "supply.rated_power,site.fault_level_least", "iec-60909"))},
	{SET(fault_current_rms, current_rms, "I_k1", "least mains line current for a short on the HT side, all secondaries in it: mains low, least fault level, "
	                                             "greatest impedance of the transformer"),
	 RW_FORMULAS(RW_IS("cases.mains_low * supply.secondaries * supply.rated_secondary_current_rms * supply.secondary_voltage_rms / site.mains_voltage_rms / "
	                   "(supply.short_circuit_voltage * (1 + supply.impedance_tolerance) + mains.mains_impedance)", "iec-60909"))},
};

static const rw_limit limits[] = {
	{.key = "mains.breaker_inrush", .figure = "mains.inrush_current_pk",
	 .limit = "sqrt(2) * mains.breaker_magnetic_multiple * (1 - mains.breaker_magnetic_tolerance) * mains.breaker_current", .sense = RW_AT_MOST,
	 .text = "switch-on current against the breaker's magnetic trip", .source = "breaker-standards",
	 .remedy = "a higher magnetic trip, a breaker of the next step, switching on through resistors, or thyristors before the transformer that run it up"},
	{.key = "mains.breaker_fault", .figure = "mains.fault_current_rms",
	 .limit = "mains.breaker_magnetic_multiple * (1 + mains.breaker_magnetic_tolerance) * mains.breaker_current", .sense = RW_AT_LEAST,
	 .text = "short on the HT side against the breaker's magnetic trip", .source = "breaker-standards",
	 .remedy = "a lower magnetic trip with less switch-on current (resistors at switching on, thyristors that run it up), mains of more fault level, or a relay on the HT that drops the "
	           "contactor"},
	{.key = "mains.contactor_making", .figure = "mains.inrush_current_pk", .limit = "sqrt(2) * 10 * mains.contactor_current", .sense = RW_AT_MOST,
	 .needs = "mains.contactor_current", .text = "switch-on current against what the HT contactor can make", .source = "contactor-data",
	 .remedy = "a larger contactor, or switching on through resistors"},
};

const rw_room rw_mains_room = {
	.name = "mains", .text = "Mains switch, contactor and breaker, keying of the shot", .in_size = sizeof(rw_mains_in),
	    .set_size = sizeof(rw_mains_set),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
