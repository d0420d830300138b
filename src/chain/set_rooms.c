#include "chain/set_rooms.h"

#include "item/rows.h"

#define CASE(member, kind, symbol, text) RW_NUMBER_OF(rw_case_case, member, kind, symbol, text), .role = RW_RESULT, .scope = RW_PER_CASE
#define TEXT(member_, text_) .key = #member_, .offset = offsetof(rw_generator_in, member_), .type = RW_TEXT, .symbol = "", .text = (text_)

static const char *const planes[] = {"anode", "terminals", "coil", "work", NULL};

static const rw_item generator_items[] = {
    {TEXT(name, "name of the set"), .role = RW_PART, RW_INPUT(.required = true)},
    {TEXT(number, "serial or drawing number"), .role = RW_PART, RW_INPUT(.optional = true)},
    {TEXT(revision, "revision of the file"), .role = RW_PART, RW_INPUT(.optional = true)},
    {RW_NUMBER_OF(rw_generator_in, frequency, frequency, "f_0", "frequency wanted"), .role = RW_WANT,
        RW_INPUT(RW_FROM_TO(1e4, 1e8), .required = true)},
    {RW_NUMBER_OF(rw_generator_in, rated_output, power, "P_rated", "rated output at the reference plane"), .role = RW_WANT,
     RW_INPUT(RW_OVER_TO(0.0, 1e7), .optional = true)},
    {RW_NUMBER_OF(rw_generator_in, frequency_tolerance, fraction, "",
        "how far the set may run from the frequency wanted, in the state it is sized on"),
     .role = RW_WANT, RW_FORMULAS(RW_IS("0.02", "rules-of-practice")),
                 RW_INPUT(RW_OVER_TO(0.0, 0.5), RW_RULE("R5", "2 %", "rules-of-practice"))},
    {RW_NUMBER_OF(rw_generator_in, band_low, frequency, "f_low", "lower edge of the band it must stay in"), .role = RW_WANT,
     RW_FORMULAS(RW_BY_METHOD("edge of the ISM band that holds the wanted frequency; none outside the bands", "generator.frequency", "itu-ism")),
     RW_INPUT(RW_OVER_TO(0.0, 1e12), .optional = true, RW_RULE("R19", "of the ISM band that holds the wanted frequency", "itu-ism"))},
    {RW_NUMBER_OF(rw_generator_in, band_high, frequency, "f_high", "upper edge of the band it must stay in"), .role = RW_WANT,
     RW_FORMULAS(RW_BY_METHOD("edge of the ISM band that holds the wanted frequency; none outside the bands", "generator.frequency", "itu-ism")),
     RW_INPUT(RW_OVER_TO(0.0, 1e12), .optional = true, RW_RULE("R19", "of the ISM band that holds the wanted frequency", "itu-ism"))},
    {.key = "plane", .offset = offsetof(rw_generator_in, plane), .type = RW_CHOICE, .role = RW_PART, .symbol = "",
        .text = "reference plane of the rated output",
     RW_INPUT(.required = true, .choices = planes)},
    {TEXT(design_job, "job the set is sized on"), .role = RW_SETTING,
     RW_FORMULAS(RW_BY_METHOD("the first job", NULL, "rules-of-practice")), RW_INPUT(RW_RULE("sizing", "the first job", "rules-of-practice"))},
    {TEXT(design_load, "load state the set is sized on"), .role = RW_SETTING,
     RW_FORMULAS(RW_BY_METHOD("the load state of least anode load resistance",
                              "work.loads.*,work.empty,work.heat_power,generator.frequency,oscillator.anode_voltage,valve.*,"
                                          "leads.inductance,leads.resistance,output.wanted_current_rms,tank.inductor_q,tank.feedback,tank.coupling,tank.feed,tank.arrangement,tank.q_wanted,"
                              "tank.secondary_q,tank.loss_tangent,tank.grid_coupling", "rules-of-practice")),
     RW_INPUT(RW_RULE("sizing", "the load state of least anode load resistance", "rules-of-practice"))},
};

static const char band_remedy[] = "a free-running set moves with its load: a load that moves less, less coupling, screening for what lies outside the "
                                  "band, or a driven set on a crystal";

static const rw_limit generator_limits[] = {
    {.key = "generator.rated_output", .figure = "case.output_at_plane", .limit = "generator.rated_output", .sense = RW_AT_LEAST,
     .when = "case.is_design_load == 1 and case.is_nominal == 1 and case.is_worn == 0", .needs = "generator.rated_output",
                 .text = "rated output at its reference plane, nominal mains",
     .source = "generator-file",
     .remedy = "size it on a job that takes the rated output (a dummy load takes it), more anode volts, or a larger valve"},
    {.key = "generator.frequency", .figure = "abs(oscillator.frequency - generator.frequency)",
        .limit = "generator.frequency_tolerance * generator.frequency",
     .sense = RW_AT_MOST, .when = "case.is_design_load == 1 and case.is_nominal == 1", .text = "how far it runs from the frequency wanted",
     .source = "generator-file", .remedy = "tank inductor or capacitor for the wanted frequency"},
    {.key = "generator.band_low", .figure = "oscillator.frequency", .limit = "generator.band_low", .sense = RW_AT_LEAST,
     .needs = "generator.band_low", .text = "frequency against the lower edge of its band", .source = "itu-ism", .remedy = band_remedy},
    {.key = "generator.band_high", .figure = "oscillator.frequency", .limit = "generator.band_high", .sense = RW_AT_MOST,
     .needs = "generator.band_high", .text = "frequency against the upper edge of its band", .source = "itu-ism", .remedy = band_remedy},
};

const rw_room rw_generator_room = {
    .name = "generator", .text = "Generator", .in_size = sizeof(rw_generator_in), .items = generator_items,
    .n_items = sizeof generator_items / sizeof generator_items[0], .limits = generator_limits,
        .n_limits = sizeof generator_limits / sizeof generator_limits[0],
};

static const char *const harmonic_limits[] = {"none", "ieee_519", NULL};

static const rw_item site_items[] = {
    {RW_NUMBER_OF(rw_site_in, mains_voltage_rms, voltage_rms, "V_mains", "mains, line to line"), .role = RW_PART,
        RW_INPUT(RW_OVER_TO(50.0, 50e3), .required = true)},
    {RW_NUMBER_OF(rw_site_in, mains_frequency, frequency, "f_mains", "mains frequency"), .role = RW_PART,
        RW_INPUT(RW_FROM_TO(10.0, 1000.0), .required = true)},
    {RW_NUMBER_OF(rw_site_in, fault_level_greatest, apparent_power, "S_kmax", "greatest fault level of the mains at the set; single phase: of the loop that feeds it"), .role = RW_PART,
     RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "rules-of-practice")),
     RW_INPUT(RW_OVER_TO(0.0, 1e12), RW_RULE("R22", "1000000 MVA, stiff: fault currents are then the greatest the transformer lets through", "rules-of-practice"))},
    {RW_NUMBER_OF(rw_site_in, fault_level_least, apparent_power, "S_kmin", "least fault level of the mains at the set"), .role = RW_PART,
     RW_INPUT(RW_OVER_TO(0.0, 1e12), .optional = true)},
    {.key = "harmonic_limits", .offset = offsetof(rw_site_in, harmonic_limits), .type = RW_CHOICE, .role = RW_WANT, .symbol = "",
     .text = "limits of current harmonics at the site", RW_INPUT(.choices = harmonic_limits, .optional = true)},
};

const rw_room rw_site_room = {
    .name = "site", .text = "Site", .in_size = sizeof(rw_site_in), .items = site_items, .n_items = sizeof site_items / sizeof site_items[0],
};

static const char *const valves[] = {"both", "new", NULL};

static const rw_item cases_items[] = {
    {RW_NUMBER_OF(rw_cases_in, mains_low, number, "m_low", "least mains over nominal"), .role = RW_SETTING,
        RW_FORMULAS(RW_IS("0.9", "en-50160")),
     RW_INPUT(RW_FROM_TO(0.3, 1.0), RW_RULE("mains", "0.90", "en-50160"))},
    {RW_NUMBER_OF(rw_cases_in, mains_nominal, number, "m_nom", "nominal mains"), .role = RW_SETTING, RW_FORMULAS(RW_IS("1", "en-50160")),
     RW_INPUT(RW_FROM_TO(0.5, 1.5), RW_RULE("mains", "1.00", "en-50160"))},
    {RW_NUMBER_OF(rw_cases_in, mains_high, number, "m_high", "greatest mains over nominal"), .role = RW_SETTING,
        RW_FORMULAS(RW_IS("1.1", "en-50160")),
     RW_INPUT(RW_FROM_TO(1.0, 2.0), RW_RULE("mains", "1.10", "en-50160"))},
    {.key = "valves", .offset = offsetof(rw_cases_in, valves), .type = RW_CHOICE, .role = RW_SETTING, .symbol = "",
     .text = "valves the set is rated with: a new one and a worn one, or the new one only", RW_FORMULAS(RW_BY_METHOD("value of the rule", NULL, "rules-of-practice")),
     RW_INPUT(.choices = valves, RW_RULE("R20", "both", "rules-of-practice"))},
};

const rw_room rw_cases_room = {
    .name = "cases", .text = "Cases", .in_size = sizeof(rw_cases_in), .items = cases_items,
        .n_items = sizeof cases_items / sizeof cases_items[0],
};

static const char case_mark[] = "which case it is";

static const rw_item case_items[] = {
    {CASE(mains_factor, number, "m", "mains over nominal"),
        RW_FORMULAS(RW_BY_METHOD(case_mark, "cases.mains_low,cases.mains_nominal,cases.mains_high", "definition"))},
    {CASE(is_nominal, number, "", "1 at nominal mains"), .internal = true, RW_FORMULAS(RW_BY_METHOD(case_mark, NULL, "definition"))},
    {CASE(is_worn, number, "", "1 with a worn valve"), .internal = true, RW_FORMULAS(RW_BY_METHOD(case_mark, NULL, "definition"))},
    {CASE(is_empty, number, "", "1 with the empty coil"), .internal = true, RW_FORMULAS(RW_BY_METHOD(case_mark, "work.empty", "definition"))},
    {CASE(is_job_load, number, "", "1 in the state its job's heat is judged in"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD("the state the set is sized on; in another job that of the same name, else its loaded state of least anode load resistance",
                              "generator.design_job,generator.design_load,work.loads.*,work.empty,tank.capacitance,tank.inductance,"
                                          "tank.inductor_q,tank.loss_tangent,tank.blocking_capacitance,"
                              "tank.choke_inductance,tank.bypass_capacitance,tank.divider_anode_capacitance,tank.divider_grid_capacitance,"
                              "tank.grid_mutual,settings.grid_mutual,settings.secondary_mutual,tank.grid_coupling,tank.grid_inductance,tank.grid_choke_inductance,tank.secondary_inductance,"
                              "tank.secondary_mutual,tank.secondary_capacitance,tank.secondary_q,tank.feedback,tank.coupling,tank.feed,"
                              "tank.arrangement,valve.*,leads.inductance,leads.resistance,output.wanted_current_rms,output.wanted_resistance", "definition"))},
    {CASE(is_design_load, number, "", "1 in the state the set is sized on"), .internal = true,
     RW_FORMULAS(RW_BY_METHOD(case_mark, "generator.design_job,generator.design_load", "definition"))},
    {CASE(output_at_plane, power, "P_plane", "output at the reference plane"), .uncertainty = 0.05,
     RW_FORMULAS(RW_IS_WHEN("generator.plane == anode", "tank.power", "definition"),
                 RW_IS_WHEN("generator.plane == terminals", "output.power", "definition"),
                 RW_IS_WHEN("generator.plane == coil", "coil.power", "definition"),
                             RW_IS_WHEN("generator.plane == work", "work.heat", "definition"))},
};

const rw_room rw_case_room = {
    .name = "case", .text = "Case", .case_size = sizeof(rw_case_case), .items = case_items, .n_items = sizeof case_items / sizeof case_items[0],
};
