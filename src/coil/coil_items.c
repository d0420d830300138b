/* Figures of the work coil. */
#include "coil/coil.h"
#include "item/rows.h"

#define IN(member, kind_, symbol, text) RW_NUMBER_OF(rw_coil_in, member, kind_, symbol, text), .scope = RW_PER_JOB
#define CASE(member, kind_, symbol, text) RW_NUMBER_OF(rw_coil_case, member, kind_, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define CHOICE(member, text_) \
	.key = #member, .offset = offsetof(rw_coil_in, member), .type = RW_CHOICE, .role = RW_PART, .scope = RW_PER_JOB, .symbol = "", .text = (text_)

enum { MEASURED = 1U << RW_COIL_MEASURED, TURNS = 1U << RW_COIL_TURNS, PLATES = 1U << RW_COIL_PLATES };
#define ONLY(mask)     .only = RW_IN_KINDS(rw_coil_in, kind, mask)
#define REQUIRED(mask) .required = true, ONLY(mask)
#define R16(what)      RW_RULE("R16", what, "induction-practice")

#define BUILT "coil.kind,coil.turns,coil.inner_diameter,coil.length,coil.width,coil.thickness,coil.conductor,coil.temperature,coil.plate_length," \
              "coil.plate_width,work.kind,work.diameter,work.bore,work.part_length,work.thickness,work.gap_closed,work.material,work.heat_power," \
              "generator.frequency"
#define BY(when_, what_, reads_, source_) {.kind = RW_METHOD, .when = (when_), .text = (what_), .reads = (reads_), .source = (source_)}
#define IN_STATE "work.loads.*,work.empty,oscillator.frequency,coil.current_rms,work.kind," BUILT
#define BY_TABLE(what)  BY("work.kind == measured", what, "work.kind,work.loads.*,work.empty,oscillator.frequency", "monotone-interpolation")
#define BY_TURNS(what)  BY("coil.kind == turns", what, IN_STATE, "coil-on-rod")
#define BY_PLATES(what) BY("coil.kind == plates", what, IN_STATE, "series-circuit")
#define BY_DUMMY(what)  BY("work.kind == dummy", what, "work.kind,work.dummy_resistance,work.dummy_inductance,oscillator.frequency", "series-circuit")

#define STRESSED "coil.voltage_rms,coil.current_rms,coil.power,coil.turns,coil.inner_diameter,coil.length,coil.width,coil.thickness,coil.conductor"

static const char *const kinds[] = {"measured", "turns", "plates", NULL};
static const char *const conductors[] = {"tube", "strip", NULL};

static const rw_item items[] = {
	{CHOICE(kind, "what the coil is"), RW_FORMULAS(RW_BY_METHOD("measured", NULL, "rules-of-practice")),
	 RW_INPUT(.choices = kinds, RW_RULE("R16", "measured: its tables stand in the work", "rules-of-practice"))},
	{IN(turns, count, "N", "turns of the coil"), .role = RW_PART, RW_INPUT(RW_FROM_TO(1.0, 200.0), REQUIRED(TURNS))},
	{IN(inner_diameter, length, "d_c", "clear bore of the coil"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 5.0), REQUIRED(TURNS))},
	{IN(length, length, "l_c", "length of the coil over its conductors"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 10.0), REQUIRED(TURNS))},
	{CHOICE(conductor, "what the turns are made of"), RW_FORMULAS(RW_BY_METHOD("tube", NULL, "induction-practice")),
	 RW_INPUT(.choices = conductors, ONLY(TURNS), R16("round tube"))},
	{IN(width, length, "w_c", "outer diameter of the tube, or axial width of the strip"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), REQUIRED(TURNS))},
	{IN(thickness, length, "t_c", "wall of the tube, or thickness of the strip"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 0.1), REQUIRED(TURNS))},
	{IN(temperature, temperature, "T_cu", "temperature of the coil's copper"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("60 degC", NULL, "rules-of-practice")),
	 RW_INPUT(RW_FROM_TO(233.15, 573.15), ONLY(TURNS), RW_RULE("R6", "60 degC", "rules-of-practice"))},
	{IN(field_pk_max, stress, "E_c,max", "greatest field between turns and to the work, peak"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "induction-practice")), RW_INPUT(RW_OVER_TO(0.0, 1e7), ONLY(TURNS), R16("300 V/mm"))},
	{IN(water_rise, temp_rise, "\u0394T_c", "rise of the water in the coil"), .role = RW_ASSUMED, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "induction-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 80.0), ONLY(TURNS), R16("30 K"))},
	{IN(velocity_max, velocity, "v_c,max", "greatest water velocity in the coil's tube"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "induction-practice")), RW_INPUT(RW_OVER_TO(0.0, 20.0), ONLY(TURNS), R16("3 m/s"))},
	{IN(water_paths, count, "n_c", "paths its water takes side by side, each through its share of the turns"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("1", "induction-practice")), RW_INPUT(RW_FROM_TO(1.0, 50.0), ONLY(TURNS), R16("1"))},
	{IN(plate_length, length, "l_p", "length of a plate"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 20.0), REQUIRED(PLATES))},
	{IN(plate_width, length, "w_p", "width of a plate"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 20.0), REQUIRED(PLATES))},

	{CASE(resistance, resistance, "R_coil", "resistance of the coil, work in place"), .uncertainty = 0.05,
	 RW_FORMULAS(BY_TABLE("read off the table of the load state at the frequency (R13)"),
	             BY_TURNS("the coil's own and what a rod of the state reflects, by a ladder fitted to the closed forms, at the current"),
	             BY_PLATES("layers in series at their permittivities, by a fitted ladder"), BY_DUMMY("the dummy's resistance"))},
	{CASE(reactance, resistance, "X_coil", "reactance of the coil, work in place"), .uncertainty = 0.02,
	 RW_FORMULAS(BY_TABLE("X/w straight between the rows of the table (R13)"),
	             BY_TURNS("the empty coil's and what a rod of the state takes from it, by a ladder fitted to the closed forms, at the current"),
	             BY_PLATES("layers in series at their permittivities, by a fitted ladder"), BY_DUMMY("w times the dummy's inductance"))},
	{CASE(own_resistance, resistance, "R_own", "resistance of the coil itself"), .uncertainty = 0.05,
	 RW_FORMULAS(BY_TABLE("that of the empty coil, read off its table at the frequency (R13)"),
	             BY_TURNS("skin effect, crowding of the turns and by the work: its part of the ladder's resistance"),
	             BY_PLATES("none"), BY_DUMMY("none"))},
	{CASE(inductance, inductance, "L_coil", "inductance of the coil, work in place"), .uncertainty = 0.02,
	 RW_FORMULAS(RW_IS("coil.reactance / (2 * pi * oscillator.frequency)", "series-circuit"))},
	{CASE(capacitance, capacitance, "C_p", "capacitance of the plates, parallel equivalent"), .partial = true, .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS("-coil.reactance / (coil.resistance^2 + coil.reactance^2) / (2 * pi * oscillator.frequency)", "series-circuit"))},
	{CASE(current_rms, current_rms, "I_coil", "current of the coil"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("output.current_rms * output.current_ratio", "coupled-coils"))},
	{CASE(voltage_rms, voltage_rms, "V_coil", "volts across the coil"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.current_rms * sqrt(coil.resistance^2 + coil.reactance^2)", "series-circuit"))},
	{CASE(power, power, "P_coil", "power into the coil's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.resistance", "series-circuit"))},
	{CASE(loss, power, "P_copper", "loss in the coil itself"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.own_resistance", "series-circuit"))},
	{CASE(efficiency, fraction, "\u03b7_coil", "coil efficiency"), .partial = true, .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("1 - coil.own_resistance / coil.resistance", "series-circuit"))},
	{CASE(reactive_power, reactive_power, "Q_coil", "reactive power of the coil"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.reactance", "series-circuit"))},
	{CASE(port_error, fraction, "", "greatest error of the ladder that stands for the coil"), .internal = true, .partial = true,
	 RW_FORMULAS(RW_BY_METHOD("of R or X against the closed forms, over half to ten times the wanted frequency", IN_STATE, "coil-on-rod"))},
	{CASE(turn_voltage_pk, voltage_pk, "V_turn", "volts from turn to turn"), .partial = true, .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS("sqrt(2) * coil.voltage_rms / coil.turns", "series-circuit"))},
	{CASE(turn_field_pk, stress, "E_turn", "greatest field between turns; 0 for one turn"), .partial = true, .uncertainty = 0.2,
	 RW_FORMULAS(RW_BY_METHOD("tubes: two parallel cylinders, at their face; strips: the mean over the gap (coil)", STRESSED, "field-of-cylinders"))},
	{CASE(work_field_pk, stress, "E_work", "greatest field from coil to work, all the coil's volts across the gap; 0 when empty"), .partial = true,
	 .uncertainty = 0.2,
	 RW_FORMULAS(RW_BY_METHOD("tubes: a cylinder before a plane, at its face; strips: the mean over the gap (coil)", STRESSED ",work.diameter,work.empty",
	             "field-of-cylinders"))},
	{CASE(water_flow, flow, "q_c", "water the coil itself wants"), .partial = true, .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("loss over the rise and 4.18 MJ/(m3 K)", "coil.loss,coil.water_rise", "energy"))},
	{CASE(water_velocity, velocity, "v_c", "water velocity in the coil's tube"), .partial = true, .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS_WHEN("coil.conductor == tube", "coil.water_flow / coil.water_paths / (pi / 4 * (coil.width - 2 * coil.thickness)^2)", "definition"),
	             RW_IS_WHEN("coil.conductor == strip", "0 * coil.velocity_max", "definition"))},
};

static const rw_limit limits[] = {
	{.key = "coil.turn_field", .figure = "coil.turn_field_pk", .limit = "coil.field_pk_max", .sense = RW_AT_MOST,
	 .when = "coil.kind == turns and coil.turns > 1", .text = "field between turns of the coil",
	 .source = "induction-practice", .remedy = "wider pitch, insulated turns, or fewer volts: an output transformer at the coil"},
	{.key = "coil.work_field", .figure = "coil.work_field_pk", .limit = "coil.field_pk_max", .sense = RW_AT_MOST,
	 .when = "coil.kind == turns and (work.kind == bar or work.kind == tube) and case.is_empty == 0", .text = "field from coil to work", .source = "induction-practice",
	 .remedy = "more gap, an insulated coil, or fewer volts: an output transformer at the coil"},
	{.key = "coil.water_velocity", .figure = "coil.water_velocity", .limit = "coil.velocity_max", .sense = RW_AT_MOST,
	 .when = "coil.kind == turns and coil.conductor == tube", .text = "water velocity in the coil's tube", .source = "induction-practice",
	 .remedy = "a wider tube, or more water paths in the coil (water_paths)"},
};

const rw_room rw_coil_room = {
	.name = "coil", .text = "Work coil", .per_job = true, .in_size = sizeof(rw_coil_in), .case_size = sizeof(rw_coil_case), .items = items,
	.n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
