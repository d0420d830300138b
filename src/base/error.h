/* Errors as values: what went wrong, at which key, where in the user's file, what was expected, how to mend it.
 * Raising an error never allocates; every text is cut to its field, on a whole UTF-8 character. */
#ifndef RW_BASE_ERROR_H
#define RW_BASE_ERROR_H

#include <stdbool.h>
#include <stdint.h>

#define RW_MUST_USE __attribute__((warn_unused_result))
#define RW_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))

typedef enum rw_status {
#define RW_STATUS(name, exit_code, text) RW_##name,
#include "base/status.def"
#undef RW_STATUS
} rw_status;

typedef struct rw_error {
	rw_status   status;
	char        key[96];               /* the input or figure at fault, as a path in the file where there is one */
	char        file[256];             /* as the user named it; "" when not from a file */
	uint32_t    line, column, length;  /* 1-based, in characters; length for the underline; line 0: no position */
	char        what[256], expected[256], hint[160];
	char        source_line[160];      /* the line of the file at fault, for the underline; "" without */
	double      residual;              /* when an iteration gave up: dimensionless, else NAN */
	int         iterations;
	const char *c_file;                /* where it was raised; shown with --debug */
	int         c_line;
} rw_error;

enum { RW_ERRORS_MAX = 20 };

/* What a reader collects in one pass; more than RW_ERRORS_MAX are counted, not kept. */
typedef struct rw_errors {
	int      n;          /* kept */
	int      n_more;     /* seen beyond */
	rw_error list[RW_ERRORS_MAX];
} rw_errors;

int         rw_status_exit_code(rw_status status);
const char *rw_status_text(rw_status status);

/* Fills *err (may be NULL) afresh and returns status, so that a function can say: return RW_RAISE(err, RW_E_VALUE, key, "...").
 * what  printf text: what is wrong, subject first, values in single quotes, no full stop */
rw_status rw_error_raise(rw_error *err, const char *c_file, int c_line, rw_status status, const char *key, const char *what,
    ...) RW_PRINTF(6, 7);
#ifdef __clang_analyzer__   /* which does not see that the status given is the one returned */
#define RW_RAISE(err, status, key, ...) ((void)rw_error_raise((err), __FILE__, __LINE__, (status), (key), __VA_ARGS__), (status))
#else
#define RW_RAISE(err, status, key, ...) rw_error_raise((err), __FILE__, __LINE__, (status), (key), __VA_ARGS__)
#endif

void rw_error_expected(rw_error *err, const char *format, ...) RW_PRINTF(2, 3); /* err may be NULL */
void rw_error_hint(rw_error *err, const char *format, ...) RW_PRINTF(2, 3);
void rw_error_at(rw_error *err, const char *file, uint32_t line, uint32_t column, uint32_t length);

/* Appends a copy of *err to the list, or counts it when the list is full. */
void rw_errors_add(rw_errors *list, const rw_error *err);

/* Passes an error up where nothing needs releasing. */
#define RW_TRY(call) do { rw_status rw_try_ = (call); if (rw_try_ != RW_OK) return rw_try_; } while (0)

/* For what cannot happen: aborts in a debug build, returns RW_E_INTERNAL in a release build. */
#ifdef NDEBUG
#define RW_BUG(err, what) return RW_RAISE((err), RW_E_INTERNAL, "", "%s", (what))
#else
#define RW_BUG(err, what) do { (void)(err); (void)(what); __builtin_trap(); } while (0)
#endif

#endif
