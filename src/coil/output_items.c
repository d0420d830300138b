/* Figures of the generator's terminals. */
#include "coil/output.h"
#include "item/rows.h"

#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_output_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE

static const rw_item items[] = {
	{CASE(resistance, resistance, "R_out", "resistance at the generator's terminals"), .uncertainty = 0.1,
	 RW_FORMULAS(RW_IS("coil.resistance + leads.effective_resistance", "series-circuit"))},
	{CASE(reactance, resistance, "X_out", "reactance at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("coil.reactance + 2 * pi * oscillator.frequency * leads.inductance", "series-circuit"))},
	{CASE(current_rms, current_rms, "I_out", "current at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("tank.output_current_rms", "series-circuit"))},
	{CASE(voltage_rms, voltage_rms, "V_out", "volts at the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("output.current_rms * sqrt(output.resistance^2 + output.reactance^2)", "series-circuit"))},
	{CASE(power, power, "P_out", "power through the generator's terminals"), .uncertainty = 0.05,
	 RW_FORMULAS(RW_IS("output.current_rms^2 * output.resistance", "series-circuit"))},
};

const rw_room rw_output_room = {
	.name = "output", .text = "Output terminals", .per_job = true, .case_size = sizeof(rw_output_case), .items = items,
	.n_items = (int)(sizeof items / sizeof items[0]),
};
