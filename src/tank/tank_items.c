/* Figures of the tank. */
#include "item/rows.h"
#include "tank/tank.h"

#define IN(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_in, member, kind, symbol, text), .role = RW_PART
#define ASSUMED(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_in, member, kind, symbol, text), .role = RW_ASSUMED
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_set, member, kind, symbol, text), .role = RW_RESULT
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_tank_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define CHOICE(member, text_) \
	.key = #member, .offset = offsetof(rw_tank_in, member), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = (text_), \
	RW_FORMULAS(RW_BY_METHOD("the first of the choices", NULL, PRACTICE))
#define METHOD_WHEN(condition, what, keys, from) {.kind = RW_METHOD, .when = (condition), .text = (what), .reads = (keys), .source = (from)}
#define PRACTICE "rules-of-practice"
#define FIRST(names, what) RW_INPUT(.choices = (names), RW_RULE("R14", what, PRACTICE))

/* Topologies. */
#define WINDING    "tank.feedback == winding"
#define DIVIDER    "tank.feedback == capacitive"
#define NO_DIVIDER "tank.feedback != capacitive"
#define TAPPED     "tank.feedback == inductive"
#define NOT_TAPPED "tank.feedback != inductive"
#define SHUNT      "tank.feed == shunt"
#define SERIES_FED "tank.feed == series"
#define IN_BRANCH  "tank.coupling == series"
#define SECONDARY  "tank.coupling == secondary"
#define BYPASSED   "tank.feed == series and tank.arrangement == single"
#define AT_REST    "tank.feed == shunt or tank.arrangement == push_pull"
#define GRID_CHOKE "tank.feedback == capacitive or (tank.feedback == inductive and tank.feed == series)"
#define NO_GRID_CHOKE "tank.feedback == winding or (tank.feedback == inductive and tank.feed == shunt)"
#define MESH_C     "tank.secondary_capacitors == 1"
#define NO_MESH_C  "tank.secondary_capacitors == 0"
/* The topology all closed forms of one branch hold for: winding without current, load in the branch. */
#define PLAIN      "tank.feedback == winding and tank.coupling == series and tank.valve_capacitances == 0"
#define NOT_PLAIN  "tank.feedback != winding or tank.coupling != series or tank.valve_capacitances > 0"
#define NO_VOLTS   "0 * oscillator.anode_swing_pk"
#define NO_CURRENT "0 * oscillator.anode_current_pk"
#define NO_POWER   "0 * tank.power"

/* Parts of formulas. */
#define W        "2 * pi * oscillator.frequency"
#define SERIES_R "(output.resistance + " W " * tank.inductance / tank.inductor_q)"
#define SERIES_X "(output.reactance + " W " * tank.inductance)"
#define TAP_R    "(output.resistance + " W " * (tank.inductance + tank.grid_inductance) / tank.inductor_q)"
#define TAP_X    "(output.reactance + " W " * (tank.inductance + tank.grid_inductance + 2 * tank.grid_coupling * sqrt(tank.inductance * " \
                 "tank.grid_inductance)))"
#define CHOICES  "tank.feedback,tank.coupling,tank.feed,tank.arrangement"
#define STRAYS   "valve.anode_grid_capacitance,valve.grid_cathode_capacitance,valve.anode_cathode_capacitance,valve.parallel"
#define SERIES   "tank.inductance,tank.inductor_q,tank.capacitance,tank.loss_tangent,tank.blocking_capacitance,tank.bypass_capacitance," \
                 "tank.divider_anode_capacitance,tank.divider_grid_capacitance,tank.grid_mutual,settings.grid_mutual,settings.secondary_mutual,tank.grid_coupling,tank.grid_inductance," \
                 "tank.grid_choke_inductance,tank.secondary_inductance,tank.secondary_mutual,tank.secondary_capacitance,tank.secondary_q," \
                 "output.resistance,output.reactance,oscillator.frequency," CHOICES "," STRAYS
#define SOLVED   "the network solved at the anode's swing (circuit)"
#define NETWORK  RW_BY_METHOD(SOLVED, SERIES ",oscillator.anode_swing_pk,oscillator.swing_crest_pk", "nodal-analysis")
#define NETWORK_WHEN(condition) METHOD_WHEN(condition, SOLVED, SERIES ",oscillator.anode_swing_pk,oscillator.swing_crest_pk", "nodal-analysis")
#define POINT    "generator.frequency,oscillator.anode_voltage,oscillator.half_angle,oscillator.anode_voltage_min,valve.*," \
                 "work.heat_power," \
                 "work.empty,work.loads.*,generator.design_job,generator.design_load,leads.inductance,leads.resistance,output.wanted_current_rms,output.wanted_resistance,output.wanted_reactance,tank.inductor_q," \
                 "tank.loss_tangent,tank.grid_coupling,tank.q_wanted,tank.secondary_q,tank.earth," CHOICES
#define SIZING   "generator.frequency,tank.inductance,tank.inductor_q,leads.inductance,leads.resistance,work.loads.*," POINT
/* Peaks are at the crest of the HT's ripple, swing and rms values its equivalent over the cycle. */
#define CREST "(oscillator.swing_crest_pk / oscillator.anode_swing_pk)"
#define ACROSS(volts, part) "(" volts " / " CREST ")^2 / 2 * " W " * " part " * tank.loss_tangent"
#define THROUGH(current, part) current "^2 * tank.loss_tangent / (" W " * " part " * (1 + tank.loss_tangent^2))"
#define TANK_C_LOSS     ACROSS("tank.capacitor_voltage_pk", "tank.capacitance")
#define BLOCKING_LOSS   THROUGH("tank.blocking_current_rms", "tank.blocking_capacitance")

static const char *const feedbacks[] = {"winding", "capacitive", "inductive", NULL};
static const char *const couplings[] = {"series", "secondary", NULL};
static const char *const feeds[] = {"shunt", "series", NULL};
static const char *const earths[] = {"cathode", "anode", NULL};
static const char *const arrangements[] = {"single", "push_pull", NULL};
static const char *const places[] = {"tank", "blocking", "bypass", "divider_anode", "divider_grid", "secondary", NULL};

enum { CAPACITORS = 1 };   /* list number as items tell it */

static const rw_list lists[] = {
    {.key = "capacitors", .text = "a capacitor of the tank as bought", .capacity = RW_CAPACITORS_MAX,
     .count_at = (uint32_t)offsetof(rw_tank_in, n_capacitors), .in_at = (uint32_t)offsetof(rw_tank_in, capacitors),
     .in_stride = (uint32_t)sizeof(rw_capacitor_in), .case_at = (uint32_t)offsetof(rw_tank_case, capacitors),
     .case_stride = (uint32_t)sizeof(rw_capacitor_case)},
};

#define UNIT(member, kind_, symbol_, text_) \
	.key = "capacitors.*." #member, .offset = (uint32_t)offsetof(rw_capacitor_in, member), .list = CAPACITORS, .type = RW_NUMBER, \
	.kind = &rw_kind_##kind_, .symbol = (symbol_), .text = (text_)
#define OF_UNIT(member, kind_, symbol_, text_) \
	.key = "capacitors.*." #member, .offset = (uint32_t)offsetof(rw_capacitor_case, member), .list = CAPACITORS, .type = RW_NUMBER, \
	.role = RW_RESULT, .scope = RW_PER_CASE, .kind = &rw_kind_##kind_, .symbol = (symbol_), .text = (text_)
#define EACH(member)    "tank.capacitors.*." member
#define AT(place)       "tank.capacitors.*.place == " place
#define OF_PARALLEL     " / " EACH("in_parallel")
#define OF_SERIES       " / " EACH("in_series")
#define UNIT_READS      EACH("place") "," EACH("in_series") "," EACH("in_parallel") "," EACH("voltage_pk_max") "," \
                        EACH("reactive_max") "," \
                        EACH("current_rms_max") ",tank.capacitance,tank.blocking_capacitance,tank.bypass_capacitance," \
                        "tank.divider_anode_capacitance,tank.divider_grid_capacitance,tank.secondary_capacitance,oscillator.frequency," \
                        "oscillator.anode_voltage_crest"

static const char r5[] = "at the wanted frequency the total reactance carries the coil's current from the anode's swing; up to the step";
static const char swing_share[] = "by the operating point's grid swing over its anode swing, three digits";

static const rw_item items[] = {
    /* topology */
    {CHOICE(feedback, "how the grid is driven"), FIRST(feedbacks, "winding")},
    {CHOICE(coupling, "how the load is coupled to the tank"), FIRST(couplings, "series: in the tank inductor's branch")},
    {CHOICE(feed, "how the anode is fed"), FIRST(feeds, "shunt: through a choke, past a blocking capacitor")},
    {CHOICE(earth, "electrode at earth for direct volts: the other side stands at HT"), FIRST(earths, "cathode")},
    {CHOICE(arrangement, "one valve, or two in antiphase"), FIRST(arrangements, "single")},

    /* parts */
    {IN(capacitance, capacitance, "C", "tank capacitor; with a divider its two parts in series, from which they are chosen"),
     RW_FORMULAS(METHOD_WHEN(IN_BRANCH, "R5: 1/(w X), X = V_am/(sqrt 2 I_coil), up to the next capacitance_step",
                             POINT ",tank.capacitance_step", PRACTICE),
                 METHOD_WHEN(SECONDARY, "R14: reactance V^2/(2 P Q), V the swing across it, Q wanted, up to the next capacitance_step",
                             POINT ",tank.capacitance_step", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), RW_RULE("R5", r5, PRACTICE))},
    {IN(capacitance_step, capacitance, "", "step to which the tank capacitor is rounded up"),
     RW_FORMULAS(RW_BY_METHOD("100 pF", NULL, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-6), RW_RULE("R5", "100 pF", PRACTICE))},
    {IN(inductance, inductance, "L_t", "tank inductor"),
     RW_FORMULAS(METHOD_WHEN(PLAIN, "R5: (1 + sqrt(1 - (2 R w C)^2))/(2 w^2 C) less coil and leads, three digits",
                             "tank.capacitance," POINT, "series-parallel-tank"),
                 METHOD_WHEN(NOT_PLAIN, "R14: root of the anode's susceptance at the wanted frequency, three digits; four with a secondary",
                             "tank.capacitance,tank.divider_anode_capacitance,tank.divider_grid_capacitance,tank.secondary_inductance,"
                             "tank.secondary_capacitance,tank.secondary_mutual,tank.bypass_capacitance,tank.grid_choke_inductance,"
                             POINT "," STRAYS,
                             "nodal-analysis")),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), RW_RULE("R5", "for the wanted frequency with the rounded capacitor, to three digits", PRACTICE))},
    {ASSUMED(inductor_q, number, "Q_0", "unloaded Q of the tank inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("250", PRACTICE)), RW_INPUT(RW_FROM_TO(1.0, 1e5), RW_RULE("R6", "250, an estimate", PRACTICE))},
    {ASSUMED(loss_tangent, number, "tan\u03b4", "loss tangent of the tank's capacitors"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("0.001", PRACTICE)), RW_INPUT(RW_FROM_TO(0.0, 0.5), RW_RULE("R6", "0.001", PRACTICE))},
    {IN(grid_mutual, inductance, "M", "mutual inductance, tank inductor to grid winding"),
     RW_FORMULAS(METHOD_WHEN(WINDING,
                             "R7: grid swing over anode swing of the operating point, times the series reactance over w, three digits",
                             "tank.inductance,tank.capacitance,tank.secondary_inductance,tank.secondary_capacitance,tank.secondary_mutual,"
                             POINT, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true,
              RW_RULE("R7", "with a winding: drives the grid as the operating point wants, to three digits", PRACTICE))},
    {IN(grid_mutual_low, inductance, "", "least mutual inductance the grid winding can be turned to"),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true)},
    {IN(grid_mutual_high, inductance, "", "greatest mutual inductance the grid winding can be turned to"),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true)},
    {IN(grid_mutual_step, inductance, "", "step in which it can be set; left open: a hundredth of the span"),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), .optional = true)},
    {ASSUMED(grid_coupling, number, "k", "coupling factor of the grid winding, or between the parts of a tapped inductor"),
     RW_FORMULAS(RW_IS("0.3", PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 0.98), RW_RULE("R7", "0.3", PRACTICE))},
    {IN(grid_inductance, inductance, "L_g", "grid winding; of a tapped inductor the part from tap to grid"),
     RW_FORMULAS(RW_IS_WHEN(WINDING, "digits((tank.grid_mutual / tank.grid_coupling)^2 / tank.inductance, 3)", "coupled-coils"),
                 METHOD_WHEN(TAPPED, swing_share, "tank.capacitance," POINT, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true,
              RW_RULE("R7", "winding: (M/k)^2/L_t; tapped: gives the grid its share of the volts; to three digits", PRACTICE))},
    {IN(divider_anode_capacitance, capacitance, "C_1", "divider, anode to cathode"),
     RW_FORMULAS(METHOD_WHEN(DIVIDER, "R14: C (1 + rho), rho the operating point's grid swing over its anode swing, three digits",
                             "tank.capacitance," POINT, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), .optional = true, RW_RULE("R14", "with a divider: C (1 + rho), rho grid over anode swing", PRACTICE))},
    {IN(divider_grid_capacitance, capacitance, "C_2", "divider, cathode to grid"),
     RW_FORMULAS(METHOD_WHEN(DIVIDER, "R14: C_1/rho, rho the operating point's grid swing over its anode swing, three digits",
                             "tank.divider_anode_capacitance," POINT, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), .optional = true, RW_RULE("R14", "with a divider: C_1/rho", PRACTICE))},
    {IN(blocking_capacitance, capacitance, "C_b", "blocking capacitor between anode and tank, of each valve"),
     RW_FORMULAS(METHOD_WHEN(SHUNT, "R6: reactance 2 % of the anode load resistance of the state the set is sized on, two digits",
                             SIZING, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), .optional = true,
              RW_RULE("R6", "with shunt feed: reactance 2 % of the anode load resistance, two digits", PRACTICE))},
    {IN(choke_inductance, inductance, "L_ch", "anode feed choke, of each valve"),
     RW_FORMULAS(METHOD_WHEN(SHUNT, "R6: reactance 10 times the anode load resistance of the state the set is sized on, two digits",
                             SIZING, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 10.0), .optional = true,
              RW_RULE("R6", "with shunt feed: reactance 10 times the anode load resistance, two digits", PRACTICE))},
    {IN(choke_self_capacitance, capacitance, "C_ch", "own capacitance of the anode feed choke"),
     RW_INPUT(RW_OVER_TO(0.0, 1e-6), .optional = true)},
    {IN(bypass_capacitance, capacitance, "C_by", "bypass capacitor from the tank's cold end, at HT, to the cathode"),
     RW_FORMULAS(METHOD_WHEN(SERIES_FED, "R14: reactance 0.5 % of the anode load resistance of the state the set is sized on, two digits",
                             SIZING, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-3), .optional = true,
              RW_RULE("R14", "with series feed: reactance 0.5 % of the anode load resistance, two digits", PRACTICE))},
    {IN(grid_choke_inductance, inductance, "L_gc", "grid choke in series with the leak, of each valve"),
     RW_FORMULAS(METHOD_WHEN(GRID_CHOKE, "R14: reactance 30 times that of the grid's part of divider or inductor, two digits",
                             "tank.divider_grid_capacitance,tank.grid_inductance,generator.frequency," CHOICES, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 10.0), .optional = true,
              RW_RULE("R14", "where the leak's current has no other way: reactance 30 times that of what it lies across", PRACTICE))},
    {ASSUMED(q_wanted, number, "Q_w", "loaded Q wanted"),
     RW_FORMULAS(RW_IS_WHEN(SECONDARY, "15", PRACTICE)),
     RW_INPUT(RW_OVER_TO(1.0, 1e3), .optional = true, RW_RULE("R14", "with a secondary: 15", PRACTICE))},
    {IN(secondary_inductance, inductance, "L_2", "secondary inductor"),
     RW_FORMULAS(METHOD_WHEN(SECONDARY,
                             "R14: tunes a capacitive load at the wanted frequency; with an inductive one coupling factor 0.3, four digits",
                             POINT ",tank.secondary_capacitance", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true,
              RW_RULE("R14", "tunes a capacitive load; with an inductive one coupling factor 0.3; four digits", PRACTICE))},
    {IN(secondary_mutual, inductance, "M_2", "mutual inductance, tank inductor to secondary"),
     RW_FORMULAS(METHOD_WHEN(SECONDARY, "R14: the tank inductor's current drives the load's current through the mesh, three digits",
                             "tank.capacitance,tank.secondary_inductance,tank.secondary_capacitance," POINT, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true, RW_RULE("R14", "gives the load its current at the operating point's swing",
         PRACTICE))},
    {IN(secondary_capacitance, capacitance, "C_s", "capacitor in series in the secondary mesh"),
     RW_FORMULAS(METHOD_WHEN(SECONDARY, "R14: tunes the mesh at the wanted frequency, four digits", "tank.secondary_inductance," POINT,
         PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true, RW_RULE("R14", "with an inductive load: tunes the mesh; else none", PRACTICE))},
    {ASSUMED(secondary_q, number, "Q_20", "unloaded Q of the secondary inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(SECONDARY, "250", PRACTICE)),
     RW_INPUT(RW_FROM_TO(1.0, 1e5), .optional = true, RW_RULE("R14", "with a secondary: 250, an estimate", PRACTICE))},
    {ASSUMED(q_min, number, "Q_min", "least loaded Q"), RW_FORMULAS(RW_IS("8", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R5", "8", PRACTICE))},
    {ASSUMED(q_max, number, "Q_max", "greatest loaded Q"), RW_FORMULAS(RW_IS("40", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e4), RW_RULE("R5", "40", PRACTICE))},
    {ASSUMED(phase_error_max, angle, "", "greatest phase error of the grid volts"), RW_FORMULAS(RW_IS("10 * pi / 180", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 0.7), RW_RULE("R7", "10 degrees", PRACTICE))},

    /* capacitors as bought */
    {.key = "capacitors.*.place", .offset = (uint32_t)offsetof(rw_capacitor_in, place), .list = CAPACITORS, .type = RW_CHOICE,
        .role = RW_PART,
     .symbol = "", .text = "which of the tank's capacitors it is", RW_INPUT(.choices = places, .required = true)},
    {UNIT(in_parallel, number, "n_p", "units in parallel"), .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("1", NULL, PRACTICE)),
     RW_INPUT(RW_FROM_TO(1.0, 100.0), RW_RULE("R14", "1", PRACTICE))},
    {UNIT(in_series, number, "n_s", "units in series"), .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("1", NULL, PRACTICE)),
     RW_INPUT(RW_FROM_TO(1.0, 100.0), RW_RULE("R14", "1", PRACTICE))},
    {UNIT(voltage_pk_max, voltage_pk, "V_max", "greatest volts of one unit, DC and RF peak"), .role = RW_PART,
     RW_INPUT(RW_OVER_TO(0.0, 1e6), .optional = true)},
    {UNIT(current_rms_max, current_rms, "I_max", "greatest current of one unit"), .role = RW_PART,
     RW_INPUT(RW_OVER_TO(0.0, 1e5), .optional = true)},
    {UNIT(reactive_max, reactive_power, "Q_max", "greatest reactive power of one unit"), .role = RW_PART,
     RW_INPUT(RW_OVER_TO(0.0, 1e9), .optional = true)},

    /* of the set */
    {SET(valve_capacitances, number, "", "how many of the valve's capacitances are in the network"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("those given", STRAYS, "definition"))},
    {SET(secondary_capacitors, number, "", "1 where the secondary mesh has a capacitor"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("given or chosen", "tank.coupling,tank.secondary_capacitance,tank.secondary_inductance", "definition"))},
    {SET(anode_at_ht, number, "", "1 where the anode stands at HT, 0 where at earth"),
     RW_FORMULAS(RW_IS_WHEN("tank.earth == cathode", "1", "definition"), RW_IS_WHEN("tank.earth == anode", "0", "definition"))},
    {SET(tank_at_ht, number, "", "1 where the tank stands at HT, 0 where at earth"),
     RW_FORMULAS(RW_IS_WHEN("(tank.feed == series and tank.earth == cathode) or (tank.feed == shunt and tank.earth == anode)", "1",
         "definition"),
                 RW_IS_WHEN("(tank.feed == shunt and tank.earth == cathode) or (tank.feed == series and tank.earth == anode)", "0",
                     "definition"))},
    {SET(choke_capacitances, number, "", "1 where the feed choke's own capacitance is given"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("given or not", "tank.choke_self_capacitance", "definition"))},
    {SET(choke_self_resonance, frequency, "f_ch", "feed choke with its own capacitance; 0: that is not given"),
     RW_FORMULAS(RW_IS_WHEN("tank.choke_capacitances == 0", "0 * generator.frequency", "definition"),
                 RW_IS_WHEN("tank.choke_capacitances == 1", "1 / (2 * pi * sqrt(tank.choke_inductance * tank.choke_self_capacitance))",
                     "ac-power"))},
    {SET(choke_blocking_resonance, frequency, "f_cb", "feed choke with the blocking capacitor, through the tank; 0: none with series feed"),
     RW_FORMULAS(RW_IS_WHEN("tank.feed == shunt and tank.feedback != capacitive",
                            "1 / (2 * pi * sqrt((tank.choke_inductance + tank.inductance / oscillator.sides) * "
                            "tank.blocking_capacitance))",
                            "ac-power"),
                 RW_IS_WHEN(DIVIDER, "1 / (2 * pi * sqrt(tank.choke_inductance / (1 / tank.blocking_capacitance + 1 / (oscillator.sides * "
                            "(tank.divider_anode_capacitance + tank.divider_grid_capacitance)))))", "ac-power"),
                 RW_IS_WHEN(SERIES_FED, "0 * generator.frequency", "definition"))},

    /* of a case */
    {CASE(anode_load_resistance, resistance, "R_a", "anode load resistance at the fundamental, of each side of the tank"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN("tank.arrangement == single", "oscillator.anode_swing_pk^2 / (2 * tank.power)", "ac-power"),
                 RW_IS_WHEN("tank.arrangement == push_pull", "oscillator.sides * oscillator.anode_swing_pk^2 / (2 * tank.power)",
                     "ac-power"))},
    {CASE(loaded_q, number, "Q_L", "loaded Q"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN("tank.coupling == series and tank.feedback != inductive", SERIES_X " / " SERIES_R, "series-parallel-tank"),
                 RW_IS_WHEN("tank.coupling == series and tank.feedback == inductive", TAP_X " / " TAP_R, "series-parallel-tank"),
                 RW_IS_WHEN("tank.coupling == secondary and tank.feedback != inductive",
                            "tank.inductor_current_rms^2 * " W " * tank.inductance / tank.power", "series-parallel-tank"),
                 RW_IS_WHEN("tank.coupling == secondary and tank.feedback == inductive", "tank.capacitor_reactive / tank.power",
                     "series-parallel-tank"))},
    {CASE(phase_error, angle, "\u03c6_g", "phase error of the grid volts"), .uncertainty = 0.1,
     RW_FORMULAS(RW_BY_METHOD("angle of the open grid's volts against exact opposition, from the network (circuit)",
                              SERIES ",tank.choke_inductance", "nodal-analysis"))},
    {CASE(power, power, "P_tank", "power to tank, leads, coil and work, of all valves"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("output.power + tank.inductor_loss + tank.capacitor_loss + tank.grid_inductor_loss + "
                       "tank.secondary_inductor_loss + tank.secondary_capacitor_loss", "energy"))},
    {CASE(capacitor_voltage_pk, voltage_pk, "V_C", "volts of the tank capacitor, or the divider's anode part"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(PLAIN, "sqrt(2) * tank.inductor_current_rms * sqrt(" SERIES_R "^2 + " SERIES_X "^2) * " CREST, "series-parallel-tank"),
                 NETWORK_WHEN(NOT_PLAIN))},
    {CASE(capacitor_current_rms, current_rms, "I_C", "current of the tank capacitor, or the divider's anode part"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(NO_DIVIDER, "tank.capacitor_voltage_pk / " CREST " / sqrt(2) * " W " * tank.capacitance * sqrt(1 + tank.loss_tangent^2)",
         "ac-power"),
                 RW_IS_WHEN(DIVIDER, "tank.capacitor_voltage_pk / " CREST " / sqrt(2) * " W " * "
                            "tank.divider_anode_capacitance * sqrt(1 + tank.loss_tangent^2)",
                            "ac-power"))},
    {CASE(capacitor_reactive, reactive_power, "Q_C", "reactive power of the tank capacitor, or the divider's anode part"),
        .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("tank.capacitor_voltage_pk / " CREST " / sqrt(2) * tank.capacitor_current_rms", "ac-power"))},
    {CASE(capacitor_loss, power, "P_C", "loss in tank (divider), blocking and bypass capacitors"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN("tank.feed == shunt and tank.feedback != capacitive and tank.arrangement == single",
         TANK_C_LOSS " + " BLOCKING_LOSS,
                            "ac-power"),
                 RW_IS_WHEN("tank.feed == shunt and tank.feedback != capacitive and tank.arrangement == push_pull",
                            TANK_C_LOSS " + 2 * " BLOCKING_LOSS, "ac-power"),
                 RW_IS_WHEN(SERIES_FED, TANK_C_LOSS " + " THROUGH("tank.bypass_current_rms", "tank.bypass_capacitance"), "ac-power"),
                 RW_IS_WHEN(DIVIDER, ACROSS("tank.capacitor_voltage_pk", "tank.divider_anode_capacitance") " + "
                            ACROSS("tank.divider_grid_voltage_pk", "tank.divider_grid_capacitance") " + oscillator.sides * " BLOCKING_LOSS,
                            "ac-power"))},
    {CASE(inductor_current_rms, current_rms, "I_L", "current of the tank inductor"), .uncertainty = 0.05, RW_FORMULAS(NETWORK)},
    {CASE(output_current_rms, current_rms, "I_out", "current at the generator's terminals"), .uncertainty = 0.05, RW_FORMULAS(NETWORK)},
    {CASE(inductor_voltage_pk, voltage_pk, "V_L", "volts of the tank inductor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(PLAIN, "sqrt(2) * tank.inductor_current_rms * " W " * tank.inductance * sqrt(1 + 1 / tank.inductor_q^2) * " CREST,
         "ac-power"),
                 NETWORK_WHEN(NOT_PLAIN))},
    {CASE(inductor_loss, power, "P_L", "loss in the tank inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("tank.inductor_current_rms^2 * " W " * tank.inductance / tank.inductor_q", "ac-power"))},
    {CASE(blocking_voltage_pk, voltage_pk, "V_b", "HT and RF peak across the blocking capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(SHUNT, "oscillator.anode_voltage_crest + "
                            CREST " * sqrt(2) * tank.blocking_current_rms / (" W " * tank.blocking_capacitance * "
                            "sqrt(1 + tank.loss_tangent^2))", "ac-power"), RW_IS_WHEN(SERIES_FED, NO_VOLTS, "definition"))},
    {CASE(blocking_current_rms, current_rms, "I_b", "RF current of the blocking capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(NETWORK_WHEN(SHUNT), RW_IS_WHEN(SERIES_FED, NO_CURRENT, "definition"))},
    {CASE(choke_current_rms, current_rms, "I_ch", "RF current of the feed choke"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(SHUNT, "oscillator.anode_swing_pk / sqrt(2) / (" W " * tank.choke_inductance)", "ac-power"),
                 RW_IS_WHEN(SERIES_FED, NO_CURRENT, "definition"))},
    {CASE(grid_winding_voltage_pk, voltage_pk, "V_gm", "volts of the grid winding, or the tapped inductor's grid part"),
        .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN("tank.feedback == winding and tank.valve_capacitances == 0",
                            "sqrt(2) * " W " * settings.grid_mutual * tank.inductor_current_rms * " CREST, "coupled-coils"),
                 RW_IS_WHEN("tank.feedback == winding and tank.valve_capacitances > 0", "oscillator.sides * oscillator.grid_swing_pk * " CREST,
                     "definition"),
                 NETWORK_WHEN(TAPPED), RW_IS_WHEN(DIVIDER, NO_VOLTS, "definition"))},
    {CASE(grid_inductor_current_rms, current_rms, "I_Lg", "current of the tapped inductor's grid part"), .uncertainty = 0.05,
     RW_FORMULAS(NETWORK_WHEN(TAPPED), RW_IS_WHEN(NOT_TAPPED, NO_CURRENT, "definition"))},
    {CASE(grid_inductor_loss, power, "P_Lg", "loss in the tapped inductor's grid part"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(TAPPED, "tank.grid_inductor_current_rms^2 * " W " * tank.grid_inductance / tank.inductor_q", "ac-power"),
                 RW_IS_WHEN(NOT_TAPPED, NO_POWER, "definition"))},
    {CASE(divider_grid_voltage_pk, voltage_pk, "V_C2", "volts of the divider's grid part"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(DIVIDER, "oscillator.sides * oscillator.grid_swing_pk * " CREST, "definition"),
                 RW_IS_WHEN(NO_DIVIDER, NO_VOLTS, "definition"))},
    {CASE(divider_grid_current_rms, current_rms, "I_C2", "current of the divider's grid part"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(DIVIDER,
                            "tank.divider_grid_voltage_pk / " CREST " / sqrt(2) * " W " * tank.divider_grid_capacitance * "
                            "sqrt(1 + tank.loss_tangent^2)",
                            "ac-power"), RW_IS_WHEN(NO_DIVIDER, NO_CURRENT, "definition"))},
    {CASE(bypass_voltage_pk, voltage_pk, "V_by", "HT and RF peak across the bypass capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(SERIES_FED, "oscillator.anode_voltage_crest + "
                            CREST " * sqrt(2) * tank.bypass_current_rms / (" W " * tank.bypass_capacitance * "
                            "sqrt(1 + tank.loss_tangent^2))", "ac-power"), RW_IS_WHEN(SHUNT, NO_VOLTS, "definition"))},
    {CASE(bypass_current_rms, current_rms, "I_by", "RF current of the bypass capacitor, fundamental"), .uncertainty = 0.05,
     RW_FORMULAS(NETWORK_WHEN(BYPASSED), RW_IS_WHEN(AT_REST, NO_CURRENT, "definition"))},
    {CASE(grid_choke_current_rms, current_rms, "I_gc", "RF current of the grid choke"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(GRID_CHOKE, "oscillator.grid_swing_pk / sqrt(2) / (" W " * tank.grid_choke_inductance)", "ac-power"),
                 RW_IS_WHEN(NO_GRID_CHOKE, NO_CURRENT, "definition"))},
    {CASE(secondary_inductor_voltage_pk, voltage_pk, "V_L2", "volts of the secondary inductor"), .uncertainty = 0.05,
     RW_FORMULAS(NETWORK_WHEN(SECONDARY), RW_IS_WHEN(IN_BRANCH, NO_VOLTS, "definition"))},
    {CASE(secondary_inductor_loss, power, "P_L2", "loss in the secondary inductor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(SECONDARY, "tank.output_current_rms^2 * " W " * tank.secondary_inductance / tank.secondary_q", "ac-power"),
                 RW_IS_WHEN(IN_BRANCH, NO_POWER, "definition"))},
    {CASE(secondary_capacitor_voltage_pk, voltage_pk, "V_Cs", "volts of the secondary's capacitor"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(MESH_C,
                            "sqrt(2) * tank.output_current_rms / (" W " * tank.secondary_capacitance * sqrt(1 + tank.loss_tangent^2)) * " CREST,
                            "ac-power"), RW_IS_WHEN(NO_MESH_C, NO_VOLTS, "definition"))},
    {CASE(secondary_capacitor_loss, power, "P_Cs", "loss in the secondary's capacitor"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS_WHEN(MESH_C, THROUGH("tank.output_current_rms", "tank.secondary_capacitance"), "ac-power"),
                 RW_IS_WHEN(NO_MESH_C, NO_POWER, "definition"))},

    /* one unit of a capacitor */
    {OF_UNIT(voltage_pk, voltage_pk, "V", "DC and RF peak across one unit"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(AT("tank") " or " AT("divider_anode"), "tank.capacitor_voltage_pk" OF_SERIES, "definition"),
                 RW_IS_WHEN(AT("blocking"), "tank.blocking_voltage_pk" OF_SERIES, "definition"),
                 RW_IS_WHEN(AT("bypass"), "tank.bypass_voltage_pk" OF_SERIES, "definition"),
                 RW_IS_WHEN(AT("divider_grid"), "tank.divider_grid_voltage_pk" OF_SERIES, "definition"),
                 RW_IS_WHEN(AT("secondary"), "tank.secondary_capacitor_voltage_pk" OF_SERIES, "definition"))},
    {OF_UNIT(current_rms, current_rms, "I", "current of one unit"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(AT("tank") " or " AT("divider_anode"), "tank.capacitor_current_rms" OF_PARALLEL, "definition"),
                 RW_IS_WHEN(AT("blocking"), "tank.blocking_current_rms" OF_PARALLEL, "definition"),
                 RW_IS_WHEN(AT("bypass"), "tank.bypass_current_rms" OF_PARALLEL, "definition"),
                 RW_IS_WHEN(AT("divider_grid"), "tank.divider_grid_current_rms" OF_PARALLEL, "definition"),
                 RW_IS_WHEN(AT("secondary"), "tank.output_current_rms" OF_PARALLEL, "definition"))},
    {OF_UNIT(reactive, reactive_power, "Q", "reactive power of one unit"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(AT("blocking") " or " AT("bypass"),
         "(" EACH("voltage_pk") " - oscillator.anode_voltage_crest" OF_SERIES ") / " CREST " / sqrt(2) * "
                            EACH("current_rms"), "ac-power"),
                 RW_IS_WHEN("not (" AT("blocking") " or " AT("bypass") ")", EACH("voltage_pk") " / " CREST " / sqrt(2) * " EACH("current_rms"),
                     "ac-power"))},
    {OF_UNIT(rf_voltage_allowed_rms, voltage_rms, "V_rf", "RF volts one unit may bear at this frequency; 0: no rating is given"),
     RW_FORMULAS(RW_BY_METHOD("least of (V_max - DC)/sqrt 2, sqrt(Q_max/(w C)) and I_max/(w C) of one unit, of those given", UNIT_READS,
         "ac-power"))},
    {OF_UNIT(segment, number, "", "which rating governs: 0 volts, 1 reactive power, 2 current, -1 none is given"),
     RW_FORMULAS(RW_BY_METHOD("the least of them", UNIT_READS, "ac-power"))},
};

static const rw_limit limits[] = {
    {.key = "tank.q_least", .figure = "tank.loaded_q", .limit = "tank.q_min", .sense = RW_AT_LEAST, .when = "case.is_empty == 0",
     .text = "loaded Q", .source = PRACTICE, .remedy = "a larger tank capacitor with less tank inductance"},
    {.key = "tank.q_greatest", .figure = "tank.loaded_q", .limit = "tank.q_max", .sense = RW_AT_MOST, .when = "case.is_empty == 0",
     .text = "loaded Q", .source = PRACTICE, .remedy = "a smaller tank capacitor with more tank inductance"},
    {.key = "tank.phase_error", .figure = "abs(tank.phase_error)", .limit = "tank.phase_error_max", .sense = RW_AT_MOST,
     .text = "phase error of the grid volts", .source = PRACTICE, .remedy = "a higher loaded Q"},
    {.key = "tank.choke_self_resonance", .figure = "oscillator.frequency",
        .limit = "0.8 / (2 * pi * sqrt(tank.choke_inductance * tank.choke_self_capacitance))", .sense = RW_AT_MOST,
     .when = SHUNT, .needs = "tank.choke_self_capacitance", .text = "working frequency under the choke's own resonance", .source = PRACTICE,
     .remedy = "a choke of less own capacitance, wound in sections"},
    {.key = "tank.choke_blocking_resonance", .figure = "tank.choke_blocking_resonance", .limit = "generator.frequency / 3",
        .sense = RW_AT_MOST,
     .when = SHUNT, .text = "feed choke with the blocking capacitor", .source = PRACTICE,
     .remedy = "a larger feed choke or blocking capacitor"},
    {.key = "tank.capacitor_voltage", .figure = EACH("voltage_pk"), .limit = EACH("voltage_pk_max"), .sense = RW_AT_MOST,
     .needs = EACH("voltage_pk_max"), .text = "volts of a capacitor", .source = "generator-file", .remedy = "more units in series"},
    {.key = "tank.capacitor_current", .figure = EACH("current_rms"), .limit = EACH("current_rms_max"), .sense = RW_AT_MOST,
     .needs = EACH("current_rms_max"), .text = "current of a capacitor", .source = "generator-file", .remedy = "more units in parallel"},
    {.key = "tank.capacitor_reactive", .figure = EACH("reactive"), .limit = EACH("reactive_max"), .sense = RW_AT_MOST,
     .needs = EACH("reactive_max"), .text = "reactive power of a capacitor", .source = "generator-file", .remedy = "more units"},
};

const rw_room rw_tank_room = {
    .name = "tank", .text = "Tank", .in_size = sizeof(rw_tank_in), .set_size = sizeof(rw_tank_set), .case_size = sizeof(rw_tank_case),
    .items = items, .n_items = sizeof items / sizeof items[0], .limits = limits, .n_limits = sizeof limits / sizeof limits[0],
    .lists = lists, .n_lists = 1,
};
