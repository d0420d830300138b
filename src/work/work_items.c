/* Figures of the work. */
#include "item/rows.h"
#include "work/work.h"
#include "work/work_load.h"

#define IN(member, kind, symbol, text) RW_NUMBER_OF(rw_work_in, member, kind, symbol, text), .scope = RW_PER_JOB
#define LOAD(member, kind_, symbol_, text_) \
	.key = "loads.*." #member, .list = 1, .offset = offsetof(rw_load_in, member), .type = RW_NUMBER, .kind = &rw_kind_##kind_, \
	.symbol = (symbol_), .text = (text_), .role = RW_PART, .scope = RW_PER_JOB
#define CHOICE(member, text_) \
	.key = #member, .offset = offsetof(rw_work_in, member), .type = RW_CHOICE, .scope = RW_PER_JOB, .symbol = "", .text = (text_)
#define NAME(member, text_) \
	.key = #member, .offset = offsetof(rw_work_in, member), .type = RW_TEXT, .role = RW_PART, .scope = RW_PER_JOB, .symbol = "", .text = (text_)
#define SET(member, kind, symbol, text) RW_NUMBER_OF(rw_work_set, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_JOB, .partial = true
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_work_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define R15(what)  RW_RULE("R15", what, "heating-practice")
#define R15D(what) RW_RULE("R15", what, "dielectric-practice")

enum {
	MEASURED = 1U << RW_WORK_MEASURED, TURNED = 1U << RW_WORK_BAR | 1U << RW_WORK_TUBE, TUBE = 1U << RW_WORK_TUBE,
	DIELECTRIC = 1U << RW_WORK_DIELECTRIC, DUMMY = 1U << RW_WORK_DUMMY,
};
#define ONLY(mask)          .only = RW_IN_KINDS(rw_work_in, kind, mask)
#define REQUIRED(mask)      .required = true, .only = RW_IN_KINDS(rw_work_in, kind, mask)
#define REQUIRED_WITH(mask) .required = true, .required_only = RW_IN_KINDS(rw_work_in, kind, mask)

#define HEATING "work.kind,work.treatment,work.motion,work.material,work.diameter,work.bore,work.length,work.depth,work.time," \
                "work.start_temperature,work.target_temperature,work.surface_temperature_max,work.convection,work.zone,generator.frequency"
#define AT_TERMINALS "generator.design_job,generator.design_load,generator.frequency,work.empty,work.loads.*,work.part_length,work.thickness," \
                     "work.gap_closed,coil.kind,coil.turns,coil.inner_diameter,coil.length,coil.conductor,coil.width,coil.thickness,coil.temperature," \
                     "coil.plate_length,coil.plate_width,leads.inductance,leads.resistance,output.transformer,output.ratio,output.primary_inductance," \
                     "output.coupling,output.primary_q,output.secondary_q"
#define DRYING  "work.mass,work.heat_capacity,work.water_mass,work.evaporated_mass,work.loss"
#define HEATED  RW_BY_METHOD("closed forms of heating: conduction with the power in the hot skin depth, radiation and convection (work)", \
                HEATING, "carslaw-jaeger")

const rw_column rw_impedance_columns[3] = {
	{"frequency", &rw_kind_frequency, true, 1e3, 1e9},
	{"resistance", &rw_kind_resistance, false, 1e-6, 1e6},
	{"reactance", &rw_kind_resistance, false, 1e-6, 1e7},
};

static const char *const kinds[] = {"measured", "bar", "tube", "dielectric", "dummy", NULL};
static const char *const treatments[] = {"surface", "through", NULL};
static const char *const motions[] = {"single_shot", "scan", NULL};

static const rw_list lists[] = {
	{.key = "loads", .text = "load states: the work in the coil as it is heated, and the empty coil", .capacity = RW_LOADS_MAX,
	 .count_at = offsetof(rw_work_in, n_loads), .in_at = offsetof(rw_work_in, loads), .in_stride = sizeof(rw_load_in), .required = true,
	 .required_only = RW_IN_KINDS(rw_work_in, kind, MEASURED)},
};

static const rw_item items[] = {
	{CHOICE(kind, "what the work is"), .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("measured", NULL, "rules-of-practice")),
	 RW_INPUT(.choices = kinds, RW_RULE("R15", "a measured load", "rules-of-practice"))},
	{IN(heat_power, power, "P_work", "heat wanted in the work"), .role = RW_WANT,
	 RW_FORMULAS(RW_IS_WHEN("work.kind == bar or work.kind == tube or work.kind == dielectric", "digits(work.heat_needed, 3)", "definition"),
	             {.kind = RW_METHOD, .when = "work.kind == dummy", .text = "power at the terminals in the state the set is sized on, with its heat wanted; three digits",
	              .reads = AT_TERMINALS "," HEATING "," DRYING, .source = "rules-of-practice"}),
	 RW_INPUT(RW_OVER_TO(0.0, 1e7), REQUIRED_WITH(MEASURED),
	          R15("what the treatment takes, to three digits; of a dummy the power at the terminals with the heat the set is sized on (R17)"))},
	{NAME(material, "material of the work: its entry in the library"), RW_INPUT(REQUIRED(TURNED | DIELECTRIC))},
	{NAME(material_dry, "entry of the dried material"), RW_INPUT(.optional = true, ONLY(DIELECTRIC))},
	{CHOICE(treatment, "what is to be heated"), .role = RW_WANT, RW_FORMULAS(RW_BY_METHOD("surface", NULL, "heating-practice")),
	 RW_INPUT(.choices = treatments, ONLY(TURNED), R15("the surface, to a depth"))},
	{CHOICE(motion, "whether the whole length is heated at once"), .role = RW_SETTING,
	 RW_FORMULAS(RW_BY_METHOD("single_shot", NULL, "heating-practice")), RW_INPUT(.choices = motions, ONLY(TURNED), R15("single shot"))},
	{IN(diameter, length, "d_w", "outer diameter of the work"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 5.0), REQUIRED(TURNED))},
	{IN(bore, length, "b_w", "bore of the work"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 5.0), REQUIRED(TUBE))},
	{IN(length, length, "l_w", "length to be heated"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 100.0), REQUIRED(TURNED))},
	{IN(part_length, length, "l_part", "length of the whole part"), .role = RW_PART,
	 RW_FORMULAS(RW_IS("work.length", "heating-practice")), RW_INPUT(RW_OVER_TO(0.0, 100.0), ONLY(TURNED), R15("the length to be heated"))},
	{IN(depth, length, "d_a", "depth to be austenitised"), .role = RW_WANT, RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true, ONLY(TURNED))},
	{IN(time, time, "t_h", "time of heating"), .role = RW_SETTING,
	 RW_FORMULAS(RW_BY_METHOD("surface: the time at whose end the surface is just at its greatest temperature, two digits", HEATING,
	             "carslaw-jaeger")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), ONLY(TURNED | DIELECTRIC), R15("for a surface the shortest that keeps to surface_temperature_max, up to two digits"))},
	{IN(start_temperature, temperature, "T_0", "temperature at the start, and of the surroundings"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("20 degC, or where the material's tables begin, up to 30 degC", "work.material", "heating-practice")),
	 RW_INPUT(RW_FROM_TO(150.0, 3000.0), ONLY(TURNED | DIELECTRIC), R15("20 degC, or where the material's tables begin, up to 30 degC"))},
	{IN(target_temperature, temperature, "T_1", "temperature wanted: at the depth, or mean of the section"), .role = RW_WANT,
	 RW_INPUT(RW_FROM_TO(200.0, 4000.0), REQUIRED(TURNED | DIELECTRIC))},
	{IN(surface_temperature_max, temperature, "T_s,max", "greatest surface temperature"), .role = RW_WANT,
	 RW_FORMULAS(RW_BY_METHOD("150 K over the target", "work.target_temperature", "heating-practice")),
	 RW_INPUT(RW_FROM_TO(200.0, 5000.0), ONLY(TURNED), R15("150 K over the target"))},
	{IN(convection, heat_transfer, "h_c", "convection of the hot surface"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "heating-practice")), RW_INPUT(RW_FROM_TO(0.0, 1e5), ONLY(TURNED), R15("10 W/m2/K, still air"))},
	{IN(zone, length, "l_z", "length heated at a time while scanning"), .role = RW_SETTING,
	 RW_INPUT(RW_OVER_TO(0.0, 10.0), .optional = true, ONLY(TURNED))},
	{IN(thickness, length, "d_m", "thickness of the stuff between the plates"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 10.0), REQUIRED(DIELECTRIC))},
	{IN(mass, mass, "m", "dry mass heated"), .role = RW_PART, RW_INPUT(RW_OVER_TO(0.0, 1e6), REQUIRED(DIELECTRIC))},
	{IN(heat_capacity, heat_capacity, "c", "heat capacity of the dry mass"), .role = RW_PART,
	 RW_INPUT(RW_OVER_TO(0.0, 1e5), REQUIRED(DIELECTRIC))},
	{IN(water_mass, mass, "m_w", "water in it"), .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 1e6), ONLY(DIELECTRIC), R15D("none"))},
	{IN(evaporated_mass, mass, "m_e", "water to be evaporated"), .role = RW_WANT, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 1e6), ONLY(DIELECTRIC), R15D("none"))},
	{IN(loss, power, "P_loss", "heat the stuff loses to plates and air"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "definition")), RW_INPUT(RW_FROM_TO(0.0, 1e7), ONLY(DIELECTRIC), R15D("none"))},
	{IN(permittivity_wet, number, "\u03b5'_wet", "permittivity at the start"), .role = RW_PART, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("geometric mean of the material's span", "work.material", "dielectric-practice")),
	 RW_INPUT(RW_FROM_TO(1.0, 1e3), ONLY(DIELECTRIC), R15D("geometric mean of the material's span"))},
	{IN(loss_factor_wet, number, "\u03b5''_wet", "loss factor at the start"), .role = RW_PART, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("geometric mean of the material's span", "work.material", "dielectric-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), ONLY(DIELECTRIC), R15D("geometric mean of the material's span"))},
	{IN(permittivity_dry, number, "\u03b5'_dry", "permittivity at the end"), .role = RW_PART, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("geometric mean of the dried material's span", "work.material,work.material_dry", "dielectric-practice")),
	 RW_INPUT(RW_FROM_TO(1.0, 1e3), ONLY(DIELECTRIC), R15D("geometric mean of the dried material's span"))},
	{IN(loss_factor_dry, number, "\u03b5''_dry", "loss factor at the end"), .role = RW_PART, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("geometric mean of the dried material's span", "work.material,work.material_dry", "dielectric-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e4), ONLY(DIELECTRIC), R15D("geometric mean of the dried material's span"))},
	{IN(gap_closed, length, "g_0", "air gap with the plates closed"), .role = RW_PART, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), ONLY(DIELECTRIC), R15D("none"))},
	{IN(gap_open, length, "g_1", "greatest air gap with the power on"), .role = RW_PART, RW_FORMULAS(RW_IS("work.gap_closed", "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), ONLY(DIELECTRIC), R15D("as closed"))},
	{IN(field_rms_max, stress, "E_max", "greatest field in the stuff, rms"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "dielectric-practice")), RW_INPUT(RW_OVER_TO(0.0, 1e8), ONLY(DIELECTRIC), R15D("160 V/mm"))},
	{IN(gap_field_pk_max, stress, "E_gap,max", "greatest field in air, peak"), .role = RW_ASSUMED,
	 RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "dielectric-practice")), RW_INPUT(RW_OVER_TO(0.0, 1e8), ONLY(DIELECTRIC), R15D("300 V/mm"))},
	{IN(dummy_resistance, resistance, "R_d", "resistance of the dummy load"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("that of the state the set is sized on, at the wanted frequency, three digits",
	             AT_TERMINALS ",work.heat_power," HEATING, "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1e6), ONLY(DUMMY), RW_RULE("R17", "that of the state the set is sized on, three digits", "rules-of-practice"))},
	{IN(dummy_inductance, inductance, "L_d", "inductance of the dummy load"), .role = RW_PART,
	 RW_FORMULAS(RW_BY_METHOD("that of the state the set is sized on, at the wanted frequency, three digits",
	             AT_TERMINALS ",work.heat_power," HEATING, "rules-of-practice")),
	 RW_INPUT(RW_FROM_TO(0.0, 1.0), ONLY(DUMMY), RW_RULE("R17", "that of the state the set is sized on, three digits", "rules-of-practice"))},
	{NAME(empty, "name of the load state that is the empty coil"), RW_FORMULAS(RW_BY_METHOD("empty", NULL, "rules-of-practice")),
	 RW_INPUT(REQUIRED_WITH(MEASURED), RW_RULE("R15", "empty", "rules-of-practice"))},
	{.key = "loads.*.impedance", .list = 1, .offset = offsetof(rw_load_in, impedance), .type = RW_TABLE, .role = RW_PART, .scope = RW_PER_JOB,
	 .symbol = "", .text = "resistance and reactance at the coil's terminals over frequency, as measured",
	 RW_INPUT(REQUIRED(MEASURED), .columns = rw_impedance_columns, .n_columns = 3, .min_rows = 2)},
	{LOAD(temperature, temperature, "T", "temperature of the layer that carries the current"),
	 RW_FORMULAS(RW_BY_METHOD("cold: at the start; 20 K to each side of the Curie point; hot: the target; finished: the surface at the end; the target where a state of "
	             "the file leaves it open",
	             HEATING, "heating-practice")),
	 RW_INPUT(RW_FROM_TO(150.0, 5000.0), .optional = true, ONLY(TURNED), R15("the states a part goes through"))},
	{LOAD(gap, length, "g", "air gap between stuff and plate"),
	 RW_FORMULAS(RW_BY_METHOD("closed; half way; open", "work.gap_closed,work.gap_open", "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 10.0), .optional = true, ONLY(DIELECTRIC), R15D("the states a press goes through"))},
	{LOAD(permittivity, number, "\u03b5'", "permittivity"), .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("wet or dry", "work.permittivity_wet,work.permittivity_dry", "definition")),
	 RW_INPUT(RW_FROM_TO(1.0, 1e3), .optional = true, ONLY(DIELECTRIC), R15D("wet or dry"))},
	{LOAD(loss_factor, number, "\u03b5''", "loss factor"), .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("wet or dry", "work.loss_factor_wet,work.loss_factor_dry", "definition")),
	 RW_INPUT(RW_FROM_TO(0.0, 1e4), .optional = true, ONLY(DIELECTRIC), R15D("wet or dry"))},

	{SET(heated_length, length, "l_h", "length heated at a time"),
	 RW_FORMULAS(RW_IS_WHEN("work.motion == single_shot", "work.length", "definition"), RW_IS_WHEN("work.motion == scan", "work.zone", "definition"))},
	{SET(area, area, "A_w", "surface heated at a time"),
	 RW_FORMULAS(RW_IS("pi * work.diameter * work.heated_length", "definition"))},
	{SET(absorbed_power, surface_power, "p_a", "power into the surface that brings the target in the time"), .uncertainty = 0.15,
	 .by = RW_BY_ESTIMATE, RW_FORMULAS(HEATED)},
	{SET(lost_power, surface_power, "p_l", "power the surface loses meanwhile, mean"), .uncertainty = 0.3, .by = RW_BY_ESTIMATE, RW_FORMULAS(HEATED)},
	{SET(surface_power, surface_power, "p_w", "power wanted on the surface"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("work.absorbed_power + work.lost_power", "energy"))},
	{SET(heat_needed, power, "P_need", "what the treatment takes in its time, with what is lost"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS_WHEN("work.kind == bar or work.kind == tube", "work.surface_power * work.area", "definition"),
	             RW_IS_WHEN("work.kind == dielectric", "work.energy / work.time + work.loss", "energy"))},
	{SET(heating_time, time, "t_w", "time of heating"), RW_FORMULAS(RW_IS("work.time", "definition"))},
	{SET(surface_temperature, temperature, "T_s", "temperature of the surface at the end"), .uncertainty = 0.1, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(HEATED)},
	{SET(core_temperature, temperature, "T_c", "temperature of centre or bore at the end"), .uncertainty = 0.1, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(HEATED)},
	{SET(hot_depth, length, "\u03b4_h", "skin depth at the target"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_BY_METHOD("sqrt(resistivity/(pi f mu)), resistivity of the material at the target",
	             "work.material,work.target_temperature,generator.frequency", "skin-depth"))},
	{SET(energy, energy, "E_w", "heat into the work in the time"), .uncertainty = 0.15, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS_WHEN("work.kind == bar or work.kind == tube", "work.absorbed_power * work.area * work.time", "energy"),
	             {.kind = RW_METHOD, .when = "work.kind == dielectric", .text = "heat capacity over the rise, water and evaporation with it",
	              .reads = DRYING ",work.start_temperature,work.target_temperature", .source = "energy"})},
	{SET(scan_speed, velocity, "v_s", "speed of the scan"), RW_FORMULAS(RW_IS("work.zone / work.time", "definition"))},
	{SET(scan_time, time, "t_s", "time of the scan"), RW_FORMULAS(RW_IS("(work.length + work.zone) / work.scan_speed", "definition"))},
	{SET(power_density, power_density, "p_v", "power wanted in the stuff"), .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS("work.heat_power / (coil.plate_length * coil.plate_width * work.thickness)", "definition"))},

	{CASE(heat, power, "P_heat", "heat in the work"), .by = RW_BY_CLOSED, .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.current_rms^2 * (coil.resistance - coil.own_resistance)", "series-circuit"))},
	{CASE(heat_share, fraction, "", "share of the heat wanted that is in the work"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("work.heat / work.heat_power", "definition"))},
	{CASE(mean_heat, power, "P_mean", "heat in the work, mean over the whole heating at these mains"), .partial = true, .uncertainty = 0.1,
	 .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_BY_METHOD("heat content between the states' temperatures, each stretch at the mean heat of its ends: the energy over the time",
	             "work.heat,work.loads.*,work.empty,work.material,work.kind", "energy"))},
	{CASE(area_heatable, area, "A_max", "surface this heat can bring to the power wanted"), .partial = true, .uncertainty = 0.15,
	 RW_FORMULAS(RW_IS("work.heat / work.surface_power", "definition"))},
	{CASE(field_rms, stress, "E_m", "field in the stuff, rms"), .partial = true, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("volts of the plates over the layers in series, by their permittivities (work)",
	             "coil.voltage_rms,work.loads.*,work.empty,work.thickness,oscillator.frequency", "series-circuit"))},
	{CASE(gap_field_pk, stress, "E_g", "field in the air gap, peak; 0: there is none"), .partial = true, .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("volts of the plates over the layers in series, by their permittivities (work)",
	             "coil.voltage_rms,work.loads.*,work.empty,work.thickness,oscillator.frequency", "series-circuit"))},
};

static const rw_limit limits[] = {
	{.key = "work.heat", .figure = "work.heat", .limit = "work.heat_power", .sense = RW_AT_LEAST,
	 .when = "case.is_job_load == 1 and case.is_nominal == 1 and case.is_worn == 0", .text = "heat in the work against the heat wanted, nominal mains",
	 .source = "generator-file", .remedy = "more anode volts, or a looser match to the coil"},
	{.key = "work.mean_heat", .figure = "work.mean_heat", .limit = "0.99 * work.heat_power", .sense = RW_AT_LEAST,
	 .when = "(work.kind == bar or work.kind == tube) and case.is_job_load == 1 and case.is_nominal == 1 and case.is_worn == 0",
	 .text = "heat over the whole heating, mean, nominal mains", .source = "energy",
	 .remedy = "size the set on a hot state ('design_load: hot'), or give more time"},
	{.key = "work.coil_length", .figure = "abs(coil.length - work.heated_length)", .limit = "0.5 * work.heated_length", .sense = RW_AT_MOST,
	 .when = "(work.kind == bar or work.kind == tube) and coil.kind == turns", .text = "length of the coil against the length heated",
	 .source = "heating-practice", .remedy = "a coil about as long as what it is to heat: the heat spreads over the coil's length"},
	{.key = "work.area", .figure = "work.area_heatable", .limit = "work.area * work.heat_power / work.heat_needed", .sense = RW_AT_LEAST,
	 .when = "(work.kind == bar or work.kind == tube) and case.is_job_load == 1 and case.is_nominal == 1 and case.is_worn == 0", .text = "surface this set can heat at a time, nominal mains",
	 .source = "heating-practice", .remedy = "scan the length instead of a single shot, with a shorter zone ('motion: scan' and 'zone')"},
	{.key = "work.surface_temperature", .figure = "work.surface_temperature", .limit = "work.surface_temperature_max", .sense = RW_AT_MOST,
	 .when = "work.kind == bar or work.kind == tube", .text = "temperature of the surface at the end, with the heat wanted", .source = "heating-practice",
	 .remedy = "a longer time with less power, or a lower frequency"},
	{.key = "work.field", .figure = "work.field_rms", .limit = "work.field_rms_max", .sense = RW_AT_MOST, .when = "work.kind == dielectric and case.is_empty == 0",
	 .text = "field in the stuff", .source = "dielectric-practice", .remedy = "a longer time, larger plates, or a higher frequency"},
	{.key = "work.gap_field", .figure = "work.gap_field_pk", .limit = "work.gap_field_pk_max", .sense = RW_AT_MOST,
	 .when = "work.kind == dielectric", .text = "field in the air gap", .source = "dielectric-practice",
	 .remedy = "power on only with the plates closed, or less air between plate and stuff"},
};

const rw_room rw_work_room = {
	.name = "work", .text = "Work", .per_job = true, .in_size = sizeof(rw_work_in), .set_size = sizeof(rw_work_set),
	.case_size = sizeof(rw_work_case), .items = items, .n_items = (int)(sizeof items / sizeof items[0]), .lists = lists, .n_lists = 1,
	.limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
