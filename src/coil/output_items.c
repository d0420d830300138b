/* Figures of the generator's terminals and the output transformer. */
#include "coil/output.h"
#include "item/rows.h"

#define IN(member, kind, symbol, text) RW_NUMBER_OF(rw_output_in, member, kind, symbol, text), .scope = RW_PER_JOB
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_output_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_output_set, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_JOB
#define FITTED(...) RW_INPUT(__VA_ARGS__, .only = RW_IN_KINDS(rw_output_in, transformer, 1U << RW_OUTPUT_FITTED))
#define R18(what) RW_RULE("R18", what, "rules-of-practice")

/* Parts of formulas: mesh of the secondary, mutual reactance. */
#define W      "2 * pi * oscillator.frequency"
#define MESH_R "(coil.resistance + leads.effective_resistance + " W " * output.primary_inductance / output.ratio^2 / output.secondary_q)"
#define MESH_X "(coil.reactance + " W " * (leads.inductance + output.primary_inductance / output.ratio^2))"
#define WM     "(" W " * output.coupling * output.primary_inductance / output.ratio)"
#define NONE   "output.transformer == none"
#define THERE  "output.transformer == fitted"
#define SEEN   "work.kind,work.heat_power,work.material,work.diameter,work.bore,work.part_length,work.thickness,work.gap_closed,work.empty,work.loads.*," \
               "coil.kind,coil.turns,coil.inner_diameter,coil.length,coil.conductor,coil.width,coil.thickness,coil.temperature,coil.plate_length," \
               "coil.plate_width,leads.inductance,leads.resistance,generator.frequency,oscillator.anode_voltage"
#define WANTED SEEN ",work.dummy_resistance,work.dummy_inductance,generator.design_job,generator.design_load,output.transformer,output.ratio," \
               "output.primary_inductance,output.coupling,output.primary_q,output.secondary_q"

static const char *const fittings[] = {"none", "fitted", NULL};

static const rw_item items[] = {
	{.key = "transformer", .offset = offsetof(rw_output_in, transformer), .type = RW_CHOICE, .role = RW_PART, .scope = RW_PER_JOB, .symbol = "",
	 .text = "output transformer between terminals and leads", RW_FORMULAS(RW_BY_METHOD("none", NULL, "rules-of-practice")),
	 RW_INPUT(.choices = fittings, R18("none"))},
	{IN(ratio, number, "n", "turns of the primary over those of the secondary"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("whole; the volts of leads and coil at the heat wanted come to at most 0.45 of the anode volts, peak", SEEN,
	             "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1000.0), .only = RW_IN_KINDS(rw_output_in, transformer, 1U << RW_OUTPUT_FITTED),
	          R18("whole; the volts of leads and coil at the heat wanted come to at most 0.45 of the anode volts, peak"))},
	{IN(primary_inductance, inductance, "L_1", "inductance of the primary"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("1.5 times what leads and coil would be there, times the square of the ratio; two digits", SEEN ",output.ratio",
	             "rules-of-practice")),
	 FITTED(RW_OVER_TO(0.0, 1.0), R18("1.5 times that of leads and coil times the square of the ratio, two digits"))},
	{IN(coupling, number, "k_out", "coupling factor of the windings"), .role = RW_ASSUMED, .uncertainty = 0.1, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("0.9", "rules-of-practice")), FITTED(RW_OVER_TO(0.0, 1.0), R18("0.9, close windings in air"))},
	{IN(primary_q, number, "Q_1", "unloaded Q of the primary"), .role = RW_ASSUMED, .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("300", "rules-of-practice")), FITTED(RW_FROM_TO(1.0, 1e5), R18("300, an estimate"))},
	{IN(secondary_q, number, "Q_2", "unloaded Q of the secondary"), .role = RW_ASSUMED, .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("300", "rules-of-practice")), FITTED(RW_FROM_TO(1.0, 1e5), R18("300, an estimate"))},

	{SET(wanted_resistance, resistance, "R_out,0", "resistance at the terminals, wanted frequency and heat"), .uncertainty = 0.1,
	 RW_FORMULAS(RW_BY_METHOD("coil, leads and transformer in series at the wanted frequency, in the state the heat is judged in", WANTED, "series-circuit"))},
	{SET(wanted_reactance, resistance, "X_out,0", "reactance at the terminals, wanted frequency and heat"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("coil, leads and transformer in series at the wanted frequency, in the state the heat is judged in", WANTED, "series-circuit"))},
	{SET(wanted_current_rms, current_rms, "I_out,0", "current at the terminals for the heat wanted"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("root of the heat wanted over what the work adds to the coil's resistance, by the transformer's ratio", WANTED, "series-circuit"))},
	{SET(coil_at_ht, number, "", "1 where the work coil stands at HT, 0 where not"),
	 RW_FORMULAS(RW_IS_WHEN("output.transformer == none and tank.coupling == series", "tank.tank_at_ht", "definition"),
	             RW_IS_WHEN("output.transformer == fitted or tank.coupling == secondary", "0", "definition"))},

	{CASE(resistance, resistance, "R_out", "resistance at the generator's terminals"), .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS_WHEN(NONE, "coil.resistance + leads.effective_resistance", "series-circuit"),
	             RW_IS_WHEN(THERE, W " * output.primary_inductance / output.primary_q + " WM "^2 * " MESH_R " / (" MESH_R "^2 + " MESH_X "^2)",
	                        "coupled-coils"))},
	{CASE(reactance, resistance, "X_out", "reactance at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS_WHEN(NONE, "coil.reactance + " W " * leads.inductance", "series-circuit"),
	             RW_IS_WHEN(THERE, W " * output.primary_inductance - " WM "^2 * " MESH_X " / (" MESH_R "^2 + " MESH_X "^2)", "coupled-coils"))},
	{CASE(current_rms, current_rms, "I_out", "current at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("tank.output_current_rms", "series-circuit"))},
	{CASE(voltage_rms, voltage_rms, "V_out", "volts at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("output.current_rms * sqrt(output.resistance^2 + output.reactance^2)", "series-circuit"))},
	{CASE(power, power, "P_out", "power through the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("output.current_rms^2 * output.resistance", "series-circuit"))},
	{CASE(current_ratio, number, "I_coil/I_out", "coil current over terminal current"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS_WHEN(NONE, "1", "series-circuit"),
	             RW_IS_WHEN(THERE, WM " / sqrt(" MESH_R "^2 + " MESH_X "^2)", "coupled-coils"))},
	{CASE(loss, power, "P_tr", "loss in the output transformer"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS_WHEN(NONE, "0 * output.power", "definition"),
	             RW_IS_WHEN(THERE, "output.current_rms^2 * " W " * output.primary_inductance * (1 / output.primary_q + "
	                               "output.current_ratio^2 / output.ratio^2 / output.secondary_q)", "coupled-coils"))},
};

static const rw_limit limits[] = {
	{.key = "output.loss", .figure = "output.loss", .limit = "0.25 * output.power", .sense = RW_AT_MOST, .when = "output.transformer == fitted and case.is_empty == 0",
	 .text = "loss in the output transformer", .source = "rules-of-practice",
	 .remedy = "windings of higher Q, closer coupling, more turns in the coil, or a smaller gap to the work"},
	{.key = "output.coil_at_ht", .figure = "output.coil_at_ht", .limit = "0", .sense = RW_AT_MOST, .when = "output.coil_at_ht > 0",
	 .text = "work coil at the high tension",
	 .source = "rules-of-practice", .remedy = "shunt feed, an output transformer or a coupled secondary tank: nobody may touch such a coil"},
};

const rw_room rw_output_room = {
	.name = "output", .text = "Output terminals", .per_job = true, .in_size = sizeof(rw_output_in), .set_size = sizeof(rw_output_set),
	.case_size = sizeof(rw_output_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = 2,
};
