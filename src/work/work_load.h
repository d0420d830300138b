/* The work as a measured load: for each load state (cold, hot, empty coil ...) a table of the work coil's resistance and reactance over
 * frequency, as seen at the coil's terminals. The empty coil's table is required: the heat in the work is I^2 (R_loaded - R_empty).
 * R and L = X/w are interpolated (monotone) over frequency; outside the rows is a range error naming key and span (rule R13). */
#ifndef RW_WORK_WORK_LOAD_H
#define RW_WORK_WORK_LOAD_H

#include "item/item.h"

enum { RW_LOADS_MAX = 12 };

typedef struct rw_load_in {
	int32_t impedance;           /* table: frequency Hz, resistance ohm, reactance ohm */
	int32_t unused;
} rw_load_in;

typedef struct rw_work_in {
	double heat_power;           /* W wanted in the work, in the load state the set is sized on */
	char empty[RW_TEXT_BYTES];   /* name of the load state that is the empty coil */
	int32_t n_loads, unused;
	rw_load_in loads[RW_LOADS_MAX];
} rw_work_in;

typedef struct rw_work_case {
	double heat;                 /* W in the work */
} rw_work_case;

enum { RW_IMPEDANCE_FREQUENCY, RW_IMPEDANCE_RESISTANCE, RW_IMPEDANCE_REACTANCE };
extern const rw_column rw_impedance_columns[3];
extern const rw_room rw_work_room;

typedef struct rw_impedance { double resistance, reactance, inductance; } rw_impedance;   /* ohm, ohm, H */

/* errs RW_E_RANGE with the span in what and expected */
RW_MUST_USE rw_status rw_impedance_at(const rw_table *table, double frequency, rw_impedance *out, rw_error *err);
void rw_impedance_span(const rw_table *table, double *low, double *high);   /* Hz */

#endif
