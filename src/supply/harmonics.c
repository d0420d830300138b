/* Limits of current harmonics at the site, from the table of the library. */
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
