/* Where the numbers live: a design (what the file says, and what rules have chosen), a solution (what the set then does), and slots,
 * the addresses of single figures in them. Knows rooms only through the registry it is handed.
 *
 * Invariants
 * - A design is immutable once bound; a solve works on its own copy (rw_design_copy) and fills open inputs there: state RW_CHOSEN.
 * - A figure of a case that was not solved has state RW_OPEN and must not be read. */
#ifndef RW_ITEM_DESIGN_H
#define RW_ITEM_DESIGN_H

#include "base/arena.h"
#include "base/text.h"
#include "item/expr.h"
#include "item/item.h"

typedef struct rw_registry {
	const rw_room *const *rooms;
	int n_rooms;
} rw_registry;

/* Of one instance of an input: how it came by its value. */
typedef struct rw_origin {
	uint8_t     state;          /* rw_state */
	bool        unverified;     /* from memory or invented data */
	uint32_t    line, column, length;   /* in the file; 0: not written there */
	const char *as_written;     /* "8 kV"; NULL */
	const char *rule, *source;  /* of a chosen one; NULL */
	const char *note;           /* "library: demo-12kw, ratings"; NULL */
} rw_origin;

/* The inputs of one room for the set (or for one job). */
typedef struct rw_part {
	void      *in;              /* room->in_size bytes */
	rw_origin *origin;          /* [rw_room_instances(room)] */
	char     (**names)[RW_NAME_BYTES];   /* [n_lists] -> [capacity] names of elements */
} rw_part;

typedef struct rw_bound_table {
	rw_table    table;
	const char *path;           /* of the input it stands at */
} rw_bound_table;

typedef struct rw_design {
	const rw_registry *registry;
	rw_arena   *arena;
	const char *file;           /* name as the user gave it */
	char        digest[65];     /* of the file's bytes */
	int         n_jobs;
	char      (*job_names)[RW_NAME_BYTES];
	rw_part   **part;           /* [n_rooms] -> [1 or n_jobs] */
	int         n_tables;
	rw_bound_table *tables;
} rw_design;

enum { RW_NO_ELEMENT = -1, RW_NO_CASE = -1 };

/* The address of one figure. job: of a per-job room or of a case; scase: index of a case, or RW_NO_CASE. */
typedef struct rw_slot {
	int16_t room, item, element, job;
	int32_t scase;
} rw_slot;

typedef struct rw_case_name {
	int32_t job, load;          /* load: index of the job's load state */
	int32_t mains, valve;       /* 0 low, 1 nominal, 2 high; 0 new, 1 worn */
	char    load_name[RW_NAME_BYTES];
} rw_case_name;

typedef struct rw_note { const char *key, *text; int scase; } rw_note;

typedef struct rw_solution {
	const rw_design *design;    /* the frozen copy: chosen members filled */
	int           n_cases, design_case;
	rw_case_name *cases;
	void       ***set;          /* [n_rooms] -> [1 or n_jobs] set structs */
	void       ***kase;         /* [n_rooms] -> [n_cases] case structs */
	bool        **solved;       /* [n_rooms] -> [n_cases] */
	bool        **set_solved;   /* [n_rooms] -> [1 or n_jobs] */
	const char  **why_not;      /* [n_cases] why a case has no solution; NULL: solved */
	char        (*why_text)[256];   /* [n_cases] room for it, one a case: cases are rated by several threads */
	int           n_notes;
	rw_note      *notes;
	int           iterations;   /* of the coupled solve, for tests */
} rw_solution;

/* One way to look at figures: the host of formulas, explain and printers. scase RW_NO_CASE: the set alone. */
typedef struct rw_view {
	const rw_design   *design;
	const rw_solution *solution;   /* NULL: inputs only */
	int job, scase;
} rw_view;

int  rw_room_instances(const rw_room *room);
int  rw_room_instance(const rw_room *room, int item, int element);
int  rw_registry_find(const rw_registry *registry, const char *room_name);   /* -1: none */
int  rw_item_find(const rw_room *room, const char *key);                     /* relative key with '*'; -1: none */
bool rw_item_exists(const rw_view *view, rw_slot slot);                      /* not an optional input left open, not an unsolved result */

/* An empty design: every input open. errs RW_E_MEMORY */
RW_MUST_USE rw_status rw_design_new(rw_arena *arena, const rw_registry *registry, int n_jobs, rw_design **out, rw_error *err);
/* Inputs, origins and names copied; tables shared. */
RW_MUST_USE rw_status rw_design_copy(rw_arena *arena, const rw_design *design, rw_design **out, rw_error *err);
void *rw_design_in(const rw_design *design, int room, int job);               /* the room's input struct */
const void *rw_solution_set(const rw_solution *solution, int room, int job);
const void *rw_solution_case(const rw_solution *solution, int room, int scase);
int   rw_design_elements(const rw_design *design, int room, int list, int job);
const rw_table *rw_design_table(const rw_design *design, int32_t index);      /* NULL for an open one */

/* Key <-> slot. "water.branches.anode.flow"; a per-job key takes the view's job, a case figure the view's case. A path as in the file,
 * "jobs.pin.work.heat_power", names its job itself.
 * A '*' is resolved to element (pass RW_NO_ELEMENT where there is none). errs RW_E_KEY with the nearest key in the hint */
RW_MUST_USE rw_status rw_slot_find(const rw_view *view, const char *key, int element, rw_slot *out, rw_error *err);
void rw_slot_key(const rw_design *design, rw_slot slot, char *out, size_t room);    /* without job */
void rw_slot_path(const rw_design *design, rw_slot slot, char *out, size_t room);   /* as in the file: with jobs.NAME */
const rw_item *rw_slot_item(const rw_design *design, rw_slot slot);
rw_origin *rw_slot_origin(const rw_design *design, rw_slot slot);                   /* NULL for results */
rw_state rw_slot_state(const rw_view *view, rw_slot slot);

/* The value as a double (choice: its index; integers exact); NAN for text and tables and for what is open. */
double rw_slot_get(const rw_view *view, rw_slot slot);
const char *rw_slot_text(const rw_view *view, rw_slot slot);                        /* choice name or text; "" else */
const rw_bound_table *rw_slot_table(const rw_view *view, rw_slot slot);             /* NULL: no table, or open */
/* Range-checked set of an input, state RW_GIVEN; no text involved. errs RW_E_VALUE naming the key and the accepted span */
RW_MUST_USE rw_status rw_slot_set(rw_design *design, rw_slot slot, double si, rw_error *err);
/* Leaves an input that takes a number open, as if the file did not say it. */
void rw_slot_leave_open(rw_design *design, rw_slot slot);
/* Is si acceptable for this input? The message says the span in customary units. units may be NULL (then SI). */
RW_MUST_USE rw_status rw_item_accepts(const rw_item *item, const rw_units *units, double si, rw_error *err);

/* Marks an input chosen after its member was filled. */
void rw_origin_choose(rw_origin *origin, const rw_item *item, const char *note);

/* Visits every figure in table order: inputs, results of the set, and (scase given) of the case. */
void rw_each_slot(const rw_view *view, void (*visit)(void *context, rw_slot slot), void *context);

/* Host for formulas over a view; view must outlive it. */
rw_expr_host rw_view_host(const rw_view *view);

#endif
