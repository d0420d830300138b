#include "item/rows.h"
#include "oscillator/oscillator.h"

#define WANT(member, kind, symbol, text) RW_NUMBER_OF(rw_oscillator_in, member, kind, symbol, text), .role = RW_WANT
#define PART(member, kind, symbol, text) RW_NUMBER_OF(rw_oscillator_in, member, kind, symbol, text), .role = RW_PART
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_oscillator_set, member, kind, symbol, text), .role = RW_RESULT
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_oscillator_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define TANK_PARTS "tank.inductance,tank.inductor_q,tank.capacitance,tank.loss_tangent,tank.blocking_capacitance,tank.choke_inductance," \
                   "tank.bypass_capacitance,tank.divider_anode_capacitance,tank.divider_grid_capacitance,tank.grid_mutual,settings.grid_mutual,settings.secondary_mutual," \
                   "tank.grid_coupling,tank.grid_inductance,tank.grid_choke_inductance,tank.secondary_inductance," \
                   "tank.secondary_mutual,tank.secondary_capacitance,tank.secondary_q,tank.feedback,tank.coupling,tank.feed,tank.arrangement,valve.anode_grid_capacitance," \
                   "valve.grid_cathode_capacitance,valve.anode_cathode_capacitance,valve.parallel"
#define CLASS_C(what) RW_FORMULAS(RW_BY_METHOD(what, class_c_reads, "class-c-quadrature"))

#define MOST(what) RW_FORMULAS(RW_BY_METHOD(what " of a valve at a corner of the spread, on its own leak, at the swings all share; the greatest", \
                                            share_reads, "class-c-quadrature"))

static const char share_reads[] = "valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.worn_perveance,valve.worn_emission,"
                                  "valve.spread_perveance,valve.spread_mu,case.is_worn,oscillator.anode_current_dc,oscillator.anode_loss,oscillator.grid_loss,oscillator.cathode_current_pk,oscillator.anode_voltage_crest,oscillator.swing_crest_pk,oscillator.anode_voltage_dc,oscillator.anode_swing_pk,"
                                  "oscillator.grid_bias,oscillator.grid_swing_pk,oscillator.grid_leak";
static const char class_c_reads[] = "valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.worn_perveance,"
                                    "valve.worn_emission,case.is_worn,oscillator.anode_voltage_dc,"
                                    "oscillator.anode_swing_pk,oscillator.grid_bias,oscillator.grid_swing_pk";

/* What the operating point of the design rests on. Half angle and least anode volts are found together. */
#define DESIGN_READS "generator.design_job,generator.design_load,generator.frequency,work.heat_power,work.empty,work.loads.*,valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.parallel," \
                     "valve.anode_dissipation_max,valve.parallel_derating,valve.grid_current_max,oscillator.anode_voltage,leads.inductance,leads.resistance,output.wanted_current_rms,output.wanted_resistance,output.wanted_reactance,tank.inductor_q,tank.loss_tangent," \
                     "tank.grid_coupling,tank.q_wanted,tank.secondary_q,tank.feedback,tank.coupling,tank.arrangement"

#define MEAN  "supply.ripple_counted == mean"
#define CYCLE "supply.ripple_counted == cycle"
/* Ripple counted: each instant's balance over the pulse of the HT, and its mean. */
#define OVER_CYCLE(what) {.kind = RW_METHOD, .when = CYCLE, .text = (what), .reads = cycle_reads, .source = "mains-cycle"}
#define CLASS_C_OR_CYCLE(what, over) \
	RW_FORMULAS({.kind = RW_METHOD, .when = MEAN, .text = (what), .reads = class_c_reads, .source = "class-c-quadrature"}, OVER_CYCLE(over))
#define SETTLING(capacitance) \
	"max(oscillator.grid_leak * oscillator.grid_capacitance, tank.loaded_q / (pi * oscillator.frequency), " capacitance " * " \
	"oscillator.anode_voltage_dc / (valve.parallel * oscillator.anode_current_dc))"
#define AT_CREST "the same at the crest of the HT"

static const char cycle_reads[] = "valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.worn_perveance,valve.worn_emission,case.is_worn,"
                                  "oscillator.load_resistance,oscillator.grid_leak,oscillator.anode_voltage_dc,oscillator.anode_swing_pk,oscillator.grid_swing_pk,"
                                  "oscillator.grid_bias,oscillator.valves,supply.no_load_voltage_dc,supply.diodes_in_series,supply.diode_drop_dc,"
                                  "supply.phase_resistance,supply.phase_reactance,settings.firing_angle,protection.bleeder_resistance";

static const rw_item items[] = {
    {WANT(anode_voltage, voltage_dc, "V_A", "anode volts wanted at full load"),
     RW_FORMULAS(RW_IS("floor_to(0.8 * valve.anode_voltage_max, 100)", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("R2", "0.8 of the valve's greatest anode volts, down to 100 V", "rules-of-practice"))},
    {WANT(half_angle, angle, "\u03b8_a", "half angle of flow wanted"), 
     RW_FORMULAS(RW_BY_METHOD("R3: 70 degrees; down to 60 in steps of 2.5 while the anode's loss is over 80 % of its rating",
                 DESIGN_READS ",oscillator.anode_voltage_min", "rules-of-practice")),
     RW_INPUT(RW_FROM_TO(0.34906585039886590, 1.5707963267948966),
                 RW_RULE("R3", "70 degrees, less while the anode is over 80 % of its rating", "rules-of-practice"))},
    {WANT(anode_voltage_min, voltage_dc, "v_a,min", "least instantaneous anode volts wanted"),
     RW_FORMULAS(RW_BY_METHOD("R3: greater of 0.12 V_A and twice the greatest grid volts; up to 0.25 V_A while grid current is over 70 % "
                 "of its limit", DESIGN_READS ",oscillator.half_angle", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e5), RW_RULE("R3", "0.12 of the anode volts or twice the greatest grid volts; more while grid current is "
                 "over 70 % of its limit", "rules-of-practice"))},
    {PART(grid_leak, resistance, "R_g", "grid leak"),
     RW_FORMULAS(RW_BY_METHOD("R8: bias over grid current of the operating point, nearest E24",
                 DESIGN_READS ",oscillator.half_angle,oscillator.anode_voltage_min,tank.inductance", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e7), RW_RULE("R8", "bias over grid current, nearest E24 value", "rules-of-practice"))},
    {PART(grid_capacitance, capacitance, "C_g", "grid capacitor"),
     RW_FORMULAS(RW_IS("digits(10 / (2 * pi * generator.frequency * oscillator.grid_leak), 2)", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), RW_RULE("R8", "reactance a tenth of the leak, two digits; squegging is not judged yet",
                 "rules-of-practice"))},

    {SET(sides, number, "n_s", "sides of the tank"),
     RW_FORMULAS(RW_IS_WHEN("tank.arrangement == single", "1", "definition"), RW_IS_WHEN("tank.arrangement == push_pull", "2", "definition"))},
    {SET(derates, number, "", "1 where the valve's ratings fall above a frequency"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("given or not", "valve.frequency_max_derated,valve.derated_share", "definition"))},
    {SET(valves, number, "n", "valves that share the work"), RW_FORMULAS(RW_IS("oscillator.sides * valve.parallel", "definition"))},
    {CASE(frequency, frequency, "f", "working frequency"), .uncertainty = 0.02,
     RW_FORMULAS(RW_BY_METHOD("imaginary part of the anode's admittance is zero, grid circuit open (tank room)",
                              TANK_PARTS ",leads.inductance,leads.resistance,output.resistance,output.reactance,work.loads.*,generator.frequency", "nodal-analysis"))},
    {CASE(anode_voltage_dc, voltage_dc, "V_A", "anode volts"), .uncertainty = 0.02,
     RW_FORMULAS(RW_ZERO_OF("oscillator.anode_voltage_dc + protection.series_resistance * oscillator.valves * oscillator.anode_current_dc - supply.voltage_dc", "oscillator.anode_voltage_dc", "energy"))},
    {CASE(anode_swing_pk, voltage_pk, "V_am", "anode swing; ripple counted: its rms equivalent over the cycle"), .uncertainty = 0.03,
     RW_FORMULAS(RW_ZERO_OF("oscillator.valves * (oscillator.output_power - oscillator.drive_power) - tank.power", "oscillator.output_power", "energy"))},
    {CASE(swing_ratio, number, "V_am/V_A", "anode swing over anode volts"), .uncertainty = 0.03,
     RW_FORMULAS(RW_IS("oscillator.anode_swing_pk / oscillator.anode_voltage_dc", "definition"))},
    {CASE(anode_voltage_peak, voltage_pk, "v_a,pk", "greatest instantaneous anode volts"), .uncertainty = 0.03,
     RW_FORMULAS(RW_IS("oscillator.anode_voltage_crest + oscillator.swing_crest_pk", "definition"))},
    {CASE(load_resistance, resistance, "R_a", "anode load resistance as each valve sees it"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("valve.parallel * tank.anode_load_resistance", "definition"))},
    {CASE(grid_bias, voltage_dc, "V_g", "grid bias"), .uncertainty = 0.15,
     RW_FORMULAS(RW_ZERO_OF("oscillator.grid_bias + oscillator.grid_leak * oscillator.grid_current_dc", "oscillator.grid_bias", "grid-leak"))},
    {CASE(grid_swing_pk, voltage_pk, "V_gm", "grid swing"), .uncertainty = 0.05,
     RW_FORMULAS(RW_BY_METHOD("anode swing times the ratio of the open grid's volts, from the network (circuit)",
                              "oscillator.anode_swing_pk,tank.inductor_current_rms,oscillator.frequency," TANK_PARTS, "nodal-analysis"))},
    {CASE(anode_current_dc, current_dc, "I_a", "anode current of each valve"), .uncertainty = 0.05, CLASS_C_OR_CYCLE("mean of the anode current over the cycle", "its mean over the pulse")},
    {CASE(anode_current_fund_pk, current_pk, "I_a1", "anode current, fundamental"), .uncertainty = 0.05,
        CLASS_C_OR_CYCLE("amplitude of the fundamental of the anode current", "root of the mean square of it over the pulse")},
    {CASE(anode_current_pk, current_pk, "i_a,pk", "anode current, peak"), .uncertainty = 0.1, CLASS_C_OR_CYCLE("greatest anode current in the cycle", AT_CREST)},
    {CASE(grid_current_dc, current_dc, "I_g", "grid current"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
        CLASS_C_OR_CYCLE("mean of the grid current over the cycle", "its mean over the pulse")},
    {CASE(grid_current_fund_pk, current_pk, "I_g1", "grid current, fundamental"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
        CLASS_C_OR_CYCLE("amplitude of the fundamental of the grid current", "root of the mean square of it over the pulse")},
    {CASE(cathode_current_pk, current_pk, "i_k,pk", "cathode current, peak"), .uncertainty = 0.1,
        CLASS_C_OR_CYCLE("greatest sum of anode and grid current in the cycle", AT_CREST)},
    {CASE(half_angle_of_flow, angle, "\u03b8_a", "half angle of flow"), .uncertainty = 0.05, CLASS_C_OR_CYCLE("where the space current ends", AT_CREST)},
    {CASE(input_power, power, "P_in", "DC input of each valve"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.anode_voltage_dc * oscillator.anode_current_dc", "definition"), OVER_CYCLE("mean of the product of volts and current over the pulse"))},
    {CASE(output_power, power, "P_o", "RF at each anode, drive included"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.anode_swing_pk * oscillator.anode_current_fund_pk / 2", "ac-power"), OVER_CYCLE("mean over the pulse"))},
    {CASE(drive_power, power, "P_d", "drive taken by each grid circuit"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.grid_swing_pk * oscillator.grid_current_fund_pk / 2", "ac-power"), OVER_CYCLE("mean over the pulse"))},
    {CASE(leak_power, power, "P_leak", "loss in each grid leak"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.grid_leak * oscillator.grid_current_dc^2", "definition"), OVER_CYCLE("mean over the pulse"))},
    {CASE(anode_loss, power, "P_a", "anode dissipation of each valve"), .uncertainty = 0.1, CLASS_C_OR_CYCLE("mean of anode volts times anode current over the cycle", "its mean over the pulse")},
    {CASE(grid_loss, power, "P_g", "grid dissipation of each valve"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
        CLASS_C_OR_CYCLE("mean of grid volts times grid current over the cycle", "its mean over the pulse")},
    {CASE(anode_current_greatest, current_dc, "I_a,gr", "anode current of the valve that takes most"), .uncertainty = 0.05, MOST("anode current")},
    {CASE(anode_loss_greatest, power, "P_a,gr", "anode dissipation of the valve that takes most"), .uncertainty = 0.1, MOST("anode dissipation")},
    {CASE(grid_current_greatest, current_dc, "I_g,gr", "grid current of the valve that takes most"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
        MOST("grid current")},
    {CASE(grid_loss_greatest, power, "P_g,gr", "grid dissipation of the valve that takes most"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
        MOST("grid dissipation")},
    {CASE(cathode_current_pk_greatest, current_pk, "i_k,gr", "cathode current, peak, of the valve that takes most"), .uncertainty = 0.1,
        MOST("peak cathode current")},
    {CASE(sharing, number, "", "greatest over mean anode current of the valves that share"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("oscillator.anode_current_greatest / oscillator.anode_current_dc", "definition"))},
    {CASE(frequency_derating, fraction, "", "share of anode volts and dissipation the valve allows at this frequency"),
     RW_FORMULAS(RW_IS_WHEN("oscillator.derates == 0", "1", "valve-data"),
                 RW_IS_WHEN("oscillator.derates == 1", "1 - (1 - valve.derated_share) * min(max((oscillator.frequency - valve.frequency_max) / "
                            "(valve.frequency_max_derated - valve.frequency_max), 0), 1)", "valve-data"))},
    {CASE(anode_voltage_allowed, voltage_dc, "V_A,al", "anode volts the valve allows at this frequency"),
     RW_FORMULAS(RW_IS("oscillator.frequency_derating * valve.anode_voltage_max", "valve-data"))},
    {CASE(anode_loss_allowed, power, "P_a,al", "anode dissipation each valve allows at this frequency, as it shares"),
     RW_FORMULAS(RW_IS("oscillator.frequency_derating * valve.parallel_derating * valve.anode_dissipation_max", "valve-data"))},
    {CASE(efficiency, fraction, "\u03b7", "efficiency, tank power over DC input"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("(oscillator.output_power - oscillator.drive_power) / oscillator.input_power", "definition"))},
    {CASE(anode_voltage_crest, voltage_dc, "V_A,crest", "anode volts at the crest of the HT's ripple; ripple not counted: the mean ones, not the crest"), .uncertainty = 0.02,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.anode_voltage_dc", "definition"), OVER_CYCLE("balance at the crest of the source"))},
    {CASE(swing_crest_pk, voltage_pk, "V_am,crest", "anode swing at the crest of the HT's ripple; ripple not counted: that at mean volts, not the crest"), .uncertainty = 0.03,
     RW_FORMULAS(RW_IS_WHEN(MEAN, "oscillator.anode_swing_pk", "definition"), OVER_CYCLE("balance at the crest of the source"))},
    {CASE(power_of_means, power, "V_A I_a", "what mean volts times mean current of each valve would say"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("oscillator.anode_voltage_dc * oscillator.anode_current_dc", "definition"))},
    {CASE(power_of_means_error, fraction, "", "how far that is from the mean of the product; ripple not counted: what it would be with a current that follows the volts"),
     .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(CYCLE, "oscillator.power_of_means / oscillator.input_power - 1", "definition"),
                 RW_IS_WHEN(MEAN, "0 - (supply.ripple_rms / supply.voltage_dc)^2 / (1 + (supply.ripple_rms / supply.voltage_dc)^2)", "definition"))},
    {CASE(settling_time, time, "", "slowest of grid leak, tank, and the capacitor that carries the HT"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN("tank.feed == shunt", SETTLING("tank.blocking_capacitance"), "mains-cycle"),
                 RW_IS_WHEN("tank.feed == series", SETTLING("tank.bypass_capacitance"), "mains-cycle"))},
    {CASE(settling_share, fraction, "", "that time over the period of the HT's ripple: far under 1 where valve and tank follow it"), .uncertainty = 0.3,
     .by = RW_BY_ESTIMATE, RW_FORMULAS(RW_IS("oscillator.settling_time * supply.ripple_frequency", "mains-cycle"))},
    {CASE(loop_gain, number, "A_0", "loop gain at 2 % swing with the leak's own bias"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_BY_METHOD("fundamental of the valve's current at 2 % swing over what the tank takes there",
                              "valve.law,valve.points,valve.perveance,valve.mu,valve.division,valve.emission,valve.worn_perveance,valve.worn_emission,case.is_worn,"
                              "oscillator.load_resistance,oscillator.valves,"
                                          TANK_PARTS ",oscillator.grid_leak,oscillator.frequency,"
                              "supply.secondary_voltage_rms,settings.ht_ratio,settings.firing_angle,supply.ripple_counted,supply.control_drop_dc,supply.phase_reactance,supply.phase_resistance,supply.diodes_in_series,"
                                          "supply.diode_drop_dc,protection.bleeder_resistance,protection.series_resistance,case.mains_factor,tank.inductor_current_rms,"
                                          "oscillator.anode_swing_pk", "describing-function"))},
    {CASE(solutions, number, "n", "amplitudes at which the set balances"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("changes of sign in the scan over amplitude", "oscillator.loop_gain", "describing-function"))},
    {CASE(quadrature_error, number, "", "error of the class C means, relative"), .internal = true,
        CLASS_C("difference between two orders of quadrature")},
};

static const char looser[] = "looser grid coupling, or a higher grid leak";

static const rw_limit limits[] = {
    {.key = "oscillator.power_of_means", .figure = "0 - oscillator.power_of_means_error", .limit = "0.02", .sense = RW_AT_MOST, .when = MEAN,
     .text = "power that mean volts times mean amps leave out, ripple not counted", .source = "mains-cycle",
     .remedy = "a filter, more pulses, or for a six-pulse bridge without filter and surge resistor 'ripple_counted: cycle'; as it is, powers and peaks are told too small"},
    {.key = "oscillator.settling", .figure = "oscillator.settling_share", .limit = "0.1", .sense = RW_AT_MOST, .when = CYCLE,
     .text = "time in which valve and tank follow the HT, of its ripple's period", .source = "mains-cycle",
     .remedy = "'ripple_counted: mean', or less grid leak and capacitance across the HT"},
    {.key = "valve.anode_dissipation", .figure = "oscillator.anode_loss_greatest", .limit = "oscillator.anode_loss_allowed", .sense = RW_AT_MOST,
     .text = "anode dissipation", .source = "valve-data",
                 .remedy = "less anode current: looser grid coupling, higher anode load resistance, or lower HT"},
    {.key = "valve.anode_voltage", .figure = "supply.no_load_voltage_dc", .limit = "oscillator.anode_voltage_allowed", .sense = RW_AT_MOST,
     .text = "HT at no load", .source = "valve-data", .remedy = "a lower HT tap, or a supply with less regulation"},
    {.key = "valve.anode_current", .figure = "oscillator.anode_current_greatest", .limit = "valve.parallel_derating * valve.anode_current_max",
     .sense = RW_AT_MOST, .needs = "valve.anode_current_max", .text = "anode current", .source = "valve-data",
                 .remedy = "looser grid coupling or a higher anode load resistance"},
    {.key = "valve.grid_current", .figure = "oscillator.grid_current_greatest", .limit = "valve.grid_current_max", .sense = RW_AT_MOST,
        .when = "case.is_empty == 0",
     .text = "grid current, loaded", .source = "valve-data", .remedy = looser},
    {.key = "valve.grid_current_unloaded", .figure = "oscillator.grid_current_greatest", .limit = "valve.grid_current_max_unloaded",
        .sense = RW_AT_MOST,
     .when = "case.is_empty == 1", .needs = "valve.grid_current_max_unloaded", .text = "grid current, empty coil", .source = "valve-data",
     .remedy = "looser grid coupling, a higher grid leak, or lower HT with the coil empty"},
    {.key = "valve.grid_margin", .figure = "oscillator.grid_current_greatest", .limit = "(1 - valve.grid_margin) * valve.grid_current_max",
     .sense = RW_AT_MOST, .when = "case.is_empty == 0 and valve.grid_margin > 0", .text = "grid current, loaded, with the margin of valves that share",
     .source = "valve-practice", .remedy = looser},
    {.key = "valve.grid_margin_unloaded", .figure = "oscillator.grid_current_greatest",
     .limit = "(1 - valve.grid_margin) * valve.grid_current_max_unloaded", .sense = RW_AT_MOST,
     .when = "case.is_empty == 1 and valve.grid_margin > 0", .needs = "valve.grid_current_max_unloaded",
     .text = "grid current, empty coil, with the margin of valves that share", .source = "valve-practice",
     .remedy = "looser grid coupling, a higher grid leak, or lower HT with the coil empty"},
    {.key = "valve.grid_dissipation", .figure = "oscillator.grid_loss_greatest", .limit = "valve.grid_dissipation_max", .sense = RW_AT_MOST,
     .needs = "valve.grid_dissipation_max", .text = "grid dissipation", .source = "valve-data", .remedy = "looser grid coupling"},
    {.key = "valve.cathode_current", .figure = "oscillator.cathode_current_pk_greatest", .limit = "valve.cathode_current_pk_max",
     .sense = RW_AT_MOST, .needs = "valve.cathode_current_pk_max", .text = "peak cathode current", .source = "valve-data",
                 .remedy = "a wider angle of flow at less grid swing"},
    {.key = "valve.grid_voltage", .figure = "0 - oscillator.grid_bias", .limit = "0 - valve.grid_voltage_min", .sense = RW_AT_MOST,
     .needs = "valve.grid_voltage_min", .text = "negative grid bias", .source = "valve-data", .remedy = "a lower grid leak"},
    {.key = "valve.grid_resistance", .figure = "oscillator.grid_leak", .limit = "valve.grid_resistance_max", .sense = RW_AT_MOST,
     .needs = "valve.grid_resistance_max", .text = "resistance of the grid's circuit", .source = "valve-data",
     .remedy = "a lower grid leak with looser grid coupling"},
    {.key = "valve.frequency", .figure = "oscillator.frequency", .limit = "valve.frequency_max", .sense = RW_AT_MOST,
     .when = "oscillator.derates == 0", .needs = "valve.frequency_max", .text = "frequency at full ratings", .source = "valve-data",
                 .remedy = "a lower frequency, or a valve rated for it"},
    {.key = "valve.frequency_derated", .figure = "oscillator.frequency", .limit = "valve.frequency_max_derated", .sense = RW_AT_MOST,
     .when = "oscillator.derates == 1", .text = "frequency at derated anode volts and dissipation", .source = "valve-data",
     .remedy = "a lower frequency, or a valve rated for it"},
};

static const char *const cycle_text[] = {"anode volts", "grid volts", "anode current", "grid current"};
static const rw_kind *const cycle_kind[] = {&rw_kind_voltage_dc, &rw_kind_voltage_dc, &rw_kind_current_dc, &rw_kind_current_dc};

static const rw_series series[] = {
    {.key = "cycle", .text = "the valve over one RF cycle, from the crest of the grid volts", .x_text = "angle", .x_kind = &rw_kind_angle,
     .n_curves = 4, .curve_text = cycle_text, .curve_kind = cycle_kind},
};

const rw_room rw_oscillator_room = {
    .name = "oscillator", .text = "Oscillator", .in_size = sizeof(rw_oscillator_in), .set_size = sizeof(rw_oscillator_set),
    .case_size = sizeof(rw_oscillator_case),
    .items = items, .n_items = sizeof items / sizeof items[0], .limits = limits, .n_limits = sizeof limits / sizeof limits[0],
    .series = series, .n_series = 1,
};
