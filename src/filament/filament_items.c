/* Figures of the filament room. */
#include "filament/filament.h"
#include "item/rows.h"

#define IN(member, kind, symbol, text)  RW_NUMBER_OF(rw_filament_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_filament_set, member, kind, symbol, text), .role = RW_RESULT

#define PRACTICE "rules-of-practice"
#define CIRCUIT  "ac-power"
#define OWN      "filament-practice"
#define BALANCE  "heat-balance"
#define TUNGSTEN_TABLE "tungsten-resistance-radiation"

/* Figures that only some cathodes, or some ways of starting, have. */
#define ONLY(where, member, kind, symbol, text) SET(member, kind, symbol, text), .partial = true, .only = (where)
#define WIRE(member, kind, symbol, text) ONLY("with a cathode of tungsten, thoriated or pure", member, kind, symbol, text)
#define BYPASSED(member, kind, symbol, text) ONLY("with a start resistor fitted, and a cathode of tungsten", member, kind, symbol, text)

/* Parts of formulas. */
#define RH        "(filament.voltage_rms / filament.current_rms + filament.series_resistance)"
#define RC        "(filament.voltage_rms / filament.current_rms / filament.cold_ratio + filament.series_resistance + filament.start_resistor)"
#define EMF2      "(filament.current_rms^2 * (" RH "^2 + filament.series_reactance^2))"
#define COLD      "filament.voltage_rms / filament.current_rms / filament.cold_ratio"
#define K         "(filament.start_limit / filament.current_rms)"
#define LEAKAGE   "0.05 * filament.voltage_rms / filament.current_rms"
#define COLD_LOOP "sqrt((filament.cold_resistance + filament.series_resistance + filament.start_resistor)^2 + filament.series_reactance^2)"
#define AT_PINS(emf, x) "(" emf " * filament.transformer_voltage_rms * filament.hot_resistance / sqrt((filament.hot_resistance + " \
	"filament.series_resistance)^2 + (" x " * filament.series_reactance)^2))"
#define MAINS_HIGH "if(filament.stabiliser == fitted, 1 + filament.stabiliser_error, cases.mains_high)"
#define ALONE_READS "filament.hot_resistance,filament.cold_resistance,filament.series_resistance,filament.current_rms"
#define WIRE_READS "filament.voltage_rms,filament.current_rms,filament.lead_loss_share,filament.hot_temperature,filament.strands,valve.cathode"
#define TIME_READS WIRE_READS ",filament.cold_ratio,filament.series_reactance,filament.series_resistance,filament.start_resistor,site.mains_frequency"
#define BYPASS_READS TIME_READS ",filament.bypass_resistance,filament.bypass_time"
#define DIP_READS TIME_READS ",filament.dip_time,filament.dip_voltage,filament.dip_bypass"
/* What the choice of reactance and start resistor for a peak asks, save one of the other. */
#define PEAK_READS "filament.voltage_rms,filament.current_rms,filament.cold_ratio,filament.start_limit,filament.series_resistance," \
	"filament.hot_temperature,filament.lead_loss_share,filament.strands,valve.cathode,filament.voltage_tolerance,filament.reactance_tolerance," \
	"filament.stabiliser_error,cases.mains_low,cases.mains_high"
#define STARTED "filament.start_resistor > 0"

static const char *const measures[] = {"rms", "peak", "none", NULL};
static const char *const bypasses[] = {"drops", "holds", NULL};
static const char *const stabilisers[] = {"none", "fitted", NULL};

#define CHOICE(member, text_) .key = #member, .offset = offsetof(rw_filament_in, member), .type = RW_CHOICE, .symbol = "", .text = (text_)
#define COUNT(member, text_)  .key = #member, .offset = offsetof(rw_filament_in, member), .type = RW_INTEGER, .role = RW_PART, \
	.kind = &rw_kind_count, .symbol = "", .text = (text_)
#define RULED(value, from) RW_FORMULAS(RW_IS(value, from))

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
	 RW_INPUT(.choices = measures, RW_RULE("R10", "none without a start_limit; else where the limit is from, the file or the valve's "
	     "entry, must say: it is never assumed", PRACTICE))},
	{IN(series_reactance, resistance, "X_s", "leakage and choke together, on the filament side"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("filament.start_measure == rms",
	     "ceil_to(max(sqrt(max((" RH "^2 - " K "^2 * " RC "^2) / (" K "^2 - 1), 0 * " RH "^2)), " LEAKAGE "), 0.0001)", PRACTICE),
	             {.kind = RW_METHOD, .when = "filament.start_measure == peak",
	              .text = "least reactance with which the worst first peak, filament dead cold, is at the limit; at least 5 % of V/I. Where none "
	                      "holds the peak, or its tolerance would take the volts out of theirs though a stabiliser may be fitted: the least "
	                      "with which the filament, the start resistor in, settles 5 % over its bypass (docs/theory/filament.md); up to 0.1 mohm",
	              .reads = PEAK_READS ",filament.start_resistor", .source = PRACTICE},
	             {.kind = RW_CLOSED, .when = "filament.start_measure == none", .text = "ceil_to(" LEAKAGE ", 0.0001)", .source = PRACTICE}),
	 RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R10", "holds the starting current to its limit; at least 5 % of V/I, what any transformer "
	     "leaks; up to 0.1 mohm; beside a start resistor for a peak (R21) no more than the bypass wants", PRACTICE))},
	{IN(series_resistance, resistance, "R_s", "windings, leads and series resistor, on the filament side"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R10", "0", PRACTICE))},

	{IN(start_resistor, resistance, "R_st", "start resistor, on the filament side, in circuit until it is bypassed"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("filament.start_measure != peak", "0 * filament.voltage_rms / filament.current_rms", PRACTICE),
	             {.kind = RW_METHOD, .when = "filament.start_measure == peak",
	              .text = "what the cold filament lacks of the resistance with which the worst first peak is at the limit, up to 0.1 mohm; 0 "
	                      "where the reactance holds it",
	              .reads = PEAK_READS, .source = PRACTICE}),
	 RW_INPUT(RW_FROM_TO(0.0, 1e4), RW_RULE("R21", "0 unless the limit is a peak that reactance alone does not hold, or not without the volts "
	     "leaving their tolerance; then the least that holds it, up to 0.1 mohm", PRACTICE))},
	{IN(bypass_resistance, resistance, "R_by", "resistance the filament must have passed before the start resistor is bypassed"), .role = RW_PART,
	 RW_FORMULAS(RW_IS_WHEN("filament.start_measure == rms", "ceil_to(max(sqrt(max(" EMF2 " / filament.start_limit^2 - "
	     "filament.series_reactance^2, 0 * filament.series_reactance^2)) - filament.series_resistance, " COLD "), 0.0001)", PRACTICE),
	             {.kind = RW_METHOD, .when = "filament.start_measure == peak", .text = "the filament with which the worst first peak without the "
	              "resistor is at the limit, up to 0.1 mohm", .reads = "filament.voltage_rms,filament.current_rms,filament.cold_ratio,"
	              "filament.start_limit,filament.series_resistance,filament.series_reactance", .source = PRACTICE},
	             {.kind = RW_CLOSED, .when = "filament.start_measure == none", .text = "ceil_to(max(0.5 * filament.voltage_rms / "
	              "filament.current_rms, " COLD "), 0.0001)", .source = PRACTICE}),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), .optional = true, RW_RULE("R21", "with a start resistor: the filament that alone holds the limit; without a "
	     "limit half its hot resistance", PRACTICE))},
	{IN(bypass_time, time, "t_by", "time after switching on at which a timer bypasses the start resistor"), .role = RW_SETTING,
	 RW_INPUT(RW_OVER_TO(0.0, 3600.0), .optional = true)},
	{IN(hot_temperature, temperature, "T_h", "temperature of the hot filament"), .role = RW_ASSUMED, .uncertainty = 0.03,
	 RW_FORMULAS(RW_BY_METHOD("1975 K thoriated tungsten, 2450 K tungsten", "valve.cathode", OWN)),
	 RW_INPUT(RW_FROM_TO(1000.0, 2600.0), .optional = true, RW_RULE("R21", "1975 K for thoriated tungsten, 2450 K for tungsten; none for oxide",
	     OWN))},
	{IN(lead_loss_share, fraction, "k_l", "share of the hot filament's power its leads lead away"), .role = RW_ASSUMED, .uncertainty = 0.5,
	 RULED("0.05", OWN), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R21", "5 %", OWN))},
	{COUNT(strands, "wires of the filament in parallel"), .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("one for each 35 A, upwards: about what a wire of 1 mm takes", "filament.current_rms", OWN)),
	 RW_INPUT(RW_FROM_TO(1.0, 10000.0), RW_RULE("R21", "one for each 35 A", OWN))},
	{IN(dip_time, time, "t_dip", "time the mains are away, for the peak when they are back"), .role = RW_SETTING,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.02, 3600.0), RW_RULE("R21", "1 s", PRACTICE))},
	{IN(dip_voltage, fraction, "k_dip", "share of the volts left while the mains are away"), .role = RW_SETTING,
	 RULED("0", PRACTICE), RW_INPUT(RW_FROM_TO(0.0, 1.0), RW_RULE("R21", "0", PRACTICE))},
	{CHOICE(dip_bypass, "what the start resistor's bypass does while the mains are away"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("drops: it is held by the same mains", NULL, PRACTICE)),
	 RW_INPUT(.choices = bypasses, RW_RULE("R21", "drops", PRACTICE))},
	{COUNT(valves_on_transformer, "valves on one filament transformer"), RULED("1", PRACTICE),
	 RW_INPUT(RW_FROM_TO(1.0, 64.0), RW_RULE("R21", "1: each valve its own, trimmed to it", PRACTICE))},
	{IN(voltage_tolerance, fraction, "", "how far the valve's maker lets the filament volts go, either way"), .role = RW_PART,
	 RULED("0.05", OWN), RW_INPUT(RW_OVER_TO(0.0, 0.3), RW_RULE("R21", "5 %", OWN))},
	{IN(reactance_tolerance, fraction, "", "tolerance of the series reactance as built, either way"), .role = RW_PART,
	 RULED("0.1", OWN), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R21", "10 %", OWN))},
	{CHOICE(stabiliser, "whether the filament's mains are stabilised"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("fitted where mains and reactance, both at their worst, would take the volts out of their tolerance",
	             "cases.mains_low,cases.mains_high,filament.voltage_rms,filament.current_rms,filament.series_resistance,"
	             "filament.series_reactance,filament.reactance_tolerance,filament.voltage_tolerance", PRACTICE)),
	 RW_INPUT(.choices = stabilisers, RW_RULE("R21", "fitted where the volts would leave their tolerance without", PRACTICE))},
	{IN(stabiliser_error, fraction, "", "what a stabiliser leaves of the mains' changes, either way"), .role = RW_PART,
	 RULED("0.01", OWN), RW_INPUT(RW_FROM_TO(0.0, 0.1), RW_RULE("R21", "1 %", OWN))},
	{IN(air_reactance, number, "x_air", "reactance of the transformer's primary with its core saturated, over V^2/S"), .role = RW_ASSUMED,
	 .uncertainty = 0.5, RULED("0.1", OWN), RW_INPUT(RW_FROM_TO(0.005, 10.0), RW_RULE("R21", "0.1", OWN))},
	{IN(residual_flux, number, "", "residual flux of the transformer's core, over its peak flux"), .role = RW_ASSUMED, .uncertainty = 0.3,
	 RULED("0.6", OWN), RW_INPUT(RW_FROM_TO(0.0, 1.0), RW_RULE("R21", "0.6", OWN))},
	{IN(saturation_flux, number, "", "flux at which the transformer's core saturates, over its peak flux"), .role = RW_ASSUMED,
	 .uncertainty = 0.1, RULED("4 / 3", OWN), RW_INPUT(RW_FROM_TO(1.0, 3.0), RW_RULE("R21", "4/3: 2.0 over 1.5 T", OWN))},

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
	                                      "filament.series_reactance,filament.start_resistor", CIRCUIT))},
	{SET(start_closing_angle, angle, "", "closing angle of that peak, after the volts' zero: the worst for any resistance and reactance"),
	 RW_FORMULAS(RW_IS("0", CIRCUIT))},
	{SET(start_current_high_rms, current_rms, "I_0h", "starting current, filament dead cold, steady: mains high, reactance at the foot of its "
	    "tolerance"),
	 RW_FORMULAS(RW_IS(MAINS_HIGH " * filament.transformer_voltage_rms / sqrt((filament.cold_resistance + filament.series_resistance + "
	     "filament.start_resistor)^2 + ((1 - filament.reactance_tolerance) * filament.series_reactance)^2)", CIRCUIT))},
	{ONLY("where the starting limit is read as a peak", start_current_high_pk, current_pk, "i_0h",
	    "starting current, filament dead cold, worst first peak: likewise"),
	 RW_FORMULAS({.kind = RW_METHOD, .when = "filament.start_measure == peak",
	              .text = "start_current_pk with the volts and the reactance of start_current_high_rms",
	              .reads = "filament.transformer_voltage_rms,filament.cold_resistance,filament.series_resistance,filament.series_reactance,"
	                       "filament.start_resistor,filament.reactance_tolerance,filament.stabiliser,filament.stabiliser_error,cases.mains_high",
	              .source = CIRCUIT})},
	{SET(best_reactance_pk, current_pk, "i_x", "least worst first peak that series reactance alone can give, whatever its size, filament dead cold"),
	 RW_FORMULAS(RW_BY_METHOD("least of start_current_pk over the series reactance, no start resistor, the hot filament at its volts: the EMF "
	     "must rise with the reactance, and the offset of the first half-cycle nearly doubles the peak", ALONE_READS, CIRCUIT))},
	{SET(best_reactance, resistance, "X_x", "series reactance with which it is least"),
	 RW_FORMULAS(RW_BY_METHOD("searched for with it", ALONE_READS, CIRCUIT))},
	{SET(short_circuit_current_rms, current_rms, "I_fk", "current into a dead short at the pins"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms / sqrt(filament.series_resistance^2 + filament.series_reactance^2)", CIRCUIT))},
	{SET(apparent_power, apparent_power, "S_f", "apparent power of the filament transformer, hot"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms * filament.current_rms", CIRCUIT))},
	{SET(series_inductance, inductance, "L_s", "series reactance as an inductance"),
	 RW_FORMULAS(RW_IS("filament.series_reactance / (2 * pi * site.mains_frequency)", CIRCUIT))},

	{SET(regulation, fraction, "", "no-load volts of the filament transformer over its hot volts, less one"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms / filament.voltage_rms - 1", CIRCUIT))},
	{SET(transformers, count, "", "filament transformers of the set"),
	 RW_FORMULAS(RW_IS("oscillator.valves / filament.valves_on_transformer", "definition"))},
	{SET(transformer_current_rms, current_rms, "I_t", "hot current of one filament transformer, all its valves"),
	 RW_FORMULAS(RW_IS("filament.valves_on_transformer * filament.current_rms", CIRCUIT))},
	{SET(transformer_power, apparent_power, "S_t", "apparent power of one filament transformer, all its valves"),
	 RW_FORMULAS(RW_IS("filament.valves_on_transformer * filament.apparent_power", CIRCUIT))},
	{SET(transformer_reactance, resistance, "X_t", "series reactance of one filament transformer, on its secondary side"),
	 RW_FORMULAS(RW_IS("filament.series_reactance / filament.valves_on_transformer", CIRCUIT))},
	{SET(transformer_short_circuit_rms, current_rms, "I_tk", "current of one filament transformer into a dead short"),
	 RW_FORMULAS(RW_IS("filament.valves_on_transformer * filament.short_circuit_current_rms", CIRCUIT))},
	{SET(transformer_inrush_pk, current_pk, "i_m", "filament transformer's own inrush: first peak of its magnetising current, across two lines, "
	    "mains high"),
	 .uncertainty = 0.5, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("max(sqrt(2) * filament.transformer_power / (filament.air_reactance * site.mains_voltage_rms) * "
	     "(2 * cases.mains_high + filament.residual_flux - filament.saturation_flux), 0 * filament.current_rms)", "transformer-inrush"))},
	{SET(voltage_low_rms, voltage_rms, "V_low", "least filament volts: mains low, reactance at the top of its tolerance, hot resistance held"),
	 RW_FORMULAS(RW_IS("if(filament.stabiliser == fitted, 1 - filament.stabiliser_error, cases.mains_low) * "
	     AT_PINS("1", "(1 + filament.reactance_tolerance)"), CIRCUIT))},
	{SET(voltage_high_rms, voltage_rms, "V_high", "greatest filament volts: mains high, reactance at the foot of its tolerance, likewise"),
	 RW_FORMULAS(RW_IS(MAINS_HIGH " * " AT_PINS("1", "(1 - filament.reactance_tolerance)"), CIRCUIT))},
	{SET(reactance_span, fraction, "", "filament volts over their rating by the tolerance of the reactance alone"),
	 RW_FORMULAS(RW_IS(AT_PINS("1", "(1 - filament.reactance_tolerance)") " / filament.voltage_rms - 1", CIRCUIT))},
	{ONLY("with several valves on one transformer", neighbour_voltage_rms, voltage_rms, "V_n",
	    "filament volts when one valve of the same transformer is out or open"),
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms * filament.hot_resistance / sqrt((filament.hot_resistance + "
	     "(filament.valves_on_transformer - 1) / filament.valves_on_transformer * filament.series_resistance)^2 + "
	     "((filament.valves_on_transformer - 1) / filament.valves_on_transformer * filament.series_reactance)^2)", CIRCUIT))},

	{WIRE(hot_resistivity, resistivity, "\u03c1_h", "resistivity of the hot filament"),
	 RW_FORMULAS(RW_BY_METHOD("data/tables/tungsten.yaml at the hot temperature", "filament.hot_temperature", TUNGSTEN_TABLE))},
	{WIRE(hot_radiation, surface_power, "w_h", "radiation of the hot filament, less what comes back cold"), .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("emissivity of data/tables/tungsten.yaml at the hot temperature, sigma T^4", "filament.hot_temperature", TUNGSTEN_TABLE))},
	{WIRE(surface, area, "A_f", "surface of the filament"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("filament.power * (1 - filament.lead_loss_share) / filament.hot_radiation", BALANCE))},
	{WIRE(wire_diameter, length, "d_f", "diameter of a wire of the filament"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("(4 * filament.hot_resistivity * filament.surface / (filament.strands^2 * pi^2 * filament.hot_resistance))^(1/3)",
	     BALANCE))},
	{WIRE(wire_length, length, "l_f", "length of a wire of the filament"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("filament.hot_resistance * filament.strands * pi * filament.wire_diameter^2 / (4 * filament.hot_resistivity)", CIRCUIT))},
	{WIRE(wire_mass, mass, "m_f", "mass of the filament's wires"), .uncertainty = 0.25, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("density of tungsten times the wires' volume", "filament.wire_diameter,filament.wire_length,filament.strands",
	     "tungsten-heat"))},
	{WIRE(table_ratio, number, "", "hot over cold resistance by the table of tungsten, against cold_ratio"),
	 RW_FORMULAS(RW_BY_METHOD("resistivity of data/tables/tungsten.yaml, hot over cold (300 K)", "filament.hot_temperature", TUNGSTEN_TABLE))},
	{WIRE(emission_dc, current_dc, "I_s", "emission of the whole hot surface"), .uncertainty = 0.5, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("Richardson's law at the hot temperature, on the whole surface", "filament.hot_temperature,filament.surface,"
	     "valve.cathode", "thermionic-emission"))},
	{WIRE(stored_heat, energy, "Q_f", "heat in the filament from cold to hot"), .uncertainty = 0.25, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("heat capacity of tungsten from cold to hot", "filament.wire_mass,filament.hot_temperature", "tungsten-heat"))},
	{WIRE(thermal_time, time, "\u03c4_f", "heat in the filament over its power"), .uncertainty = 0.25, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("filament.stored_heat / filament.power", "definition"))},

	{WIRE(warming_pk, current_pk, "i_w", "starting current, worst first peak, the filament warming meanwhile"), .by = RW_BY_PERIODIC,
	 RW_FORMULAS(RW_BY_METHOD("current and temperature over the first cycle, worst of all closing angles (docs/theory/filament.md)", TIME_READS,
	     BALANCE))},
	{WIRE(warming_angle, angle, "", "closing angle of that peak, after the volts' zero"), .by = RW_BY_PERIODIC, .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("searched for with it", TIME_READS, BALANCE))},
	{WIRE(warming_time, time, "", "time of that peak after switching on"), .by = RW_BY_PERIODIC,
	 RW_FORMULAS(RW_BY_METHOD("with it", TIME_READS, BALANCE))},
	{WIRE(first_cycle_rms, current_rms, "I_1", "rms of the first cycle, closed at that angle: offset and all"), .by = RW_BY_PERIODIC,
	 RW_FORMULAS(RW_BY_METHOD("current and temperature over the first cycle", TIME_READS, BALANCE))},
	{WIRE(heat_time, time, "t_90", "time to 90 % of the hot resistance"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("five cycles in the time domain, then temperature by the rms current, through the bypass", BYPASS_READS, BALANCE))},
	{WIRE(heat_time_difference, fraction, "", "what the rms current from the start takes longer: the error of leaving the offset out"),
	 .internal = true, RW_FORMULAS(RW_BY_METHOD("the same without the five cycles, over it, less one", BYPASS_READS, BALANCE))},

	{BYPASSED(bypass_at_time, time, "", "time at which the start resistor is bypassed"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("temperature by the rms current, with the resistor, to the bypass resistance or to the timer's time", BYPASS_READS,
	     BALANCE))},
	{BYPASSED(bypass_at_resistance, resistance, "", "resistance of the filament when the start resistor is bypassed"), .by = RW_BY_ESTIMATE,
	 .uncertainty = 0.1, RW_FORMULAS(RW_BY_METHOD("likewise", BYPASS_READS, BALANCE))},
	{ONLY("with a start resistor fitted", bypass_current_rms, current_rms, "", "current just after the bypass, filament at the bypass resistance, steady"),
	 RW_FORMULAS(RW_IS_WHEN("valve.cathode == oxide", "filament.transformer_voltage_rms / sqrt((filament.bypass_resistance + "
	     "filament.series_resistance)^2 + filament.series_reactance^2)", CIRCUIT),
	             RW_IS_WHEN("valve.cathode != oxide", "filament.transformer_voltage_rms / sqrt((filament.bypass_at_resistance + "
	     "filament.series_resistance)^2 + filament.series_reactance^2)", CIRCUIT))},
	{BYPASSED(bypass_current_pk, current_pk, "", "current just after the bypass, worst peak over the moment of it"), .by = RW_BY_PERIODIC,
	 RW_FORMULAS(RW_BY_METHOD("from the steady current with the resistor: a cycle without it, worst of all moments", BYPASS_READS, BALANCE))},
	{BYPASSED(start_resistor_energy, energy, "", "heat in the start resistor of one start"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("rms current squared over the time to the bypass, times the resistor", BYPASS_READS, BALANCE))},
	{BYPASSED(start_resistor_left_loss, power, "", "loss in the start resistor when its bypass fails"), .by = RW_BY_ESTIMATE, .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("filament in balance with the resistor in", BYPASS_READS, BALANCE))},
	{BYPASSED(start_resistor_left_rms, voltage_rms, "", "filament volts when its bypass fails"), .by = RW_BY_ESTIMATE, .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("filament in balance with the resistor in", BYPASS_READS, BALANCE))},
	{ONLY("with a start resistor fitted, a cathode of tungsten, and a bypass the filament cools down to", dip_time_held, time, "",
	    "longest absence of the mains after which the bypass may still be in"), .uncertainty = 0.3,
	 .by = RW_BY_ESTIMATE, RW_FORMULAS(RW_BY_METHOD("the filament cooling from hot to the bypass resistance", BYPASS_READS, BALANCE))},

	{WIRE(dip_temperature, temperature, "T_dip", "temperature of the filament when the mains are back"), .by = RW_BY_ESTIMATE, .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("cooling from hot by the volts left", DIP_READS, BALANCE))},
	{WIRE(dip_resistance, resistance, "R_dip", "resistance of the filament when the mains are back"), .by = RW_BY_ESTIMATE, .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("likewise", DIP_READS, BALANCE))},
	{WIRE(dip_current_rms, current_rms, "I_dip", "current when the mains are back, steady"), .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("filament.transformer_voltage_rms / sqrt((filament.dip_resistance + filament.series_resistance + "
	     "if(filament.dip_bypass == drops, 1, 0) * filament.start_resistor)^2 + filament.series_reactance^2)", CIRCUIT))},
	{WIRE(dip_current_pk, current_pk, "i_dip", "current when the mains are back, worst peak over the moment of it"), .by = RW_BY_PERIODIC,
	 RW_FORMULAS(RW_BY_METHOD("from the steady current of the volts left: a cycle, worst of all moments", DIP_READS, BALANCE))},
	{WIRE(dip_angle, angle, "", "angle of the volts at that moment, after their zero"), .by = RW_BY_PERIODIC, .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("searched for with it", DIP_READS, BALANCE))},
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
	{.key = "filament.bypass_resistance", .figure = "filament.bypass_at_resistance", .limit = "filament.bypass_resistance * (1 - 1e-9)",
	 .sense = RW_AT_LEAST, .when = STARTED " and valve.cathode != oxide", .needs = "filament.bypass_resistance",
	 .text = "filament's resistance when the start resistor is bypassed", .source = BALANCE, .remedy = "a later bypass"},
	{.key = "filament.bypass_current", .figure = "filament.bypass_current_rms", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = STARTED " and filament.start_measure == rms", .needs = "filament.start_limit",
	 .text = "current when the start resistor is bypassed, rms", .source = "valve-data", .remedy = "a later bypass"},
	{.key = "filament.bypass_peak", .figure = "filament.bypass_current_pk", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = STARTED " and filament.start_measure == peak and valve.cathode != oxide", .needs = "filament.start_limit",
	 .text = "current when the start resistor is bypassed, worst peak", .source = "valve-data", .remedy = "a later bypass"},
	{.key = "filament.dip_current", .figure = "filament.dip_current_rms", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = "filament.start_measure == rms and valve.cathode != oxide", .needs = "filament.start_limit",
	 .text = "filament current when the mains are back, rms", .source = "valve-data",
	 .remedy = "a bypass that drops out with the mains, or more series reactance"},
	{.key = "filament.dip_peak", .figure = "filament.dip_current_pk", .limit = "filament.start_limit", .sense = RW_AT_MOST,
	 .when = "filament.start_measure == peak and valve.cathode != oxide", .needs = "filament.start_limit",
	 .text = "filament current when the mains are back, worst peak", .source = "valve-data",
	 .remedy = "a bypass that drops out with the mains, or a start resistor"},
	{.key = "filament.voltage_low", .figure = "filament.voltage_low_rms", .limit = "filament.voltage_rms * (1 - filament.voltage_tolerance)",
	 .sense = RW_AT_LEAST, .text = "least filament volts: mains low, reactance high", .source = "valve-data",
	 .remedy = "a stabiliser, less reactance or a closer tolerance of it, taps to trim"},
	{.key = "filament.voltage_high", .figure = "filament.voltage_high_rms", .limit = "filament.voltage_rms * (1 + filament.voltage_tolerance)",
	 .sense = RW_AT_MOST, .text = "greatest filament volts: mains high, reactance low", .source = "valve-data",
	 .remedy = "a stabiliser, less reactance or a closer tolerance of it, taps to trim"},
	{.key = "filament.neighbour_voltage", .figure = "filament.neighbour_voltage_rms",
	 .limit = "filament.voltage_rms * (1 + filament.voltage_tolerance)", .sense = RW_AT_MOST, .when = "filament.valves_on_transformer > 1",
	 .text = "filament volts with one valve of its transformer out", .source = "valve-data", .remedy = "a transformer for each valve"},
};

static const char *const curve_text[] = {"filament current", "filament volts", "filament temperature"};
static const rw_kind *const start_kind[] = {&rw_kind_current_pk, &rw_kind_voltage_pk, &rw_kind_temperature};
static const rw_kind *const heating_kind[] = {&rw_kind_current_rms, &rw_kind_voltage_rms, &rw_kind_temperature};

static const rw_series series[] = {
	{.key = "start", .text = "the filament over its first five cycles, closed at the worst angle", .x_text = "time", .x_kind = &rw_kind_time,
	 .n_curves = 3, .curve_text = curve_text, .curve_kind = start_kind},
	{.key = "heating", .text = "the filament from cold to hot, by rms current", .x_text = "time", .x_kind = &rw_kind_time,
	 .n_curves = 3, .curve_text = curve_text, .curve_kind = heating_kind},
};

const rw_room rw_filament_room = {
	.name = "filament", .text = "Filament", .in_size = sizeof(rw_filament_in), .set_size = sizeof(rw_filament_set),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
	.series = series, .n_series = 2,
};
