/* The chain: the registry of rooms and the solve of a whole set, from the heat wanted back to the mains, over all its cases.
 * Reading order: solve.c (rw_chain_solve, the page that lists the stages), line.c (the coupled line: choose and rate), then one room. */
#ifndef RW_CHAIN_CHAIN_H
#define RW_CHAIN_CHAIN_H

#include "base/work.h"
#include "coil/conductor.h"
#include "filament/wire.h"
#include "item/design.h"
#include "library/library.h"
#include "valve/valve.h"
#include "work/bands.h"

struct rw_chain;

/* A room's place in the solve. Each hook may be NULL. */
typedef struct rw_stage {
	const rw_room *room;
	rw_status (*choose)(struct rw_chain *chain, rw_error *err);            /* open inputs, before the cases */
	rw_status (*settle)(struct rw_chain *chain, rw_error *err);            /* figures of the set that need no case */
	rw_status (*rate)(struct rw_chain *chain, int scase, rw_work *work, rw_error *err);   /* one case; may leave it unsolved */
	rw_status (*follow)(struct rw_chain *chain, rw_error *err);            /* followers: sized on the worst case, then solved for each */
} rw_stage;

typedef struct rw_stages { const rw_stage *stage; int n; const rw_registry *registry; } rw_stages;

/* The program's own registry: every room, in the order of the line, mains to work. */
extern const rw_stages rw_all_stages;

/* What a solve stands on besides the design; immutable, may be shared by threads. */
typedef struct rw_chain_base {
	const rw_stages *stages;
	const rw_units *units;
	rw_library *library;
	rw_table water;                 /* properties, data/tables/water.yaml */
	rw_medhurst medhurst;           /* crowding in coils, data/tables/medhurst.yaml */
	rw_table harmonics[2];          /* limits of current harmonics, rows read and recalled: data/tables/ieee-519.yaml */
	rw_bands bands;                 /* data/tables/ism-bands.yaml */
	rw_tungsten tungsten;           /* data/tables/tungsten.yaml */
	int threads;                    /* for the cases; 0: one */
	bool retune;                    /* settings moved by their rule so that each job has its heat (settings.h) */
} rw_chain_base;

/* errs those of the library */
RW_MUST_USE rw_status rw_chain_base_open(rw_arena *arena, const rw_stages *stages, const rw_units *units, const char *data_dir,
    rw_chain_base *out, rw_error *err);

typedef struct rw_check {
	const rw_limit *limit_row;
	char   key[96], figure_text[96];
	const rw_kind *kind;
	double value, limit, margin;    /* margin as a fraction, negative over; NAN where not solved */
	double uncertainty;             /* of the figure */
	int    scase;                   /* the worst case; RW_NO_CASE for figures of the set */
	int    job;
	int    ok;                      /* 1 within, 0 over, -1 not solved or no limit given */
	bool   near, unverified;
	bool   of_job;           /* of a figure that is the same in all cases of its job */
	bool   no_limit;                /* of ok -1: the optional limit is not given; no failure */
	const char *why_not;            /* of ok -1 */
	const char *remedy;             /* what helps: of this very set where the chain knows it, else the row's */
} rw_check;

enum { RW_REMEDIES_MAX = 8 };
typedef struct rw_remedy { const char *check, *text; } rw_remedy;   /* key of a check, what helps this very set */

enum { RW_BUDGET_ROWS_MAX = 24 };
typedef struct rw_budget {
	int    scase, n;
	const char *key[RW_BUDGET_ROWS_MAX];
	const char *text[RW_BUDGET_ROWS_MAX];
	double watts[RW_BUDGET_ROWS_MAX];
	double second[RW_BUDGET_ROWS_MAX];   /* the same loss by another route; NAN: none */
	double in, out, closure;        /* W, W, 1: (in - out)/in */
} rw_budget;

/* Can this set do that job? */
typedef struct rw_asked {
	int    job;                     /* of chain->full */
	bool   can, near;               /* no check over or untold; one of them near its limit */
	bool   sized_on_it;             /* the set is sized on this job */
	double heat_given, heat_wanted; /* W in the work, nominal mains, in the state the job is judged in; given NAN: not solved */
	bool   duty_decides;            /* only the duty stands in the way: then the two below */
	double longest_on_time;         /* s in period, that every check passes; 0: none, NAN: not looked for */
	double shortest_period;         /* s with the on-time; NAN: none up to longest_tried, or not looked for */
	double longest_tried;           /* s: a day, or less where the shots a year leave less; NAN: no period was looked for */
	double period;                  /* s: the period longest_on_time is of; a minute where power is continuous */
} rw_asked;

typedef struct rw_chain {
	const rw_chain_base *base;
	rw_arena  *arena;
	rw_work   *work;
	rw_design *full;                /* the frozen copy, chosen members filled */
	rw_solution *solution;
	const rw_entry *valve_entry;
	const rw_valve_points *valve_points;   /* of law 'points'; NULL: another law */
	int job_at_fault;               /* the job an error of rw_chain_solve is about; for marking it in the file */
	struct rw_job_loads *loads;     /* [n_jobs] */
	int *judged_load;               /* [n_jobs] the load state each job's heat is judged in */
	int n_remedies;
	rw_remedy remedies[RW_REMEDIES_MAX];
	int n_checks;
	rw_check *checks;               /* worst first */
	const struct rw_graph *graph;
	const bool *unverified;         /* [graph->n] figures that rest, through any formula, on unverified data */
	int n_budgets;
	rw_budget *budgets;             /* one a solved case */
	const rw_asked *asked;          /* NULL: all jobs are checked */
} rw_chain;

/* Solves a bound design over all its cases. The design is left as it is.
 * out  *chain: everything in arena; valid as long as arena, design and base
 * errs RW_E_MISSING, RW_E_RANGE, RW_E_NOSOLVE with the figure's key in err->key; a case that does not oscillate is not an error: its figures
 *      stay unsolved and solution->why_not says why
 * cost about 10 ms a case */
RW_MUST_USE rw_status rw_chain_solve(const rw_chain_base *base, const rw_design *design, rw_arena *arena, rw_work *work, rw_chain *chain,
    rw_error *err);

/* Can the set as it stands do the job of that name? Its open parts are chosen without that job (unless the set is sized on it) and frozen; then
 * the job is rated, and the checks are those of the set and of this job alone (asked.c).
 * out  *chain, chain->asked; job_at_fault counts the jobs of design
 * errs RW_E_USAGE: no such job; those of rw_chain_solve, RW_E_NOSOLVE and RW_E_RANGE of the job itself among them
 * cost about twice a solve */
RW_MUST_USE rw_status rw_chain_can_do(const rw_chain_base *base, const rw_design *design, const char *job, rw_arena *arena, rw_work *work,
    rw_chain *chain, rw_error *err);

/* Services for stages. */
void *rw_chain_in(const rw_chain *chain, const char *room, int job);
void *rw_chain_set(const rw_chain *chain, const char *room, int job);
void *rw_chain_case(const rw_chain *chain, const char *room, int scase);
void  rw_chain_set_done(rw_chain *chain, const char *room, int job);
void  rw_chain_case_done(rw_chain *chain, const char *room, int scase);
/* The case of a job's load state at a mains (0 low, 1 nominal, 2 high) with a valve (0 new, 1 worn); RW_NO_CASE: there is none. */
int   rw_chain_find_case(const rw_chain *chain, int job, int load, int mains, int valve);
void  rw_chain_case_forget(rw_chain *chain, int scase);   /* its figures as if it had never been rated */
rw_view rw_chain_view(const rw_chain *chain, int job, int scase);
bool  rw_chain_given(const rw_chain *chain, const char *key, int job);
void  rw_chain_mark_filled(rw_chain *chain, const char *room, const char *note);   /* open inputs whose member is filled now: chosen */
rw_status rw_chain_note(rw_chain *chain, const char *key, int scase, rw_error *err, const char *format, ...) RW_PRINTF(5, 6);
rw_status rw_chain_remedy(rw_chain *chain, const char *check, const char *text, rw_error *err);   /* text is copied; beyond the room it is dropped */
bool  rw_chain_unverified(const rw_chain *chain, rw_slot slot);
void  rw_case_title(const rw_solution *solution, int scase, char *out, size_t room);   /* "journal / cold / mains high" */

/* Checks and budget, made by rw_chain_solve. A loss row can be left out by its key (tests that prove the closure sees it); NULL: none. */
rw_status rw_chain_check(rw_chain *chain, rw_error *err);
/* Least margin of one limit over the cases of a job; NAN: it does not apply, cannot be told, or has no limit. */
rw_status rw_chain_margin(rw_chain *chain, const rw_room *room, const rw_limit *limit, int job, double *margin, rw_error *err);
rw_status rw_chain_budget(rw_chain *chain, const char *leave_out, rw_error *err);

/* A curve of a case, made on demand: series as in the rooms' tables ("oscillator.cycle"), n points, n >= 2.
 * out  x [n], y [n_curves x n], curve by curve. errs RW_E_KEY for an unknown series, RW_E_NOSOLVE for a case that is not solved */
RW_MUST_USE rw_status rw_chain_series(const rw_chain *chain, const char *key, int scase, int n, double *x, double *y, rw_error *err);
const rw_series *rw_chain_find_series(const rw_chain *chain, const char *key);   /* NULL: there is none */

/* JSON as in docs/file-reference: figures, cases, budget, checks, notes. */
rw_status rw_chain_json(const rw_chain *chain, rw_text *out, rw_error *err);

#endif
