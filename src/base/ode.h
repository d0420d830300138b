/* Initial value problems, stiff or not, with events and a bounded end: a thin face over a library of variable-order multistep methods
 * (backward differentiation, dense Newton), with errors as values. No state outlives its rw_ode and nothing is shared, so that any number
 * may run in parallel, each in its own thread.
 * Error control: the local error of each step is held to tolerance_rel |y| + tolerance_abs. No tolerance looser than RW_ODE_LOOSEST is
 * taken: at 1e-3 such a method returns wrong answers with a success code. rw_ode_compare runs a problem again one decade tighter.
 * Reading order: rw_ode_problem, rw_ode_run; rw_ode_new and rw_ode_advance where the caller stops on the way. */
#ifndef RW_BASE_ODE_H
#define RW_BASE_ODE_H

#include "base/error.h"
#include "base/work.h"

enum { RW_ODE_MAX = 32, RW_ODE_EVENTS_MAX = 8, RW_ODE_END = -1 };

#define RW_ODE_LOOSEST 1e-5

/* dy/dt at (t, y). May be called outside the region of the solution while a step is tried: an error there makes the step shorter; when no
 * step is short enough, the error passes. */
typedef rw_status (*rw_ode_rate)(void *context, double t, const double *y, double *rate, rw_error *err);
/* Functions whose zeros are wanted. It may fill up to RW_ODE_EVENTS_MAX; the first n_events are looked at. */
typedef void (*rw_ode_events)(void *context, double t, const double *y, double *g);

typedef struct rw_ode_problem {
	int         n;                                /* unknowns, 1 to RW_ODE_MAX */
	int         n_events;                         /* 0 to RW_ODE_EVENTS_MAX */
	rw_ode_rate rate;
	rw_ode_events events;                         /* NULL without events */
	void       *context;
	double      tolerance_rel;                    /* over 0, at most RW_ODE_LOOSEST */
	double      tolerance_abs[RW_ODE_MAX];        /* of each unknown, in its unit, over 0 */
	int         direction[RW_ODE_EVENTS_MAX];     /* 1: zeros passed upwards only, -1: downwards only, 0: both */
	double      step_max;                         /* in t; 0: no bound. A forced oscillation that starts from rest wants one */
	long        steps_max;                        /* in all, between two restarts; 0: 100,000 */
} rw_ode_problem;

typedef struct rw_ode rw_ode;

/* errs RW_E_INTERNAL for misuse, among it a tolerance looser than RW_ODE_LOOSEST; RW_E_MEMORY */
RW_MUST_USE rw_status rw_ode_new(const rw_ode_problem *problem, double t, const double *y, rw_ode **out, rw_error *err);
void rw_ode_free(rw_ode *ode);                    /* takes NULL */

/* From another point, as if new: after a jump of y or of the rate. */
RW_MUST_USE rw_status rw_ode_restart(rw_ode *ode, double t, const double *y, rw_error *err);

/* On to t_end, never past it, or to the next event.
 * out  *t, y [n] where it stopped; *event the least index of those that are zero there, RW_ODE_END at t_end. NULL: not wanted
 * errs RW_E_NOSOLVE: a step too small, steps_max reached, a rate that is not finite; the first error of rate */
RW_MUST_USE rw_status rw_ode_advance(rw_ode *ode, double t_end, double *t, double *y, int *event, rw_error *err);
long rw_ode_steps(const rw_ode *ode);             /* since new or restart */

/* From t0 to t_end or to the first event with index below n_stops (events from n_stops on are passed over).
 * y [n]: start in, end out. out *t, *event as above */
RW_MUST_USE rw_status rw_ode_run(const rw_ode_problem *problem, double t0, double t_end, int n_stops, double *y, double *t, int *event,
                                 rw_error *err);

/* The same run at the problem's tolerance and one decade tighter, to the same t_end, events passed over.
 * out  *difference greatest |y - y'| / (|y'| + tolerance_abs / tolerance_rel) at t_end: an estimate of the error of the looser run
 * cost about three runs */
RW_MUST_USE rw_status rw_ode_compare(const rw_ode_problem *problem, double t0, double t_end, const double *y0, double *difference, rw_error *err);

#endif
