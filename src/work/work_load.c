#include "work/work_load.h"

static const double two_pi = 6.283185307179586476925287;

void rw_impedance_span(const rw_table *table, double *low, double *high)
{
	*low = rw_table_cell(table, 0, RW_IMPEDANCE_FREQUENCY);
	*high = rw_table_cell(table, table->n_rows - 1, RW_IMPEDANCE_FREQUENCY);
}

static bool below(const rw_table *table, double frequency)
{
	return frequency < rw_table_cell(table, 0, RW_IMPEDANCE_FREQUENCY);
}

/* L = X/w varies slowly and is what practice tabulates: straight between the rows (monotone by nature), X made from it. */
static double inductance_at(const rw_table *table, double frequency)
{
	int last = table->n_rows - 1, k = 0;
	while (k < last - 1 && frequency > rw_table_cell(table, k + 1, RW_IMPEDANCE_FREQUENCY))
		k++;
	double f0 = rw_table_cell(table, k, RW_IMPEDANCE_FREQUENCY), f1 = rw_table_cell(table, k + 1, RW_IMPEDANCE_FREQUENCY);
	double l0 = rw_table_cell(table, k, RW_IMPEDANCE_REACTANCE) / (two_pi * f0);
	double l1 = rw_table_cell(table, k + 1, RW_IMPEDANCE_REACTANCE) / (two_pi * f1);
	return l0 + (l1 - l0) * (frequency - f0) / (f1 - f0);
}

rw_status rw_impedance_at(const rw_table *table, double frequency, rw_impedance *out, rw_error *err)
{
	double low, high, resistance;
	rw_impedance_span(table, &low, &high);
	if (!(frequency >= low && frequency <= high)) {
		(void)RW_RAISE(err, RW_E_RANGE, "work.loads", "the frequency %.4g kHz is %s the measured table, which spans %.4g to %.4g kHz",
		    frequency / 1e3,
		               below(table, frequency) ? "below" : "above", low / 1e3, high / 1e3);
		rw_error_expected(err, "a table that spans the frequency");
		rw_error_hint(err, "measure the coil over a wider span of frequency");
		return RW_E_RANGE;
	}
	RW_TRY(rw_table_at(table, RW_IMPEDANCE_FREQUENCY, RW_IMPEDANCE_RESISTANCE, frequency, &resistance, err));
	double inductance = inductance_at(table, frequency);
	*out = (rw_impedance){resistance, two_pi * frequency * inductance, inductance};
	return RW_OK;
}
