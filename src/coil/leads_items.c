/* Figures of the leads. */
#include "coil/leads.h"
#include "item/rows.h"

static const rw_item items[] = {
	{RW_NUMBER_OF(rw_leads_in, inductance, inductance, "L_l", "inductance of the leads, go and return"),
	 .role = RW_PART, .scope = RW_PER_JOB, .by = RW_BY_ESTIMATE, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("mu0/pi x length x acosh(spacing / diameter): two tubes, thin skin",
	                          "leads.length,leads.diameter,leads.spacing", "two-wire-line")),
	 RW_INPUT(RW_FROM_TO(0.0, 1e-3), RW_RULE("R6", "from the tubes", "two-wire-line"))},
	{RW_NUMBER_OF(rw_leads_in, resistance, resistance, "R_l", "resistance of the leads at the wanted frequency, go and return"),
	 .role = RW_PART, .scope = RW_PER_JOB, .by = RW_BY_ESTIMATE, .uncertainty = 0.5,
	 RW_FORMULAS(RW_BY_METHOD("2 resistivity x length / (pi x diameter x skin depth) / sqrt(1 - (diameter / spacing)^2): two copper tubes,"
	     " thin skin",
	                          "leads.length,leads.diameter,leads.spacing,leads.temperature,generator.frequency", "two-wire-line")),
	 RW_INPUT(RW_FROM_TO(0.0, 10.0), RW_RULE("R6", "from the tubes by skin effect", "two-wire-line"))},
	{RW_NUMBER_OF(rw_leads_in, length, length, "l", "length of the leads, one way"),
	 .role = RW_PART, .scope = RW_PER_JOB,
	 RW_INPUT(RW_OVER_TO(0.0, 100.0), .optional = true)},
	{RW_NUMBER_OF(rw_leads_in, diameter, length, "d", "outer diameter of each tube"),
	 .role = RW_PART, .scope = RW_PER_JOB,
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), .optional = true)},
	{RW_NUMBER_OF(rw_leads_in, spacing, length, "s", "spacing of the tubes between centres"),
	 .role = RW_PART, .scope = RW_PER_JOB,
	 RW_INPUT(RW_OVER_TO(0.0, 10.0), .optional = true)},
	{RW_NUMBER_OF(rw_leads_in, temperature, temperature, "T_l", "temperature of the leads' copper"),
	 .role = RW_ASSUMED, .scope = RW_PER_JOB, RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "rules-of-practice")),
	 RW_INPUT(RW_FROM_TO(233.15, 573.15), RW_RULE("R6", "60 degC", "rules-of-practice"))},
	{RW_NUMBER_OF(rw_leads_in, voltage_share_max, fraction, "", "greatest share of the volts that the leads may take"),
	 .role = RW_ASSUMED, .scope = RW_PER_JOB, RW_FORMULAS(RW_IS("0.5", "rules-of-practice")),
	 RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R16", "a half", "rules-of-practice"))},

	{RW_NUMBER_OF(rw_leads_case, effective_resistance, resistance, "R_lf", "resistance of the leads at the case's frequency"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("leads.resistance * sqrt(oscillator.frequency / generator.frequency)", "two-wire-line"))},
	{RW_NUMBER_OF(rw_leads_case, voltage_rms, voltage_rms, "V_l", "volts along the leads"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, .by = RW_BY_ESTIMATE,
	 RW_FORMULAS(RW_IS("coil.current_rms * sqrt(leads.effective_resistance^2 + (2 * pi * oscillator.frequency * leads.inductance)^2)",
	     "two-wire-line"))},
	{RW_NUMBER_OF(rw_leads_case, loss, power, "P_l", "loss in the leads"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, .by = RW_BY_ESTIMATE,
	     RW_FORMULAS(RW_IS("coil.current_rms^2 * leads.effective_resistance", "two-wire-line"))},
	{RW_NUMBER_OF(rw_leads_case, voltage_share, fraction, "", "share of the leads in the volts of leads and coil"),
	 .role = RW_RESULT, .scope = RW_PER_CASE, .by = RW_BY_ESTIMATE, .uncertainty = 0.3,
	 RW_FORMULAS(RW_IS("leads.voltage_rms / (leads.voltage_rms + coil.voltage_rms)", "series-circuit"))},
};

static const rw_limit limits[] = {
	{.key = "leads.voltage_share", .figure = "leads.voltage_share", .limit = "leads.voltage_share_max", .sense = RW_AT_MOST,
	 .when = "work.kind != dummy and coil.kind != plates", .text = "share of the leads in the volts of leads and coil", .source = "rules-of-practice",
	 .remedy = "shorter leads, wide strips close together, or an output transformer at the coil"},
};

const rw_room rw_leads_room = {
	.name = "leads", .text = "Leads", .per_job = true,
	.in_size = sizeof(rw_leads_in), .case_size = sizeof(rw_leads_case),
	.items = items, .n_items = (int)(sizeof items / sizeof items[0]), .limits = limits, .n_limits = 1,
};
