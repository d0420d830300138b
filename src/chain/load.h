/* The load states of each job, each brought to one form: resistance and reactance at the coil's terminals over frequency and current, from
 * a measured table, from a ladder fitted to the closed forms (the load port), or fixed (a dummy load). */
#ifndef RW_CHAIN_LOAD_H
#define RW_CHAIN_LOAD_H

#include "chain/chain.h"
#include "circuit/circuit.h"
#include "coil/loaded.h"
#include "work/work.h"
#include "work/work_load.h"

enum { RW_LOAD_SAMPLES = 15 };

typedef struct rw_load {
	const rw_table *table;           /* measured; NULL: port or fixed */
	rw_load_port port;               /* f_hi 0: fixed */
	double own_share[RW_LOAD_SAMPLES];   /* 1: the coil's own part of the resistance, at frequencies evenly apart in the logarithm over the port */
	rw_coil_body body;               /* of a bar or tube in its state; radius 0: none */
	double resistance, inductance;   /* ohm, H: fixed */
} rw_load;

typedef struct rw_job_loads {
	rw_work_stuff stuff;
	rw_work_set   set;
	struct { double resistance, reactance, current_rms; } wanted;   /* at the terminals, in the state the job is judged in */
	int n, empty;                    /* states; index of the empty one, -1: none */
	rw_load load[RW_LOADS_MAX];
} rw_job_loads;

/* Work and coil of every job chosen, load states proposed: before the cases are counted.
 * errs those of work and coil; RW_E_VALUE: work and coil that do not belong together; RW_E_KEY: no such material */
RW_MUST_USE rw_status rw_loads_choose(rw_chain *chain, rw_error *err);

/* The states brought to their form. A dummy load's stays open until rw_loads_dummy. errs RW_E_RANGE, RW_E_NOSOLVE of the closed forms */
RW_MUST_USE rw_status rw_loads_make(rw_chain *chain, rw_error *err);

/* in   of the state the set is sized on, at the wanted frequency and heat: impedance and power at the terminals, what open dummies copy */
void rw_loads_dummy(rw_chain *chain, double resistance, double inductance, double heat_power);

/* in   current_rms A of the coil, below zero: at the reference of the port   errs RW_E_RANGE outside the span */
RW_MUST_USE rw_status rw_load_impedance(const rw_load *load, double frequency, double current_rms, rw_impedance *out, rw_error *err);
/* The coil's own resistance with the work in place, ohm, of a load that is not measured; it does not follow the current: copper does not.
 * errs those of rw_load_impedance */
RW_MUST_USE rw_status rw_load_own(const rw_load *load, double frequency, double *own, rw_error *err);
void rw_load_span(const rw_load *load, double *low, double *high);   /* Hz */
bool rw_load_follows_current(const rw_load *load);

#endif
