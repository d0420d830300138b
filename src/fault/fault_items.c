/* Figures of the standing faults: of the set, and of each job's load circuit. */
#include "fault/fault.h"
#include "item/rows.h"

#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_fault_set, member, kind, symbol, text), .role = RW_RESULT

#define PRACTICE "rules-of-practice"
#define STATIC_READS "valve.law,valve.perveance,valve.mu,valve.division,valve.emission,oscillator.valves,supply.nominal_no_load_voltage_dc," \
                     "supply.phase_reactance,supply.phase_resistance,supply.secondary_voltage_rms,supply.diodes_in_series," \
                     "supply.diode_drop_dc,supply.connection,supply.filter_resistance,protection.bleeder_resistance,protection.series_resistance," \
                     "valve.points"
#define STATIC(what, mains) RW_FORMULAS(RW_BY_METHOD(what, STATIC_READS "," mains, "grid-leak"))
#define STATIC_VOLTS(mains) STATIC("where the valves at zero grid volts meet the supply's regulation (docs/theory/faults.md, section 1)", mains)
#define STATIC_AMPS(mains) STATIC("the law of all valves at zero grid volts and these anode volts", mains)
#define LOSS_OF(mains) RW_FORMULAS(RW_IS("fault.stopped_voltage_" mains " * fault.stopped_current_" mains " / oscillator.valves", "energy"))
#define BRIDGE  "supply.connection == bridge"
#define HALF    "supply.connection == half_wave"
#define SERIES  "supply.connection == twelve_series"
#define ABREAST "supply.connection == twelve_parallel"
#define SINGLE  "supply.connection == single_phase"
#define BRIDGE_ON(primary, secondary) \
	"(" BRIDGE " and supply.primary_winding == " primary " and supply.secondary_winding == " secondary ")"
#define ALIKE   BRIDGE_ON("star", "star") " or " BRIDGE_ON("delta", "delta") " or (" HALF " and supply.primary_winding == star)"
#define UNLIKE  BRIDGE_ON("star", "delta") " or " BRIDGE_ON("delta", "star") " or (" HALF " and supply.primary_winding == delta)"
#define WAVEFORM(what) RW_FORMULAS(RW_BY_METHOD(what " (docs/theory/faults.md, section 3)", "supply.connection,supply.primary_winding,supply.secondary_winding", "phase-missing"))

#define EMPTY_READS "oscillator.grid_current_greatest,oscillator.grid_leak,valve.grid_current_max_unloaded,valve.grid_margin,work.heat,oscillator.drive_power," \
                    "oscillator.efficiency,case.is_empty,case.is_job_load,supply.secondary_voltage_rms,cases.mains_high," \
                    "supply.current_dc,tank.power"
#define EMPTY(what) RW_FORMULAS(RW_BY_METHOD(what " (docs/theory/faults.md, section 5)", EMPTY_READS, PRACTICE))

static const rw_item items[] = {
    /* inputs */
    {RW_NUMBER_OF(rw_fault_in, anode_time, time, "t_a", "how long an anode bears its rated dissipation on top of what it carries"),
     .role = RW_ASSUMED, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 60.0), RW_RULE("R25", "1 s", PRACTICE))},
    {RW_NUMBER_OF(rw_fault_in, anode_energy, energy, "W_a", "energy an anode bears on top of what it carries"),
     .role = RW_ASSUMED, RW_FORMULAS(RW_IS("valve.anode_dissipation_max * fault.anode_time", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e7), RW_RULE("R25", "rated dissipation times the time above", PRACTICE))},
    {RW_NUMBER_OF(rw_fault_in, earthing_resistance, resistance, "R_e", "resistor in the earthing device"),
     .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e6), RW_RULE("R25", "100 ohm", PRACTICE))},

    /* not oscillating */
    {SET(stopped_voltage_low, voltage_dc, "V_s", "anode volts when it does not oscillate, mains low"), .uncertainty = 0.05,
     STATIC_VOLTS("cases.mains_low")},
    {SET(stopped_voltage_nominal, voltage_dc, "V_s", "anode volts when it does not oscillate, nominal mains"), .uncertainty = 0.05,
     STATIC_VOLTS("cases.mains_nominal")},
    {SET(stopped_voltage_high, voltage_dc, "V_s", "anode volts when it does not oscillate, mains high"), .uncertainty = 0.05,
     STATIC_VOLTS("cases.mains_high")},
    {SET(stopped_current_low, current_dc, "I_s", "current of all valves when it does not oscillate, mains low"), .uncertainty = 0.1,
     STATIC_AMPS("cases.mains_low")},
    {SET(stopped_current_nominal, current_dc, "I_s", "current of all valves when it does not oscillate, nominal mains"), .uncertainty = 0.1,
     STATIC_AMPS("cases.mains_nominal")},
    {SET(stopped_current_high, current_dc, "I_s", "current of all valves when it does not oscillate, mains high"), .uncertainty = 0.1,
     STATIC_AMPS("cases.mains_high")},
    {SET(stopped_loss_low, power, "P_s", "each anode when it does not oscillate, mains low"), .uncertainty = 0.1, LOSS_OF("low")},
    {SET(stopped_loss_nominal, power, "P_s", "each anode when it does not oscillate, nominal mains"), .uncertainty = 0.1, LOSS_OF("nominal")},
    {SET(stopped_loss_high, power, "P_s", "each anode when it does not oscillate, mains high, no current limit"), .uncertainty = 0.1,
     LOSS_OF("high")},
    {SET(stopped_mains_current_rms, current_rms, "I_1s", "mains line current then, mains high, no current limit"), .uncertainty = 0.1,
     STATIC("the supply at that current", "cases.mains_high,supply.iron_loss,site.mains_voltage_rms")},
    {SET(current_limited, number, "", "1 when the supply is held to a current that the valves reach"), .internal = true,
     STATIC("whether a limit is given and reached at mains high", "cases.mains_high,supply.current_limit_dc")},
    {SET(limited_voltage_dc, voltage_dc, "V_lim", "anode volts when it does not oscillate, folded by the current limit"), .partial = true,
     .uncertainty = 0.05, STATIC("where valves and bleeder take the limit's current", "cases.mains_high,supply.current_limit_dc")},
    {SET(limited_current_dc, current_dc, "I_lim", "current of all valves at the limit"), .partial = true, .uncertainty = 0.1,
     RW_FORMULAS(RW_IS("supply.current_limit_dc - fault.limited_voltage_dc / protection.bleeder_resistance", "energy"))},
    {SET(limited_loss, power, "P_lim", "each anode at the limit"), .partial = true, .uncertainty = 0.1,
     RW_FORMULAS(RW_IS("fault.limited_voltage_dc * fault.limited_current_dc / oscillator.valves", "energy"))},
    {SET(stopped_loss, power, "P_s", "each anode when it does not oscillate, mains high, with the current limit where there is one"),
     .uncertainty = 0.1,
     RW_FORMULAS(RW_IS_WHEN("fault.current_limited == 1", "fault.limited_loss", "energy"),
                 RW_IS_WHEN("fault.current_limited == 0", "fault.stopped_loss_high", "energy"))},
    {SET(anode_bears_time, time, "t_b", "time until that has put into the anode what it bears"), .uncertainty = 0.5, .by = RW_BY_ESTIMATE,
     RW_FORMULAS(RW_IS("fault.anode_energy / fault.stopped_loss", "energy"))},

    /* phase missing */
    {SET(primary_line_share, number, "V/V_n", "mean HT over normal with one primary line missing"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(ALIKE, "2 / 3", "phase-missing"), RW_IS_WHEN(UNLIKE, "1 / sqrt(3)", "phase-missing"),
                 RW_IS_WHEN(SERIES, "(2 / 3 + 1 / sqrt(3)) / 2", "phase-missing"),
                 RW_IS_WHEN(ABREAST, "2 / 3", "phase-missing"),
                 RW_IS_WHEN(SINGLE, "0", "phase-missing"))},
    {SET(primary_line_ripple, fraction, "", "ripple then, rms at twice the mains frequency over that mean"), .uncertainty = 0.1,
     WAVEFORM("component of the rectified waveform by quadrature")},
    {SET(primary_line_current, number, "I/I_n", "greatest line current left then over normal"), .uncertainty = 0.1,
     WAVEFORM("rms of the line currents by ampere-turns, load like a resistance")},
    {SET(secondary_line_share, number, "V/V_n", "mean HT over normal with one secondary line missing"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN(BRIDGE, "2 / 3", "phase-missing"), RW_IS_WHEN(SERIES, "5 / 6", "phase-missing"),
                 RW_IS_WHEN(HALF, "(2 + sqrt(3)) / (3 * sqrt(3))", "phase-missing"),
                 RW_IS_WHEN(ABREAST, "1 + (4 * sin(pi / 12) - 1) / 3", "phase-missing"),
                 RW_IS_WHEN(SINGLE, "0", "phase-missing"))},
    {SET(secondary_line_ripple, fraction, "", "ripple then, rms at twice the mains frequency over that mean"), .uncertainty = 0.1,
     WAVEFORM("component of the rectified waveform by quadrature")},
    {SET(secondary_line_current, number, "I/I_n", "greatest line current left then over normal"), .uncertainty = 0.1,
     WAVEFORM("rms of the line currents by ampere-turns, load like a resistance")},
    {SET(phase_greatest_share, number, "V/V_n", "greatest mean HT with a phase missing over normal"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("max(fault.primary_line_share, fault.secondary_line_share)", "definition"))},

    /* bleeder and choke open */
    {SET(earthing_current_pk, current_pk, "I_e", "peak current of the earthing device on the full HT, bleeder open"),
     RW_FORMULAS(RW_IS("protection.voltage_dc / fault.earthing_resistance", "electrostatics"))},
    {SET(earthing_time_constant, time, "\u03c4_e", "time constant of the discharge through it"),
     RW_FORMULAS(RW_IS("fault.earthing_resistance * protection.capacitance", "electrostatics"))},
    {SET(earthing_time, time, "t_e", "time to safe volts through it, bleeder open"),
     RW_FORMULAS(RW_IS("fault.earthing_time_constant * max(ln(protection.voltage_dc / protection.safe_voltage_dc), 0)", "electrostatics"))},
    {SET(earthing_energy, energy, "W_e", "energy into its resistor: all that is stored"),
     RW_FORMULAS(RW_IS("protection.stored_energy", "electrostatics"))},
    {SET(choke_voltage_dc, voltage_dc, "V_c", "volts left on the blocking capacitor with the feed choke open"), .partial = true,
     RW_FORMULAS(RW_IS("protection.voltage_dc", "electrostatics"))},
    {SET(choke_energy, energy, "W_c", "energy left there, which nothing on the supply's side of the choke reaches"), .partial = true,
     RW_FORMULAS(RW_IS("0.5 * oscillator.sides * tank.blocking_capacitance * fault.choke_voltage_dc^2", "electrostatics"))},

    /* the empty coil */
    {SET(empty_voltage_share, number, "", "greatest tank volts with the empty coil over the greatest loaded"), .partial = true,
     RW_FORMULAS(RW_IS("worst(case.is_empty * oscillator.anode_swing_pk) / worst((1 - case.is_empty) * oscillator.anode_swing_pk)", "definition"))},
    {SET(empty_leak, resistance, "R_g,e", "least E24 grid leak that brings the empty coil's grid current under its limit"), .partial = true,
     .uncertainty = 0.3, .by = RW_BY_ESTIMATE, EMPTY("least E24 value, every empty case at mains high balanced with it")},
    {SET(empty_leak_heat, fraction, "", "change of the heat in the work with that leak, nominal mains"), .partial = true,
     EMPTY("judged state rated again with that leak")},
    {SET(empty_leak_drive, fraction, "", "change of the drive with that leak, nominal mains"), .partial = true,
     EMPTY("judged state rated again with that leak")},
    {SET(empty_leak_efficiency, fraction, "", "change of the efficiency with that leak, in points"), .partial = true,
     EMPTY("judged state rated again with that leak")},
    {SET(empty_ht_share, fraction, "", "share of the secondary volts that would do it instead, leak as it is"), .partial = true,
     .uncertainty = 0.3, .by = RW_BY_ESTIMATE, EMPTY("greatest share, to half a per cent, with which every empty case is under its limit")},
    {SET(empty_ht_heat, fraction, "", "change of the heat in the work with those volts, nominal mains"), .partial = true,
     EMPTY("judged state rated again with those volts")},
};

static const char trip_remedy[] = "fit a trip on grid current absent while anode current flows that drops the HT before the anode has taken what it "
                                  "bears ('protection.grid_under: fitted'); a current limit folds the volts and leaves the dissipation: it is not enough by itself";

static const rw_limit limits[] = {
    {.key = "fault.not_oscillating", .figure = "fault.stopped_loss", .limit = "valve.anode_dissipation_max", .sense = RW_AT_MOST,
     .when = "protection.grid_under == none", .text = "anode dissipation when it does not oscillate, no trip fitted", .source = "valve-data",
     .remedy = trip_remedy},
    {.key = "fault.not_oscillating_trip", .figure = "protection.stopped_energy", .limit = "fault.anode_energy", .sense = RW_AT_MOST,
     .when = "protection.grid_under == fitted and fault.stopped_loss > valve.anode_dissipation_max",
     .text = "anode energy until the trip on absent grid current acts", .source = PRACTICE,
     .remedy = "a shorter 'protection.grid_under_time', a faster clearing (an electronic switch or a crowbar instead of a contactor), or the "
               "maker's figure of what the anode bears as 'fault.anode_energy'"},
    {.key = "fault.current_limit", .figure = "supply.current_dc", .limit = "supply.current_limit_dc", .sense = RW_AT_MOST,
     .needs = "supply.current_limit_dc", .text = "load current under the supply's current limit", .source = PRACTICE,
     .remedy = "a higher limit: under load the volts would fold"},
    {.key = "fault.phase_told", .figure = "fault.phase_greatest_share * cases.mains_high / cases.mains_nominal",
     .limit = "0.95 * cases.mains_low / cases.mains_nominal", .sense = RW_AT_MOST, .when = "protection.phase_loss == none", .text = "HT with a phase missing, mains high, told from low mains by the meter", .source = PRACTICE,
     .remedy = "a phase-loss relay ('protection.phase_loss: fitted'): the HT meter does not tell it"},
    {.key = "fault.earthing_time", .figure = "fault.earthing_time", .limit = "protection.safe_time", .sense = RW_AT_MOST,
     .text = "time to safe volts through the earthing device, bleeder open", .source = "iec-60204-1", .remedy = "less resistance in the earthing device"},
};

const rw_room rw_fault_room = {
    .name = "fault", .text = "Standing faults", .in_size = sizeof(rw_fault_in), .set_size = sizeof(rw_fault_set),
    .items = items, .n_items = sizeof items / sizeof items[0], .limits = limits, .n_limits = sizeof limits / sizeof limits[0],
};

/* ---- the load circuit of each job ---- */

#define LOAD_READS "tank.feedback,tank.coupling,tank.feed,tank.arrangement,tank.inductance,tank.inductor_q,tank.capacitance,tank.loss_tangent," \
                   "tank.blocking_capacitance,tank.choke_inductance,tank.bypass_capacitance,tank.divider_anode_capacitance," \
                   "tank.divider_grid_capacitance,tank.grid_mutual,tank.grid_coupling,tank.grid_inductance,tank.grid_choke_inductance," \
                   "tank.secondary_inductance,tank.secondary_mutual,tank.secondary_capacitance,tank.secondary_q,tank.capacitors.*," \
                   "valve.anode_grid_capacitance,valve.grid_cathode_capacitance,valve.anode_cathode_capacitance,leads.inductance," \
                   "leads.resistance,output.transformer,output.ratio,output.primary_inductance,output.coupling,output.primary_q," \
                   "output.secondary_q,protection.grid_over_trip,generator.frequency,oscillator.grid_leak,cases.mains_high," STATIC_READS
#define BALANCED(what) RW_FORMULAS(RW_BY_METHOD(what " (docs/theory/faults.md, section 2)", LOAD_READS, "describing-function"))
#define OF(state, member_, kind_, symbol_, text_, what) \
	{.key = #state "." #member_, .offset = offsetof(rw_load_fault_set, state.member_), .type = RW_NUMBER, .kind = &rw_kind_##kind_, \
	 .symbol = (symbol_), .text = (text_), .role = RW_RESULT, .scope = RW_PER_JOB, .partial = true, .uncertainty = 0.3, \
	 .by = RW_BY_ESTIMATE, BALANCED(what)}
#define ROWS(state, with) \
	OF(state, oscillates, number, "", "1 when it oscillates " with, "whether valve and tank balance"), \
	OF(state, frequency, frequency, "f", "frequency " with, "resonance of the tank on that load"), \
	OF(state, anode_voltage_dc, voltage_dc, "V_A", "anode volts " with ", mains high", "balance of valve, tank, leak and supply"), \
	OF(state, anode_swing_pk, voltage_pk, "V_am", "anode swing " with ", mains high", "balance of valve, tank, leak and supply"), \
	OF(state, anode_current_dc, current_dc, "I_a", "anode current of each valve " with ", mains high", "balance of valve, tank, leak and supply"), \
	OF(state, grid_current_dc, current_dc, "I_g", "grid current of each valve " with ", mains high", "balance of valve, tank, leak and supply"), \
	OF(state, anode_loss, power, "P_a", "dissipation of each anode " with ", mains high", "mean of volts times current over the cycle"), \
	OF(state, grid_loss, power, "P_g", "dissipation of each grid " with ", mains high", "mean of volts times current over the cycle"), \
	OF(state, tank_power, power, "P_t", "power the tank takes " with ", mains high", "network at that swing"), \
	OF(state, terminal_current_rms, current_rms, "I_t", "current at the terminals " with ", mains high", "network at that swing"), \
	OF(state, inductor_current_rms, current_rms, "I_L", "current of the tank inductor " with ", mains high", "network at that swing"), \
	OF(state, capacitor_voltage_pk, voltage_pk, "V_C", "volts of the tank capacitor " with ", mains high", "network at that swing"), \
	OF(state, capacitor_share, number, "", "worst of the tank's capacitors over its rating " with "; 0: none has a rating", \
	    "greatest of volts, current and reactive power over what is given for each"), \
	OF(state, capacitor_voltage_share, number, "", "worst of the tank's capacitors over its volts " with "; 0: none has a rating", \
	    "greatest of the volts over what is given for each"), \
	OF(state, trip_sees, number, "", "1 when the trip on grid current sees it " with, "grid current against 'protection.grid_over_trip'")

static const rw_item load_items[] = {
    ROWS(shorted, "with the coil shorted"),
    ROWS(open, "with the leads open"),
};

static const char short_remedy[] = "a trip on grid current that sees the coil shorted ('protection.grid_over_trip'), or a coil-short trip on the tank's current";
static const char open_remedy[] = "a trip on grid current that sees the leads open ('protection.grid_over_trip'); leads that cannot come off; less HT while nothing is in the coil";

#define STANDS(state) "load_fault." #state ".oscillates == 1 and load_fault." #state ".trip_sees == 0"
#define CHECKS(state, remedy_, words) \
	{.key = "load_fault." #state "_anode", .figure = "load_fault." #state ".anode_loss", .limit = "valve.anode_dissipation_max", \
	 .sense = RW_AT_MOST, .when = STANDS(state), .text = "anode dissipation " words, .source = "valve-data", .remedy = remedy_}, \
	{.key = "load_fault." #state "_grid", .figure = "load_fault." #state ".grid_current_dc", .limit = "valve.grid_current_max_unloaded", \
	 .sense = RW_AT_MOST, .when = STANDS(state), .needs = "valve.grid_current_max_unloaded", \
	 .text = "grid current " words ", no trip on it", .source = "valve-data", .remedy = remedy_}, \
	{.key = "load_fault." #state "_capacitors", .figure = "load_fault." #state ".capacitor_share", .limit = "1", .sense = RW_AT_MOST, \
	 .when = STANDS(state) " and load_fault." #state ".capacitor_share > 0", \
	 .text = "capacitors over their ratings " words ", no trip", .source = "generator-file", .remedy = remedy_}, \
	{.key = "load_fault." #state "_capacitor_volts", .figure = "load_fault." #state ".capacitor_voltage_share", .limit = "1", \
	 .sense = RW_AT_MOST, .when = "load_fault." #state ".oscillates == 1 and load_fault." #state ".capacitor_voltage_share > 0", \
	 .text = "capacitors over their volts " words, .source = "generator-file", .remedy = "more units in series: no trip is fast enough for volts"}

static const rw_limit load_limits[] = {
    CHECKS(shorted, short_remedy, "with the coil shorted"),
    CHECKS(open, open_remedy, "with the leads open"),
};

const rw_room rw_load_fault_room = {
    .name = "load_fault", .text = "Load circuit at fault", .per_job = true, .set_size = sizeof(rw_load_fault_set),
    .items = load_items, .n_items = sizeof load_items / sizeof load_items[0],
    .limits = load_limits, .n_limits = sizeof load_limits / sizeof load_limits[0],
};
