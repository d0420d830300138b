/* Shared by the files of heating only. */
#ifndef RW_WORK_HEATING_INTERNAL_H
#define RW_WORK_HEATING_INTERNAL_H

#include "work/heating.h"

/* One input and what it may be: a table of these is checked in one go. */
typedef struct rw__bound { const char *key, *unit; double value, least; bool open; } rw__bound;   /* open: above least, not at it */
rw_status rw__heating_bounds(const rw__bound *list, int n, rw_error *err);   /* errs RW_E_RANGE, key the input's */

/* Solid (bore 0) or tube: 0 <= bore < radius, finite. */
rw_status rw__heating_section(double radius, double bore, rw_error *err);

/* Means from start to target. */
typedef struct rw__heated {
	double heat;             /* J/kg */
	double conductivity;     /* W/(m K) */
	double diffusivity;      /* m2/s */
} rw__heated;
rw_status rw__heating_properties(const rw_material *material, double start, double target, rw__heated *out, rw_error *err);

/* Where the surface melts, K; 5000 where the entry does not know. */
double rw__heating_melting(const rw_material *material);

#endif
