/* Figures of the meters room. */
#include "item/rows.h"
#include "meters/meters.h"

#define IN(member, kind, symbol, text)   RW_NUMBER_OF(rw_meters_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text)  RW_NUMBER_OF(rw_meters_set, member, kind, symbol, text), .role = RW_RESULT, .partial = true
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_meters_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define CHOICE(member_, text_) .key = #member_, .offset = offsetof(rw_meters_in, member_), .type = RW_CHOICE, .role = RW_PART, .symbol = "", .text = (text_)

#define PRACTICE "guards-practice"
#define BY_RULE  RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, PRACTICE))
#define R27(what) RW_RULE("R27", what, PRACTICE)
#define SCALE_RULE R27("least of 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 7.5, 8 times a power of ten: greatest at most at 80 % of it, trip on it")
#define OF_CASES(least, of) RW_FORMULAS(RW_IS(least "(" of ")", "definition"))
#define V_0 "protection.voltage_dc"
#define LOOP "(meters.divider_resistance + meters.divider_foot_resistance)"

static const char *const places[] = {"ht_negative_return", "cathode", "ht_positive", NULL};
static const char *const feet[] = {"ht_negative", "earth", "cathode", NULL};
static const char *const bleeder_feet[] = {"ht_negative", "earth", NULL};
static const char *const gaps[] = {"fitted", "none", NULL};

static const rw_item items[] = {
	/* where they stand */
	{CHOICE(anode_place, "where the shunt of the anode meter and of its trip stands; 'cathode': one for each valve"), BY_RULE,
	 RW_INPUT(.choices = places, R27("ht_negative_return: its leads stand at earth"))},
	{CHOICE(leak_foot, "where grid leak and grid meter come back"), BY_RULE,
	 RW_INPUT(.choices = feet, R27("ht_negative: an anode meter in the return then reads the grid current too"))},
	{CHOICE(bleeder_foot, "where the bleeder comes back"), BY_RULE,
	 RW_INPUT(.choices = bleeder_feet, R27("ht_negative: the anode meter does not read it"))},
	{CHOICE(gap, "protective gaps across shunts and the divider's foot"), BY_RULE, RW_INPUT(.choices = gaps, R27("fitted"))},
	{IN(gap_voltage, voltage_dc, "V_gap", "volts at which they strike"), .role = RW_PART, BY_RULE, RW_INPUT(RW_OVER_TO(0.0, 1e5), R27("230 V"))},
	{IN(lead_voltage_max, voltage_dc, "V_lead", "volts to earth that meters and their wiring bear"), .role = RW_PART, BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), R27("600 V"))},

	/* scales */
	{IN(anode_scale, current_dc, "", "full scale of the anode meter"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("meter_scale(max(meters.anode_reading_greatest / 0.8, protection.anode_over_trip))", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), SCALE_RULE)},
	{IN(grid_scale, current_dc, "", "full scale of each grid meter"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("meter_scale(max(meters.grid_reading_greatest / 0.8, protection.grid_over_trip))", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), SCALE_RULE)},
	{IN(voltage_scale, voltage_dc, "", "full scale of the HT meter"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("meter_scale(max(meters.voltage_reading_greatest / 0.8, " V_0 "))", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), R27("as the anode meter's; no-load volts at mains high on it"))},
	{IN(filament_voltage_scale, voltage_rms, "", "full scale of the filament voltmeter"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("meter_scale(filament.voltage_rms / 0.8)", PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1e4), R27("normal at most at 80 % of it"))},
	{IN(filament_current_scale, current_rms, "", "full scale of the filament ammeter"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("meter_scale(filament.current_rms / 0.8)", PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1e6), R27("normal at most at 80 % of it"))},
	{IN(accuracy, fraction, "", "error of a pointer instrument, of its full scale"), .role = RW_ASSUMED, RW_FORMULAS(RW_IS("0.015", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.0, 0.2), R27("class 1.5"))},
	{IN(shunt_voltage, voltage_dc, "V_sh", "volts across a shunt at full scale"), .role = RW_PART, BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), R27("60 mV"))},
	{IN(meter_voltage_max, voltage_pk, "", "volts the anode meter bears until the supply has cleared"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), .optional = true)},
	{IN(divider_current, current_dc, "I_div", "current of the HT divider at full scale"), .role = RW_PART, BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), R27("1 mA"))},
	{IN(divider_resistance, resistance, "R_div", "HT part of the divider"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("digits(meters.voltage_scale / meters.divider_current - meters.divider_foot_resistance, 3)", PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, 1e12), R27("its current at full scale; three digits"))},
	{IN(divider_foot_resistance, resistance, "R_foot", "foot of the divider, across its meter"), .role = RW_PART, BY_RULE,
	 RW_INPUT(RW_OVER_TO(0.0, 1e7), R27("10 kohm: some volts when the meter opens, under 1 % of error"))},

	/* readings */
	{CASE(anode_reading, current_dc, "", "what the anode meter shows"), .uncertainty = 0.07,
	 RW_FORMULAS(RW_IS_WHEN("meters.anode_place == ht_positive", "oscillator.valves * oscillator.anode_current_dc", "kirchhoff"),
	             RW_IS_WHEN("meters.anode_place == ht_negative_return", "oscillator.valves * (oscillator.anode_current_dc + "
	                        "if(meters.leak_foot == ht_negative, oscillator.grid_current_dc, 0)) + "
	                        "if(meters.bleeder_foot == earth, supply.voltage_dc / protection.bleeder_resistance, 0)", "kirchhoff"),
	             RW_IS_WHEN("meters.anode_place == cathode", "oscillator.anode_current_dc + "
	                        "if(meters.leak_foot == cathode, 0, oscillator.grid_current_dc)", "kirchhoff"))},
	{CASE(grid_reading, current_dc, "", "what each grid meter shows"), .uncertainty = 0.3, RW_FORMULAS(RW_IS("oscillator.grid_current_dc", "kirchhoff"))},
	{CASE(voltage_reading, voltage_dc, "", "what the HT meter shows, the divider's own error left out"), .uncertainty = 0.02,
	 RW_FORMULAS(RW_IS("supply.voltage_dc", "kirchhoff"))},
	{SET(anode_reading_least, current_dc, "", "anode meter: least of all cases"), OF_CASES("mildest", "meters.anode_reading")},
	{SET(anode_reading_normal, current_dc, "", "anode meter: in the state the set is sized on"), OF_CASES("at_design", "meters.anode_reading")},
	{SET(anode_reading_greatest, current_dc, "", "anode meter: greatest of all cases"), OF_CASES("worst", "meters.anode_reading")},
	{SET(grid_reading_least, current_dc, "", "grid meter: least of all cases"), OF_CASES("mildest", "meters.grid_reading")},
	{SET(grid_reading_normal, current_dc, "", "grid meter: in the state the set is sized on"), OF_CASES("at_design", "meters.grid_reading")},
	{SET(grid_reading_greatest, current_dc, "", "grid meter: greatest of all cases"), OF_CASES("worst", "meters.grid_reading")},
	{SET(voltage_reading_least, voltage_dc, "", "HT meter: least of all cases"), OF_CASES("mildest", "meters.voltage_reading")},
	{SET(voltage_reading_normal, voltage_dc, "", "HT meter: in the state the set is sized on"), OF_CASES("at_design", "meters.voltage_reading")},
	{SET(voltage_reading_greatest, voltage_dc, "", "HT meter: greatest of all cases"), OF_CASES("worst", "meters.voltage_reading")},
	{SET(frequency_least, frequency, "", "frequency: least of all cases"), OF_CASES("mildest", "oscillator.frequency")},
	{SET(frequency_normal, frequency, "", "frequency: in the state the set is sized on"), OF_CASES("at_design", "oscillator.frequency")},
	{SET(frequency_greatest, frequency, "", "frequency: greatest of all cases"), OF_CASES("worst", "oscillator.frequency")},
	{SET(anode_reading_error, current_dc, "", "error of the anode meter's reading"), RW_FORMULAS(RW_IS("meters.accuracy * meters.anode_scale", "definition"))},

	/* shunts, leads, divider */
	{SET(anode_shunt_resistance, resistance, "R_sh,a", "shunt of the anode meter"),
	 RW_FORMULAS(RW_IS("meters.shunt_voltage / meters.anode_scale", "series-circuit"))},
	{SET(grid_shunt_resistance, resistance, "R_sh,g", "shunt of each grid meter"),
	 RW_FORMULAS(RW_IS("meters.shunt_voltage / meters.grid_scale", "series-circuit"))},
	{SET(anode_shunt_power, power, "", "loss in the anode shunt at its greatest reading"),
	 RW_FORMULAS(RW_IS("meters.anode_shunt_resistance * meters.anode_reading_greatest^2", "series-circuit"))},
	{SET(grid_shunt_power, power, "", "loss in each grid shunt at its greatest reading"),
	 RW_FORMULAS(RW_IS("meters.grid_shunt_resistance * meters.grid_reading_greatest^2", "series-circuit"))},
	{SET(fault_voltage_pk, voltage_pk, "V_sh,f", "volts across the anode shunt in a flash-arc, its inductance left out"), .by = RW_BY_ESTIMATE,
	 .uncertainty = 0.2,
	 RW_FORMULAS(RW_IS_WHEN("protection.series_resistance > 0 and protection.surge_capacitance > 0",
	                        "meters.anode_shunt_resistance * max(protection.fault_current_dc, protection.surge_current_pk)", "series-circuit"),
	             RW_IS_WHEN("protection.series_resistance == 0 or protection.surge_capacitance == 0",
	                        "meters.anode_shunt_resistance * protection.fault_current_dc", "series-circuit"))},
	{SET(lead_voltage, voltage_dc, "V_l", "volts to earth on the anode meter's leads, its shunt open"),
	 RW_FORMULAS(RW_IS("if(meters.anode_place == ht_positive or meters.gap == none, " V_0 ", min(meters.gap_voltage, " V_0 "))", PRACTICE))},
	{SET(divider_power, power, "P_div", "loss in the HT divider at no load, mains high; left out of the supply's current"),
	 RW_FORMULAS(RW_IS(V_0 "^2 / " LOOP, "series-circuit"))},
	{SET(foot_open_voltage, voltage_dc, "V_foot", "volts to earth at the divider's foot when its meter opens"),
	 RW_FORMULAS(RW_IS_WHEN("meters.gap == none", V_0 " * meters.divider_foot_resistance / " LOOP, "series-circuit"),
	             RW_IS_WHEN("meters.gap == fitted", "min(" V_0 " * meters.divider_foot_resistance / " LOOP ", meters.gap_voltage)", "series-circuit"))},
};

static const char gap_remedy[] = "protective gaps across shunt and foot, or a shunt in the HT negative return; a meter at HT stands behind an earthed screen "
                                 "and bears the HT by its own rating";

static const char scale_remedy[] = "a meter of a greater full scale";

static const rw_limit limits[] = {
	{.key = "meters.anode_scale", .figure = "max(meters.anode_reading_greatest, protection.anode_over_trip)", .limit = "meters.anode_scale", .sense = RW_AT_MOST,
	 .text = "greatest reading and trip on the anode meter's scale", .source = PRACTICE, .remedy = scale_remedy},
	{.key = "meters.grid_scale", .figure = "max(meters.grid_reading_greatest, protection.grid_over_trip)", .limit = "meters.grid_scale", .sense = RW_AT_MOST,
	 .text = "greatest reading and trip on the grid meter's scale", .source = PRACTICE, .remedy = scale_remedy},
	{.key = "meters.voltage_scale", .figure = "max(meters.voltage_reading_greatest, protection.voltage_dc)", .limit = "meters.voltage_scale", .sense = RW_AT_MOST,
	 .text = "HT at no load on its meter's scale", .source = PRACTICE, .remedy = scale_remedy},
	{.key = "meters.lead_voltage", .figure = "meters.lead_voltage", .limit = "meters.lead_voltage_max", .sense = RW_AT_MOST,
	 .text = "volts on the anode meter's leads, its shunt open", .source = PRACTICE, .remedy = gap_remedy},
	{.key = "meters.foot_open_voltage", .figure = "meters.foot_open_voltage", .limit = "meters.lead_voltage_max", .sense = RW_AT_MOST,
	 .text = "volts at the foot of the HT divider, its meter open", .source = PRACTICE, .remedy = gap_remedy},
	{.key = "meters.fault_voltage", .figure = "meters.fault_voltage_pk", .limit = "meters.meter_voltage_max", .sense = RW_AT_MOST,
	 .needs = "meters.meter_voltage_max", .text = "volts on the anode meter in a flash-arc", .source = "generator-file",
	 .remedy = "diodes across the meter behind a resistor, or a surge resistor in the HT"},
};

const rw_room rw_meters_room = {
	.name = "meters", .text = "Meters", .in_size = sizeof(rw_meters_in), .set_size = sizeof(rw_meters_set), .case_size = sizeof(rw_meters_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]),
	.limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
