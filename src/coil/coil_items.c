#include "coil/coil.h"
#include "item/rows.h"

#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_coil_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE

static const rw_item items[] = {
    {CASE(resistance, resistance, "R_coil", "resistance of the coil, work in place"), .uncertainty = 0.05,
     RW_FORMULAS(RW_BY_METHOD("read off the measured table of the load state at the frequency (R13)", "work.loads.*,oscillator.frequency",
                 "monotone-interpolation"))},
    {CASE(reactance, resistance, "X_coil", "reactance of the coil, work in place"), .uncertainty = 0.02,
     RW_FORMULAS(RW_IS("2 * pi * oscillator.frequency * coil.inductance", "series-circuit"))},
    {CASE(resistance_empty, resistance, "R_0", "resistance of the empty coil"), .uncertainty = 0.05,
     RW_FORMULAS(RW_BY_METHOD("read off the measured table of the empty coil at the frequency (R13)",
                 "work.loads.*,work.empty,oscillator.frequency", "monotone-interpolation"))},
    {CASE(inductance, inductance, "L_coil", "inductance of the coil, work in place"), .uncertainty = 0.02,
     RW_FORMULAS(RW_BY_METHOD("X/w of the measured table, straight between its rows (R13)", "work.loads.*,oscillator.frequency",
                 "monotone-interpolation"))},
    {CASE(current_rms, current_rms, "I_coil", "current of the coil"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("output.current_rms", "series-circuit"))},
    {CASE(voltage_rms, voltage_rms, "V_coil", "volts across the coil"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("coil.current_rms * sqrt(coil.resistance^2 + coil.reactance^2)", "series-circuit"))},
    {CASE(power, power, "P_coil", "power into the coil's terminals"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.resistance", "series-circuit"))},
    {CASE(loss, power, "P_copper", "loss in the coil itself"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.resistance_empty", "series-circuit"))},
    {CASE(efficiency, fraction, "\u03b7_coil", "coil efficiency"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("1 - coil.resistance_empty / coil.resistance", "series-circuit"))},
    {CASE(reactive_power, reactive_power, "Q_coil", "reactive power of the coil"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS("coil.current_rms^2 * coil.reactance", "series-circuit"))},
};

const rw_room rw_coil_room = {
    .name = "coil", .text = "Work coil", .per_job = true, .case_size = sizeof(rw_coil_case), .items = items,
    .n_items = sizeof items / sizeof items[0],
};
