#include "item/rows.h"
#include "tank/tank.h"

#define IN(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_in, member, kind, symbol, text), .role = RW_PART
#define ASSUMED(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_in, member, kind, symbol, text), .role = RW_ASSUMED
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE

/* Parts of formulas. */
#define W        "2 * pi * oscillator.frequency"
#define SERIES_R "(output.resistance + " W " * tank.inductance / tank.inductor_q)"
#define SERIES_X "(output.reactance + " W " * tank.inductance)"
#define SERIES   "tank.inductance,tank.inductor_q,tank.capacitance,tank.loss_tangent,tank.blocking_capacitance,output.resistance," \
                 "output.reactance,oscillator.frequency"
#define NETWORK  RW_BY_METHOD("the network solved at the anode's swing (circuit)", SERIES ",oscillator.anode_swing_pk", "nodal-analysis")
#define SIZING   "generator.frequency,tank.inductance,tank.inductor_q,leads.inductance,leads.resistance,work.loads.*"

static const char r5[] = "at the wanted frequency the total reactance carries the coil's current from the anode's swing; up to the step";

static const rw_item items[] = {
    {IN(capacitance, capacitance, "C", "tank capacitor"),
     RW_FORMULAS(RW_BY_METHOD("R5: 1/(w X), X = V_am/(sqrt 2 I_coil), up to the next capacitance_step",
                              "generator.frequency,oscillator.anode_voltage,oscillator.anode_voltage_min,work.heat_power,work.loads.*,"
                                          "tank.capacitance_step", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), RW_RULE("R5", r5, "rules-of-practice"))},
    {IN(capacitance_step, capacitance, "", "step to which the tank capacitor is rounded up"),
     RW_FORMULAS(RW_BY_METHOD("100 pF", NULL, "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-6), RW_RULE("R5", "100 pF", "rules-of-practice"))},
    {IN(inductance, inductance, "L_t", "tank inductor"),
     RW_FORMULAS(RW_BY_METHOD("R5: (1 + sqrt(1 - (2 R w C)^2))/(2 w^2 C) less coil and leads, three digits",
                              "generator.frequency,tank.capacitance,work.loads.*,leads.inductance,leads.resistance,tank.inductor_q,"
                                          "generator.design_job,generator.design_load", "series-parallel-tank")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), RW_RULE("R5", "for the wanted frequency with the rounded capacitor, to three digits",
                 "rules-of-practice"))},
    {ASSUMED(inductor_q, number, "Q_0", "unloaded Q of the tank inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("250", "rules-of-practice")), RW_INPUT(RW_FROM_TO(1.0, 1e5), RW_RULE("R6", "250, an estimate", "rules-of-practice"))},
    {ASSUMED(loss_tangent, number, "tan\u03b4", "loss tangent of tank and blocking capacitors"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("0.001", "rules-of-practice")), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R6", "0.001", "rules-of-practice"))},
    {IN(grid_mutual, inductance, "M", "mutual inductance, tank inductor to grid winding"),
     RW_FORMULAS(RW_BY_METHOD("R7: grid swing over anode swing of the operating point, times the series reactance over w, three digits",
                              "generator.frequency,oscillator.anode_voltage,oscillator.half_angle,oscillator.anode_voltage_min,valve.*,"
                                          "tank.inductance,tank.capacitance,tank.inductor_q,work.heat_power,work.loads.*,leads.inductance,"
                                          "leads.resistance", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), RW_RULE("R7", "drives the grid as the operating point wants, to three digits", "rules-of-practice"))},
    {ASSUMED(grid_coupling, number, "k", "coupling factor of the grid winding"),
     RW_FORMULAS(RW_IS("0.3", "rules-of-practice")), RW_INPUT(RW_OVER_TO(0.0, 0.98), RW_RULE("R7", "0.3", "rules-of-practice"))},
    {IN(grid_inductance, inductance, "L_g", "grid winding"),
     RW_FORMULAS(RW_IS("digits((tank.grid_mutual / tank.grid_coupling)^2 / tank.inductance, 3)", "coupled-coils")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), RW_RULE("R7", "(M/k)^2/L_t, to three digits", "rules-of-practice"))},
    {IN(blocking_capacitance, capacitance, "C_b", "blocking capacitor between anode and tank"),
     RW_FORMULAS(RW_BY_METHOD("R6: reactance 2 % of the anode load resistance of the state the set is sized on, two digits",
                              SIZING, "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), RW_RULE("R6", "reactance 2 % of the anode load resistance, two digits", "rules-of-practice"))},
    {IN(choke_inductance, inductance, "L_ch", "anode feed choke"),
     RW_FORMULAS(RW_BY_METHOD("R6: reactance 10 times the anode load resistance of the state the set is sized on, two digits",
                              SIZING, "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 10.0), RW_RULE("R6", "reactance 10 times the anode load resistance, two digits", "rules-of-practice"))},
    {ASSUMED(q_min, number, "Q_min", "least loaded Q"), RW_FORMULAS(RW_IS("8", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R5", "8", "rules-of-practice"))},
    {ASSUMED(q_max, number, "Q_max", "greatest loaded Q"), RW_FORMULAS(RW_IS("40", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R5", "40", "rules-of-practice"))},
    {ASSUMED(phase_error_max, angle, "", "greatest phase error of the grid volts"), RW_FORMULAS(RW_IS("10 * pi / 180", "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 0.7), RW_RULE("R7", "10 degrees", "rules-of-practice"))},

    {CASE(anode_load_resistance, resistance, "R_a", "anode load resistance at the fundamental"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("oscillator.anode_swing_pk^2 / (2 * tank.power)", "ac-power"))},
    {CASE(loaded_q, number, "Q_L", "loaded Q"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS(SERIES_X " / " SERIES_R, "series-parallel-tank"))},
    {CASE(phase_error, angle, "\u03c6_g", "phase error of the grid volts"), .uncertainty = 0.1,
     RW_FORMULAS(RW_BY_METHOD("angle of the open grid winding's volts against exact opposition, from the network (circuit)",
                              SERIES ",tank.grid_mutual,tank.choke_inductance,tank.grid_inductance", "nodal-analysis"))},
    {CASE(power, power, "P_tank", "power to tank, leads, coil and work"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("output.power + tank.inductor_loss + tank.capacitor_loss", "energy"))},
    {CASE(capacitor_voltage_pk, voltage_pk, "V_C", "volts of the tank capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("sqrt(2) * tank.inductor_current_rms * sqrt(" SERIES_R "^2 + " SERIES_X "^2)", "series-parallel-tank"))},
    {CASE(capacitor_current_rms, current_rms, "I_C", "current of the tank capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("tank.capacitor_voltage_pk / sqrt(2) * " W " * tank.capacitance * sqrt(1 + tank.loss_tangent^2)", "ac-power"))},
    {CASE(capacitor_reactive, reactive_power, "Q_C", "reactive power of the tank capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("tank.capacitor_voltage_pk / sqrt(2) * tank.capacitor_current_rms", "ac-power"))},
    {CASE(capacitor_loss, power, "P_C", "loss in tank and blocking capacitors"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("tank.capacitor_voltage_pk^2 / 2 * " W " * tank.capacitance * tank.loss_tangent + "
                       "tank.blocking_current_rms^2 * tank.loss_tangent / (" W " * tank.blocking_capacitance * (1 + tank.loss_tangent^2))",
                                   "ac-power"))},
    {CASE(inductor_current_rms, current_rms, "I_L", "current of the tank inductor"), .uncertainty = 0.05, RW_FORMULAS(NETWORK)},
    {CASE(output_current_rms, current_rms, "I_out", "current at the generator's terminals"), .uncertainty = 0.05, RW_FORMULAS(NETWORK)},
    {CASE(inductor_voltage_pk, voltage_pk, "V_L", "volts of the tank inductor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("sqrt(2) * tank.inductor_current_rms * " W " * tank.inductance * sqrt(1 + 1 / tank.inductor_q^2)", "ac-power"))},
    {CASE(inductor_loss, power, "P_L", "loss in the tank inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("tank.inductor_current_rms^2 * " W " * tank.inductance / tank.inductor_q", "ac-power"))},
    {CASE(blocking_voltage_pk, voltage_pk, "V_b", "HT and RF peak across the blocking capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("oscillator.anode_voltage_dc + sqrt(2) * tank.blocking_current_rms / (" W " * tank.blocking_capacitance * sqrt(1 + "
                 "tank.loss_tangent^2))", "ac-power"))},
    {CASE(blocking_current_rms, current_rms, "I_b", "RF current of the blocking capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(NETWORK)},
    {CASE(choke_current_rms, current_rms, "I_ch", "RF current of the feed choke"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("oscillator.anode_swing_pk / sqrt(2) / (" W " * tank.choke_inductance)", "ac-power"))},
    {CASE(grid_winding_voltage_pk, voltage_pk, "V_gm", "volts of the grid winding"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("sqrt(2) * " W " * tank.grid_mutual * tank.inductor_current_rms", "coupled-coils"))},
};

static const rw_limit limits[] = {
    {.key = "tank.q_least", .figure = "tank.loaded_q", .limit = "tank.q_min", .sense = RW_AT_LEAST, .when = "case.is_empty == 0",
     .text = "loaded Q", .source = "rules-of-practice", .remedy = "a larger tank capacitor with less tank inductance"},
    {.key = "tank.q_greatest", .figure = "tank.loaded_q", .limit = "tank.q_max", .sense = RW_AT_MOST, .when = "case.is_empty == 0",
     .text = "loaded Q", .source = "rules-of-practice", .remedy = "a smaller tank capacitor with more tank inductance"},
    {.key = "tank.phase_error", .figure = "abs(tank.phase_error)", .limit = "tank.phase_error_max", .sense = RW_AT_MOST,
     .text = "phase error of the grid volts", .source = "rules-of-practice", .remedy = "a higher loaded Q"},
};

const rw_room rw_tank_room = {
    .name = "tank", .text = "Tank", .in_size = sizeof(rw_tank_in), .case_size = sizeof(rw_tank_case),
    .items = items, .n_items = sizeof items / sizeof items[0], .limits = limits, .n_limits = sizeof limits / sizeof limits[0],
};
