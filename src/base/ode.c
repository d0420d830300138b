#include "base/ode.h"

#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

enum { STEPS = 100000 };

struct rw_ode {
	rw_ode_problem  problem;
	SUNContext      context;      /* one of its own: the library's are not safe in threads */
	N_Vector        y, tolerance;
	SUNMatrix       matrix;
	SUNLinearSolver solver;
	void           *memory;
	double          t;
	long            steps;
	bool            bad_rate;     /* since the last call a rate was not finite */
	rw_status       status;       /* of the last failure of rate since then, with its error */
	rw_error        err;
};

static void hush(int code, const char *module, const char *function, char *text, void *context)
{
	(void)code, (void)module, (void)function, (void)text, (void)context;
}

/* 1: try a shorter step. */
static int call_rate(double t, N_Vector y, N_Vector rate, void *user)
{
	rw_ode *ode = user;
	double *out = N_VGetArrayPointer(rate);
	rw_status status = ode->problem.rate(ode->problem.context, t, N_VGetArrayPointer(y), out, &ode->err);
	if (status != RW_OK) {
		ode->status = status;
		return 1;
	}
	for (int i = 0; i < ode->problem.n; i++)
		if (!isfinite(out[i])) {
			ode->bad_rate = true;
			return 1;
		}
	return 0;
}

static int call_events(double t, N_Vector y, double *g, void *user)
{
	rw_ode *ode = user;
	double all[RW_ODE_EVENTS_MAX];   /* the function may know of more than are asked for */
	ode->problem.events(ode->problem.context, t, N_VGetArrayPointer(y), all);
	memcpy(g, all, sizeof *g * (size_t)ode->problem.n_events);
	return 0;
}

static bool fits(const rw_ode_problem *p)
{
	bool good = p->n >= 1 && p->n <= RW_ODE_MAX && p->n_events >= 0 && p->n_events <= RW_ODE_EVENTS_MAX && p->rate &&
	            (p->n_events == 0 || p->events) && p->tolerance_rel > 0.0 && p->tolerance_rel <= RW_ODE_LOOSEST && p->step_max >= 0.0;
	for (int i = 0; good && i < p->n; i++)
		good = p->tolerance_abs[i] > 0.0 && isfinite(p->tolerance_abs[i]);
	return good;
}

/* Everything the library wants told; false: it has no memory. */
static bool set_up(rw_ode *ode, double t)
{
	rw_ode_problem *p = &ode->problem;
	if (CVodeSetErrHandlerFn(ode->memory, hush, NULL) != CV_SUCCESS || CVodeInit(ode->memory, call_rate, t, ode->y) != CV_SUCCESS ||
	    CVodeSVtolerances(ode->memory, p->tolerance_rel, ode->tolerance) != CV_SUCCESS || CVodeSetUserData(ode->memory, ode) != CV_SUCCESS ||
	    CVodeSetLinearSolver(ode->memory, ode->solver, ode->matrix) != CV_SUCCESS ||
	    CVodeSetMaxNumSteps(ode->memory, p->steps_max > 0 ? p->steps_max : STEPS) != CV_SUCCESS)
		return false;
	if (p->step_max > 0.0 && CVodeSetMaxStep(ode->memory, p->step_max) != CV_SUCCESS)
		return false;
	if (p->n_events == 0)
		return true;
	return CVodeRootInit(ode->memory, p->n_events, call_events) == CV_SUCCESS &&
	       CVodeSetRootDirection(ode->memory, p->direction) == CV_SUCCESS && CVodeSetNoInactiveRootWarn(ode->memory) == CV_SUCCESS;
}

static rw_status out_of_memory(rw_error *err) { return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out"); }

rw_status rw_ode_new(const rw_ode_problem *problem, double t, const double *y, rw_ode **out, rw_error *err)
{
	if (!fits(problem))
		return RW_RAISE(err, RW_E_INTERNAL, "", "an initial value problem without unknowns, or to a tolerance looser than %g", RW_ODE_LOOSEST);
	rw_ode *ode = calloc(1, sizeof *ode);
	if (!ode)
		return out_of_memory(err);
	ode->problem = *problem;
	ode->t = t;
	bool good = SUNContext_Create(NULL, &ode->context) == 0;
	ode->y = good ? N_VNew_Serial(problem->n, ode->context) : NULL;
	ode->tolerance = ode->y ? N_VNew_Serial(problem->n, ode->context) : NULL;
	ode->matrix = ode->tolerance ? SUNDenseMatrix(problem->n, problem->n, ode->context) : NULL;
	ode->solver = ode->matrix ? SUNLinSol_Dense(ode->y, ode->matrix, ode->context) : NULL;
	ode->memory = ode->solver ? CVodeCreate(CV_BDF, ode->context) : NULL;
	if (ode->memory) {
		memcpy(N_VGetArrayPointer(ode->y), y, sizeof *y * (size_t)problem->n);
		memcpy(N_VGetArrayPointer(ode->tolerance), problem->tolerance_abs, sizeof *y * (size_t)problem->n);
	}
	if (!ode->memory || !set_up(ode, t)) {
		rw_ode_free(ode);
		return out_of_memory(err);
	}
	*out = ode;
	return RW_OK;
}

void rw_ode_free(rw_ode *ode)
{
	if (!ode)
		return;
	if (ode->memory)
		CVodeFree(&ode->memory);
	if (ode->solver)
		(void)SUNLinSolFree(ode->solver);
	if (ode->matrix)
		SUNMatDestroy(ode->matrix);
	if (ode->tolerance)
		N_VDestroy(ode->tolerance);
	if (ode->y)
		N_VDestroy(ode->y);
	if (ode->context)
		(void)SUNContext_Free(&ode->context);
	free(ode);
}

static rw_status gave_up(const rw_ode *ode, int code, rw_error *err)
{
	if (ode->status != RW_OK) {   /* the way ends there, or creeps up to there until the steps are used up */
		if (err)
			*err = ode->err;
		return ode->status;
	}
	const char *why = ode->bad_rate              ? "a rate of change that is not finite"
	                  : code == CV_TOO_MUCH_WORK ? "more steps than allowed"
	                                             : "no step short enough for the tolerance";
	rw_status status = RW_RAISE(err, RW_E_NOSOLVE, "", "the integration over time stopped at %.6g s: %s", ode->t, why);
	if (err)
		err->iterations = (int)ode->steps;
	return status;
}

rw_status rw_ode_restart(rw_ode *ode, double t, const double *y, rw_error *err)
{
	memcpy(N_VGetArrayPointer(ode->y), y, sizeof *y * (size_t)ode->problem.n);
	ode->t = t;
	ode->steps = 0;
	if (CVodeReInit(ode->memory, t, ode->y) != CV_SUCCESS)
		return RW_RAISE(err, RW_E_INTERNAL, "", "the integration could not be started anew");
	return RW_OK;
}

static int first_event(const rw_ode *ode)
{
	int found[RW_ODE_EVENTS_MAX] = {0};
	if (CVodeGetRootInfo(ode->memory, found) == CV_SUCCESS)
		for (int i = 0; i < ode->problem.n_events; i++)
			if (found[i])
				return i;
	return RW_ODE_END;
}

rw_status rw_ode_advance(rw_ode *ode, double t_end, double *t, double *y, int *event, rw_error *err)
{
	double reached = ode->t;
	int code = CV_SUCCESS;
	ode->status = RW_OK;
	ode->bad_rate = false;
	if (!(t_end >= ode->t && isfinite(t_end)))
		return RW_RAISE(err, RW_E_INTERNAL, "", "an integration over time must go forward to a bounded end");
	if (t_end > ode->t) {
		code = CVodeSetStopTime(ode->memory, t_end);
		if (code == CV_SUCCESS)
			code = CVode(ode->memory, t_end, ode->y, &reached, CV_NORMAL);
		/* after an event, the next so near that the library takes it for a misuse: on from the event, anew */
		if (code == CV_ILL_INPUT && CVodeReInit(ode->memory, ode->t, ode->y) == CV_SUCCESS &&
		    CVodeSetStopTime(ode->memory, t_end) == CV_SUCCESS)
			code = CVode(ode->memory, t_end, ode->y, &reached, CV_NORMAL);
		(void)CVodeGetNumSteps(ode->memory, &ode->steps);
	}
	/* t0 and t_end so near that the library sees no way between them: the end is the start to rounding */
	if (code == CV_TOO_CLOSE)
		code = CV_SUCCESS, reached = t_end;
	if (code < 0)
		return gave_up(ode, code, err);
	ode->t = reached;
	if (t)
		*t = reached;
	if (y)
		memcpy(y, N_VGetArrayPointer(ode->y), sizeof *y * (size_t)ode->problem.n);
	if (event)
		*event = code == CV_ROOT_RETURN ? first_event(ode) : RW_ODE_END;
	return RW_OK;
}

long rw_ode_steps(const rw_ode *ode) { return ode->steps; }

rw_status rw_ode_run(const rw_ode_problem *problem, double t0, double t_end, int n_stops, double *y, double *t, int *event, rw_error *err)
{
	rw_ode *ode;
	double at = t0;
	int met = RW_ODE_END;
	rw_ode_problem p = *problem;
	p.n_events = n_stops;
	RW_TRY(rw_ode_new(&p, t0, y, &ode, err));
	rw_status status = rw_ode_advance(ode, t_end, &at, y, &met, err);
	rw_ode_free(ode);
	if (status != RW_OK)
		return status;
	if (t)
		*t = at;
	if (event)
		*event = met;
	return RW_OK;
}

rw_status rw_ode_compare(const rw_ode_problem *problem, double t0, double t_end, const double *y0, double *difference, rw_error *err)
{
	double loose[RW_ODE_MAX], tight[RW_ODE_MAX], most = 0.0;
	rw_ode_problem p = *problem;
	if (!fits(problem))
		return RW_RAISE(err, RW_E_INTERNAL, "", "an initial value problem without unknowns, or to a tolerance looser than %g", RW_ODE_LOOSEST);
	memcpy(loose, y0, sizeof *y0 * (size_t)p.n);
	memcpy(tight, y0, sizeof *y0 * (size_t)p.n);
	RW_TRY(rw_ode_run(&p, t0, t_end, 0, loose, NULL, NULL, err));
	p.tolerance_rel *= 0.1;
	for (int i = 0; i < p.n; i++)
		p.tolerance_abs[i] *= 0.1;
	RW_TRY(rw_ode_run(&p, t0, t_end, 0, tight, NULL, NULL, err));
	for (int i = 0; i < p.n; i++)
		most = fmax(most, fabs(loose[i] - tight[i]) / (fabs(tight[i]) + p.tolerance_abs[i] / p.tolerance_rel));
	*difference = most;
	return RW_OK;
}
