/* Settings of a job. */
#include "chain/settings.h"
#include "item/rows.h"

#define IN(member, kind, symbol, text) RW_NUMBER_OF(rw_settings_in, member, kind, symbol, text), .role = RW_SETTING, .scope = RW_PER_JOB
#define PRACTICE "rules-of-practice"

static const rw_item items[] = {
    {IN(ht_ratio, fraction, "n_HT", "volts of the HT transformer over its full ones: tap, variac or star/delta; turned by the operator"),
     RW_FORMULAS(RW_IS("1", PRACTICE)), RW_INPUT(RW_OVER_TO(0.0, 1.0), RW_RULE("R23", "1: full volts; --retune: least step that gives the heat", PRACTICE))},
    {IN(firing_angle, angle, "\u03b1_f", "firing angle of the primary thyristors from natural commutation; turned by the operator"),
     RW_FORMULAS(RW_IS_WHEN("supply.control != primary_thyristor", "0", PRACTICE),
                 RW_IS_WHEN("supply.control == primary_thyristor", "supply.firing_angle_min", PRACTICE)),
     RW_INPUT(RW_FROM_TO(0.0, 2.0943951023931957), RW_RULE("R23", "the least; --retune: greatest step that gives the heat", PRACTICE))},
    {IN(grid_mutual, inductance, "M_j", "mutual inductance, tank inductor to grid winding, in this job; turned by the setter"),
     RW_FORMULAS({.kind = RW_METHOD, .when = "tank.feedback == winding", .text = "the tank's; of a winding that turns, the step nearest to it",
                  .reads = "tank.grid_mutual,tank.grid_mutual_low,tank.grid_mutual_high,tank.grid_mutual_step", .source = PRACTICE}),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true,
              RW_RULE("R23", "the tank's; --retune, where it has a span: grid current at 70 % of its limit", PRACTICE))},
    {IN(secondary_mutual, inductance, "M_2j", "mutual inductance, tank inductor to secondary, in this job; turned by the setter"),
     RW_FORMULAS(RW_IS_WHEN("tank.coupling == secondary", "tank.secondary_mutual", PRACTICE)),
     RW_INPUT(RW_OVER_TO(0.0, 1e-2), .optional = true, RW_RULE("R23", "the tank's", PRACTICE))},
};

const rw_room rw_settings_room = {
    .name = "settings", .text = "Settings", .per_job = true, .in_size = sizeof(rw_settings_in), .items = items,
    .n_items = sizeof items / sizeof items[0],
};
