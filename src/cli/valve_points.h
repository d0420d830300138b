/* Published points of a valve, told by 'valve show' and 'valve fit'. */
#ifndef RW_CLI_VALVE_POINTS_H
#define RW_CLI_VALVE_POINTS_H

#include "cli/cli.h"

/* The points of a library entry and its amplification factor. out  *table NULL: it has none; *mu NAN when it tells none. errs reader's */
rw_status rw_entry_points(rw_session *session, const rw_entry *entry, const rw_table **table, double *mu, rw_error *err);

/* Prints span, fit of the law and its errors; each: also a row for every point. Where the points are no full rectangle mu is held,
 * unless it is NAN. errs RW_E_NOSOLVE, RW_E_RANGE, before anything is printed */
rw_status rw_put_valve_points(rw_session *session, const char *name, const rw_table *table, double mu, bool each, rw_error *err);

#endif
