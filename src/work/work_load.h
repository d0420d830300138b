/* A measured load: for each load state (cold, hot, empty coil ...) a table of the work coil's resistance and reactance over
 * frequency, as seen at the coil's terminals. The empty coil's table is required: the heat in the work is I^2 (R_loaded - R_empty).
 * R and L = X/w are interpolated (monotone) over frequency; outside the rows is a range error naming key and span (rule R13). */
#ifndef RW_WORK_WORK_LOAD_H
#define RW_WORK_WORK_LOAD_H

#include "base/table.h"

enum { RW_IMPEDANCE_FREQUENCY, RW_IMPEDANCE_RESISTANCE, RW_IMPEDANCE_REACTANCE };
extern const rw_column rw_impedance_columns[3];

typedef struct rw_impedance { double resistance, reactance, inductance; } rw_impedance;   /* ohm, ohm, H: reactance over w */

/* errs RW_E_RANGE with the span in what and expected */
RW_MUST_USE rw_status rw_impedance_at(const rw_table *table, double frequency, rw_impedance *out, rw_error *err);
void rw_impedance_span(const rw_table *table, double *low, double *high);   /* Hz */

#endif
