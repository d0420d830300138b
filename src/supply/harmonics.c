/* Line harmonics by their orders, and their limits at the site, from the table of the library. */
#include <math.h>

#include "supply/supply.h"

#define RATIO(name_) {name_, &rw_kind_number, true, 0.0, 1e9}
#define SHARE(name_) {name_, &rw_kind_fraction, false, 0.0, 1.0}

const rw_column rw_harmonic_columns[RW_HARMONIC_COLUMNS] = {
	RATIO("ratio_from"), RATIO("ratio_to"), SHARE("from_2"), SHARE("from_11"), SHARE("from_17"), SHARE("from_23"), SHARE("from_35"), SHARE("total"),
};

rw_status rw_supply_limits(const rw_table *rows, rw_supply_set *set, rw_error *err)
{
	for (int row = 0; row < rows->n_rows; row++) {
		if (!(set->site_ratio >= rw_table_cell(rows, row, 0) && set->site_ratio < rw_table_cell(rows, row, 1)))
			continue;
		double *const members[] = {&set->harmonic_limit_2, &set->harmonic_limit_11, &set->harmonic_limit_17, &set->harmonic_limit_23,
		                           &set->harmonic_limit_35, &set->distortion_limit};
		for (int k = 0; k < RW_HARMONIC_COLUMNS - 2; k++)
			*members[k] = rw_table_cell(rows, row, k + 2);
		return RW_OK;
	}
	(void)RW_RAISE(err, RW_E_RANGE, "site.fault_level_least", "no row of limits for a short-circuit ratio of %.4g", set->site_ratio);
	rw_error_expected(err, "a ratio over 0, the least fault level over the demand's");
	rw_error_hint(err, "check 'fault_level_least' and 'supply.demand_current_rms'");
	return RW_E_RANGE;
}

/* Greatest harmonic from an order to another; an even one counts four times, as its limit is a quarter of its neighbours'. */
static double group(const double *rms, int from, int to)
{
	double most = 0.0;
	for (int order = from; order < to; order++)
		most = fmax(most, (order % 2 ? 1.0 : 4.0) * rms[order]);
	return most;
}

void rw_supply_orders(const double *rms, rw_supply_case *c)
{
	const struct { double *member; int order; } orders[] = {
		{&c->harmonic_2_rms, 2}, {&c->harmonic_3_rms, 3}, {&c->harmonic_4_rms, 4}, {&c->harmonic_5_rms, 5}, {&c->harmonic_7_rms, 7},
		{&c->harmonic_11_rms, 11}, {&c->harmonic_13_rms, 13}, {&c->harmonic_17_rms, 17}, {&c->harmonic_19_rms, 19}, {&c->harmonic_23_rms, 23},
		{&c->harmonic_25_rms, 25},
	};
	const struct { double *member; int from, to; } groups[] = {{&c->group_2_rms, 2, 11}, {&c->group_11_rms, 11, 17}, {&c->group_17_rms, 17, 23},
	    {&c->group_23_rms, 23, 35}, {&c->group_35_rms, 35, RW_LINE_ORDERS + 1}};
	for (size_t i = 0; i < sizeof orders / sizeof *orders; i++)
		*orders[i].member = rms[orders[i].order];
	for (size_t i = 0; i < sizeof groups / sizeof *groups; i++)
		*groups[i].member = group(rms, groups[i].from, groups[i].to);
}
