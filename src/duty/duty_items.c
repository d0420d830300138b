/* Figures of the duty room. */
#include "duty/duty.h"
#include "item/rows.h"

#define IN(member, kind, symbol, text)   RW_NUMBER_OF(rw_duty_in, member, kind, symbol, text)
#define SET(member, kind, symbol, text)  RW_NUMBER_OF(rw_duty_set, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_JOB
#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_duty_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE

#define PRACTICE "rules-of-practice"
#define BODY     "thermal-body"
#define SHOTS    "duty.pattern == shots"
#define ON       "duty.pattern == continuous"
#define STEADY   "(mains.filament_current_rms + mains.auxiliary_current_rms)"
#define STANDING "mains.keying != contactor and mains.keying != thyristor_gate and duty.pattern == shots"
#define SHOT     "(supply.mains_current_rms + " STEADY ")"
#define REST     "(supply.mains_current_rms * duty.resting_share + " STEADY ")"
#define FILAMENT "oscillator.valves * (filament.power + filament.series_loss)"
#define RESTING  "value of the rule"

static const char *const patterns[] = {"continuous", "shots", NULL};
static const char resting_method[] = "what stands on the valve between the shots with this keying: nothing; cut off; with the grid at the cathode; "
                                     "the balance of the empty coil (docs/theory/duty.md)";
#define RESTING_READS "mains.keying,duty.pattern,valve.*,supply.*,protection.bleeder_resistance,case.mains_factor,case.is_worn,work.empty," \
                      "oscillator.anode_voltage_dc,oscillator.anode_current_dc,oscillator.valves"

static const rw_item items[] = {
	/* inputs */
	{.key = "pattern", .offset = offsetof(rw_duty_in, pattern), .type = RW_CHOICE, .role = RW_WANT, .symbol = "",
	 .text = "power without a break, or in shots",
	 RW_FORMULAS(RW_BY_METHOD("shots where a period is given, else continuous", "duty.period", PRACTICE)),
	 RW_INPUT(.choices = patterns, RW_RULE("R24", "shots where a period is given, else continuous", PRACTICE))},
	{IN(on_time, time, "t_on", "time with power on in each shot"), .role = RW_WANT,
	 RW_FORMULAS(RW_IS("duty.work_time", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(0.05, 86400.0), .optional = true, RW_RULE("R24", "the time the work takes", PRACTICE))},
	{IN(period, time, "t_p", "time from shot to shot"), .role = RW_WANT,
	 RW_INPUT(RW_FROM_TO(0.05, 7.0 * 86400.0), .optional = true)},
	{IN(hours_per_year, hours, "t_a", "hours a year in which the set stands ready for this job, filament on"), .role = RW_WANT,
	 RW_FORMULAS(RW_BY_METHOD(RESTING, NULL, PRACTICE)),
	 RW_INPUT(RW_OVER_TO(0.0, RW_DUTY_YEAR), RW_RULE("R24", "2000 h: one shift of 8 h on 250 days", PRACTICE))},
	{IN(shots_per_year, count, "n_a", "shots a year, which take no longer than a year; of continuous power its starts"), .role = RW_WANT,
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "max(floor_to(duty.hours_per_year / duty.period, 1), 1)", PRACTICE),
	             RW_IS_WHEN(ON, "mains.starts_per_year", PRACTICE)),
	 RW_INPUT(RW_FROM_TO(1.0, 1e9), RW_RULE("R24", "hours a year over the period; of continuous power the starts of the set", PRACTICE))},

	/* the job */
	{SET(work_time, time, "t_w", "time the work takes; 0 where it tells none"),
	 RW_FORMULAS(RW_IS_WHEN("work.kind == measured or work.kind == dummy", "0 * mains.breaker_time_constant", "definition"),
	             RW_IS_WHEN("(work.kind == bar or work.kind == tube) and work.motion == scan", "work.scan_time", "definition"),
	             RW_IS_WHEN("(work.kind == bar or work.kind == tube) and work.motion == single_shot", "work.heating_time", "definition"),
	             RW_IS_WHEN("work.kind == dielectric", "work.heating_time", "definition"))},
	{SET(duty_cycle, fraction, "d", "share of the time with power on: factor of the mean"),
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "duty.on_time / duty.period", "definition"), RW_IS_WHEN(ON, "1", "definition"))},
	{SET(rms_factor, number, "k_rms", "rms over the pattern over that of the shot"), RW_FORMULAS(RW_IS("sqrt(duty.duty_cycle)", "definition"))},
	{SET(transformer_share, number, "k_T", "greatest rise of the HT transformer over the rise of the shot's current without a break"),
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "(1 - exp(-duty.on_time / mains.transformer_time_constant)) / "
	                               "(1 - exp(-duty.period / mains.transformer_time_constant))", BODY), RW_IS_WHEN(ON, "1", "definition"))},
	{SET(breaker_share, number, "k_B", "greatest rise of the breaker's bimetal over the rise of the shot's current without a break"),
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "(1 - exp(-duty.on_time / mains.breaker_time_constant)) / "
	                               "(1 - exp(-duty.period / mains.breaker_time_constant))", BODY), RW_IS_WHEN(ON, "1", "definition"))},
	{SET(time_per_year, hours, "t_fil", "time a year with the filament on"),
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "max(duty.hours_per_year, duty.shots_per_year * duty.period)", "definition"),
	             RW_IS_WHEN(ON, "duty.hours_per_year", "definition"))},
	{SET(on_per_year, hours, "t_HT", "time a year with power on"),
	 RW_FORMULAS(RW_IS_WHEN(SHOTS, "duty.shots_per_year * duty.on_time", "definition"), RW_IS_WHEN(ON, "duty.hours_per_year", "definition"))},
	{SET(makes_per_year, count, "n_K", "makes a year of the HT contactor"),
	 RW_FORMULAS(RW_IS_WHEN("mains.keying == contactor", "duty.shots_per_year", "definition"),
	             RW_IS_WHEN("mains.keying != contactor", "mains.starts_per_year", "definition"))},
	{SET(contactor_years, number, "", "years of this job that the contactor's electrical life lasts"), .partial = true,
	 RW_FORMULAS(RW_IS("mains.contactor_life / duty.makes_per_year", "definition"))},

	/* between the shots */
	{CASE(resting_voltage_dc, voltage_dc, "V_rest", "HT that stands between the shots; 0 where it is off"),
	 RW_FORMULAS(RW_BY_METHOD(resting_method, RESTING_READS, "keying-practice"))},
	{CASE(resting_anode_current_dc, current_dc, "I_rest", "anode current between the shots"), .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD(resting_method, RESTING_READS, "keying-practice"))},
	{CASE(resting_anode_loss, power, "P_rest", "anode loss between the shots"), .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS("duty.resting_voltage_dc * duty.resting_anode_current_dc", "energy"))},
	{CASE(resting_current_dc, current_dc, "I_d,rest", "direct current of the HT between the shots, valves and bleeder"),
	 RW_FORMULAS(RW_IS("oscillator.valves * duty.resting_anode_current_dc + duty.resting_voltage_dc / protection.bleeder_resistance", "energy"))},
	{CASE(resting_share, number, "r", "that current over the shot's"),
	 RW_FORMULAS(RW_IS("duty.resting_current_dc / supply.current_dc", "definition"))},
	{CASE(resting_water_heat, power, "P_W,rest", "heat into the water between the shots"), .uncertainty = 0.3,
	 RW_FORMULAS(RW_BY_METHOD("filament's share, given heats, and the anode's loss then; with a detuned tank all heats of the empty coil",
	                          "water.filament_share,water.branches.*.takes,water.branches.*.heat,water.heat,filament.power,"
	                          "oscillator.anode_loss," RESTING_READS, "energy"))},

	/* what goes by heat gathered */
	{CASE(transformer_factor, number, "k_c", "equivalent continuous current of the HT transformer over the shot's"),
	 RW_FORMULAS(RW_IS("sqrt(duty.transformer_share + (1 - duty.transformer_share) * duty.resting_share^2)", BODY))},
	{CASE(transformer_current_rms, current_rms, "I_2c", "equivalent continuous line current of the secondary"),
	 RW_FORMULAS(RW_IS("supply.secondary_current_rms * duty.transformer_factor", BODY))},
	{CASE(choke_current_rms, current_rms, "I_Lc", "direct current of the HT, rms over the pattern: heat of chokes"),
	 RW_FORMULAS(RW_IS("sqrt(duty.duty_cycle * supply.current_dc^2 + (1 - duty.duty_cycle) * duty.resting_current_dc^2)", "definition"))},
	{CASE(rectifier_loss, power, "P_Dm", "loss in the diodes, mean over the pattern: heat of the rectifier's cabinet"),
	 RW_FORMULAS(RW_IS("supply.diode_loss * (duty.duty_cycle + (1 - duty.duty_cycle) * duty.resting_share)", "energy"))},
	{CASE(shot_line_current_rms, current_rms, "I_1s", "mains line current in the shot, filament and auxiliaries added in phase"),
	 RW_FORMULAS(RW_IS(SHOT, "ac-power"))},
	{CASE(line_current_rms, current_rms, "I_1m", "the same, rms over the pattern: heat of the mains cable"),
	 RW_FORMULAS(RW_IS("sqrt(duty.duty_cycle * " SHOT "^2 + (1 - duty.duty_cycle) * " REST "^2)", "ac-power"))},
	{CASE(breaker_current_rms, current_rms, "I_1b", "equivalent continuous current of the breaker's bimetal"),
	 RW_FORMULAS(RW_IS("sqrt(duty.breaker_share * " SHOT "^2 + (1 - duty.breaker_share) * " REST "^2)", BODY))},
	{CASE(water_heat, power, "P_Wm", "heat into the water, mean over the pattern: what the exchanger takes"),
	 RW_FORMULAS(RW_IS("duty.duty_cycle * water.heat + (1 - duty.duty_cycle) * duty.resting_water_heat", "energy"))},
	{CASE(mean_power, power, "P_m", "power from the mains, mean over the pattern, filament with it: its kW are kWh an hour"),
	 RW_FORMULAS(RW_IS_WHEN("not (" STANDING ")", "duty.duty_cycle * supply.mains_power + " FILAMENT, "energy"),
	             RW_IS_WHEN(STANDING, "duty.duty_cycle * supply.mains_power + (1 - duty.duty_cycle) * (duty.resting_voltage_dc * "
	                        "duty.resting_current_dc + supply.iron_loss) + " FILAMENT, "energy"))},
	{CASE(shot_energy, mains_energy, "W_s", "energy from the mains from shot to shot, filament with it"), .partial = true,
	 RW_FORMULAS(RW_IS("duty.mean_power * duty.period", "energy"))},
	{CASE(energy_per_year, mains_energy, "W_a", "energy from the mains a year"),
	 RW_FORMULAS(RW_IS("(duty.mean_power - " FILAMENT ") * duty.on_per_year / duty.duty_cycle + " FILAMENT " * duty.time_per_year", "energy"))},
};

static const rw_limit limits[] = {
	{.key = "duty.on_time", .figure = "duty.on_time", .limit = "duty.work_time", .sense = RW_AT_LEAST, .when = SHOTS " and duty.work_time > 0",
	 .text = "time with power on against the time the work takes", .source = "generator-file",
	 .remedy = "a longer 'on_time', or a shorter time of the work with more heat"},
	{.key = "duty.transformer_current", .figure = "duty.transformer_current_rms",
	 .limit = "1.05 * supply.rated_secondary_current_rms * mains.transformer_power / supply.rated_power * max(case.mains_factor, 1)",
	 .sense = RW_AT_MOST, .text = "HT transformer over the duty against its continuous rating", .source = PRACTICE,
	 .remedy = "a shorter on-time, a longer period, or a transformer of greater continuous rating"},
	{.key = "duty.breaker_current", .figure = "duty.breaker_current_rms", .limit = "mains.breaker_hold * mains.breaker_current",
	 .sense = RW_AT_MOST, .text = "heating of the breaker over the duty against what it holds", .source = "breaker-standards",
	 .remedy = "a shorter on-time, a longer period, or a breaker of the next step with a cable to match"},
	{.key = "duty.contactor_current", .figure = "supply.mains_current_rms", .limit = "mains.contactor_current", .sense = RW_AT_MOST,
	 .needs = "mains.contactor_current", .text = "line current the HT contactor makes and breaks against its rating", .source = "contactor-data",
	 .remedy = "a larger contactor"},
	{.key = "duty.contactor_years", .figure = "duty.contactor_years", .limit = "mains.contactor_years_min", .sense = RW_AT_LEAST,
	 .needs = "mains.contactor_life", .text = "years the HT contactor lasts at this duty", .source = "contactor-data",
	 .remedy = "a longer period or fewer shots a year, a larger contactor, a vacuum contactor, or keying of the shot by thyristors or the grid"},
	{.key = "duty.resting_loss", .figure = "duty.resting_anode_loss", .limit = "valve.anode_dissipation_max", .sense = RW_AT_MOST, .when = STANDING,
	 .text = "anode loss between the shots against the valve's dissipation", .source = "valve-data",
	 .remedy = "never short a grid-leak oscillator's grid with the HT on: a cut-off bias, or take the HT off between the shots"},
};

const rw_room rw_duty_room = {
	.name = "duty", .text = "Duty", .per_job = true, .in_size = sizeof(rw_duty_in), .set_size = sizeof(rw_duty_set),
	    .case_size = sizeof(rw_duty_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = (int)(sizeof limits / sizeof limits[0]),
};
