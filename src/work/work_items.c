#include "item/rows.h"
#include "work/work_load.h"

const rw_column rw_impedance_columns[3] = {
    {"frequency", &rw_kind_frequency, true, 1e3, 1e9},
    {"resistance", &rw_kind_resistance, false, 1e-6, 1e6},
    {"reactance", &rw_kind_resistance, false, 1e-6, 1e7},
};

static const rw_list lists[] = {
    {.key = "loads", .text = "load states measured at the coil", .capacity = RW_LOADS_MAX, .count_at = offsetof(rw_work_in, n_loads),
     .in_at = offsetof(rw_work_in, loads), .in_stride = sizeof(rw_load_in), .required = true},
};

static const rw_item items[] = {
    {RW_NUMBER_OF(rw_work_in, heat_power, power, "P_work", "heat wanted in the work"), .role = RW_WANT, .scope = RW_PER_JOB,
     RW_INPUT(RW_OVER_TO(0.0, 1e7), .required = true)},
    {.key = "empty", .offset = offsetof(rw_work_in, empty), .type = RW_TEXT, .role = RW_PART, .scope = RW_PER_JOB, .symbol = "",
     .text = "name of the load state that is the empty coil", RW_INPUT(.required = true)},
    {.key = "loads.*.impedance", .list = 1, .offset = offsetof(rw_load_in, impedance), .type = RW_TABLE, .role = RW_PART, .scope = RW_PER_JOB,
     .symbol = "", .text = "resistance and reactance at the coil's terminals over frequency, as measured",
     RW_INPUT(.required = true, .columns = rw_impedance_columns, .n_columns = 3, .min_rows = 2)},
    {RW_NUMBER_OF(rw_work_case, heat, power, "P_heat", "heat in the work"), .role = RW_RESULT, .scope = RW_PER_CASE, .by = RW_BY_CLOSED,
     .uncertainty = 0.05, RW_FORMULAS(RW_IS("coil.current_rms^2 * (coil.resistance - coil.resistance_empty)", "series-circuit"))},
};

static const rw_limit limits[] = {
    {.key = "work.heat", .figure = "work.heat", .limit = "work.heat_power", .sense = RW_AT_LEAST,
     .when = "case.is_job_load == 1 and case.is_nominal == 1", .text = "heat in the work against the heat wanted, nominal mains",
     .source = "generator-file", .remedy = "more anode volts, or a looser match to the coil"},
};

const rw_room rw_work_room = {
    .name = "work", .text = "Work", .per_job = true, .in_size = sizeof(rw_work_in), .case_size = sizeof(rw_work_case),
    .items = items, .n_items = sizeof items / sizeof items[0], .lists = lists, .n_lists = 1, .limits = limits, .n_limits = 1,
};
