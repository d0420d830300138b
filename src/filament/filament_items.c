/* Figures of the filament room. */
#include "filament/filament.h"
#include "item/rows.h"

#define IN(member, kind, symbol, text)  RW_NUMBER_OF(rw_filament_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_filament_set, member, kind, symbol, text), .role = RW_RESULT

#define PRACTICE "rules-of-practice"
#define CIRCUIT  "ac-power"

/* Parts of formulas. */
#define RH        "(filament.voltage_rms / filament.current_rms + filament.series_resistance)"
#define RC        "(filament.voltage_rms / filament.current_rms / filament.cold_ratio + filament.series_resistance)"
#define K         "(filament.start_limit / filament.current_rms)"
#define LEAKAGE   "0.05 * filament.voltage_rms / filament.current_rms"
#define COLD_LOOP "sqrt((filament.cold_resistance + filament.series_resistance)^2 + filament.series_reactance^2)"

static const char *const measures[] = {"rms", "peak", "none", NULL};

static const rw_item items[] = {
	{IN(voltage_rms, voltage_rms, "V_f", "filament volts at the pins, hot"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the library entry", "valve.type", "valve-data")),
	 RW_INPUT(RW_OVER_TO(0.0, 1000.0), RW_RULE("library", "the valve's entry", "valve-data"))},
	{IN(current_rms, current_rms, "I_f", "filament current, hot"), .role = RW_PART, .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("value of the library entry", "valve.type", "valve-data")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("library", "the valve's entry", "valve-data"))},
	{IN(cold_ratio, number, "", "hot over cold resistance of the filament"), .role = RW_ASSUMED, .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS_WHEN("valve.cathode == thoriated", "10", PRACTICE), RW_IS_WHEN("valve.cathode == tungsten", "13", PRACTICE),
	             {.kind = RW_METHOD, .when = "valve.cathode == oxide", .text = "value of the file or of the library entry",
	                         .reads = "valve.type", .source = "valve-data"}),
	 RW_INPUT(RW_FROM_TO(1.0, 30.0), RW_RULE("R10", "10 for thoriated tungsten, 13 for tungsten; from the file or the library for oxide",
	     PRACTICE))},
	{IN(start_limit, current_rms, "I_max", "greatest starting current the valve's maker allows, in the measure of start_measure"),
	    .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the library entry", "valve.type", "valve-data")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), .optional = true, RW_RULE("library", "the valve's entry, if it tells one", "valve-data"))},
	{.key = "start_measure", .offset = offsetof(rw_filament_in, start_measure), .type = RW_CHOICE, .role = RW_PART, .symbol = "",
	 .text = "what the maker's starting current is: rms or peak, or that there is none",
	 RW_FORMULAS(RW_BY_METHOD("value of the file or of the library entry; none without a limit", "valve.type", "valve-data")),
	 RW_INPUT(.choices = measures, RW_RULE("R10", "none without a start_limit; else the file or the valve's entry must say, it is never "
	     "assumed", PRACTICE))},
	{IN(series_reactance, resistance, "X_s", "leakage and choke together, on the filament side"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("filament.start_measure == rms",
	     "ceil_to(max(sqrt(max((" RH "^2 - " K "^2 * " RC "^2) / (" K "^2 - 1), 0 * " RH "^2)), " LEAKAGE "), 0.0001)", PRACTICE),
	             {.kind = RW_METHOD, .when = "filament.start_measure == peak",
	              .text = "least reactance with which the worst first peak, filament dead cold, is at the limit; at least 5 % of V/I, up "
	                          "to 0.1 mohm",
	              .reads = "filament.voltage_rms,filament.current_rms,filament.cold_ratio,filament.start_limit,filament.series_resistance",
	                          .source = PRACTICE},
	             {.kind = RW_CLOSED, .when = "filament.start_measure == none", .text = "ceil_to(" LEAKAGE ", 0.0001)", .source = PRACTICE}),
	 RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R10", "holds the starting current to its limit; at least 5 % of V/I, what any transformer "
	     "leaks; up to 0.1 mohm", PRACTICE))},
	{IN(series_resistance, resistance, "R_s", "windings, leads and series resistor, on the filament side"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R10", "0", PRACTICE))},

	{SET(hot_resistance, resistance, "R_h", "filament, hot"), RW_FORMULAS(RW_IS("filament.voltage_rms / filament.current_rms", CIRCUIT))},
	{SET(cold_resistance, resistance, "R_c", "filament, dead cold"),
	    RW_FORMULAS(RW_IS("filament.hot_resistance / filament.cold_ratio", PRACTICE))},
	{SET(power, power, "P_f", "filament power, hot"), RW_FORMULAS(RW_IS("filament.voltage_rms * filament.current_rms", CIRCUIT))},
	{SET(series_loss, power, "P_s", "loss in the filament's series resistance, hot"),
	 RW_FORMULAS(RW_IS("filament.current_rms^2 * filament.series_resistance", CIRCUIT))},
	{SET(transformer_voltage_rms, voltage_rms, "E", "no-load volts of the filament transformer"),
	 RW_FORMULAS(RW_IS("filament.current_rms * sqrt((filament.hot_resistance + filament.series_resistance)^2 + "
	     "filament.series_reactance^2)", CIRCUIT))},
	{SET(start_current_rms, current_rms, "I_0", "starting current, filament dead cold, steady"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms / " COLD_LOOP, CIRCUIT))},
	{SET(start_current_pk, current_pk, "i_0", "starting current, filament dead cold, worst first peak"),
	 RW_FORMULAS(RW_BY_METHOD("first top of sqrt2 E/Z [sin(wt - p) + sin p exp(-w t R/X)], closed at the volts' zero, without warming",
	                          "filament.transformer_voltage_rms,filament.cold_resistance,filament.series_resistance,"
	                                      "filament.series_reactance", CIRCUIT))},
	{SET(start_closing_angle, angle, "", "closing angle of that peak, after the volts' zero: the worst for any resistance and reactance"),
	 RW_FORMULAS(RW_IS("0", CIRCUIT))},
	{SET(short_circuit_current_rms, current_rms, "I_fk", "current into a dead short at the pins"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms / sqrt(filament.series_resistance^2 + filament.series_reactance^2)", CIRCUIT))},
	{SET(apparent_power, apparent_power, "S_f", "apparent power of the filament transformer, hot"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms * filament.current_rms", CIRCUIT))},
	{SET(series_inductance, inductance, "L_s", "series reactance as an inductance"),
	 RW_FORMULAS(RW_IS("filament.series_reactance / (2 * pi * site.mains_frequency)", CIRCUIT))},
};

static const rw_limit limits[] = {
	{.key = "filament.start_current", .figure = "filament.start_current_rms", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = "filament.start_measure == rms", .needs = "filament.start_limit", .text = "starting current of the cold filament, rms",
	     .source = "valve-data",
	 .remedy = "more series reactance, or raise the filament volts in steps"},
	{.key = "filament.start_peak", .figure = "filament.start_current_pk", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = "filament.start_measure == peak", .needs = "filament.start_limit",
	     .text = "starting current of the cold filament, worst first peak", .source = "valve-data",
	 .remedy = "series resistance (it takes away the offset), more reactance, or raise the filament volts in steps"},
};

const rw_room rw_filament_room = {
	.name = "filament", .text = "Filament", .in_size = sizeof(rw_filament_in), .set_size = sizeof(rw_filament_set),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
