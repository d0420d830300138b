/* Aids to choosing: what other frequencies, or other numbers of turns, would do with the coil and the work of one job. Nothing is changed.
 * The figures are those of loaded.h, transform.h, work.h and dielectric.h with one quantity varied; here they are brought to the heat
 * wanted, and the span within which practice stays is told with what bounds it at either end.
 * Rules of this program: the lower end is where a bar is 3 skin depths thick or the efficiency is 0.9 of its best, the upper end where the
 * surface passes its greatest temperature, where the skin depth is a tenth of the depth wanted and less of it gains nothing, or where the
 * coil's volts reach its greatest field; leads and coil fill 0.4 to 0.9 of the reactance that the tank's current must have.
 * SI units. Outputs unchanged on error. No allocation; may run in parallel.
 * Reading order: rw_choice_job, rw_choice_state_at, rw_choice_at, rw_choice_range_of, rw_choice_turns, rw_choice_match,
 * rw_choice_plates_at. */
#ifndef RW_COIL_CHOICE_H
#define RW_COIL_CHOICE_H

#include <complex.h>

#include "coil/coil.h"
#include "coil/loaded.h"
#include "work/work.h"

/* A bar or tube and its coil of turns, every open input chosen. */
typedef struct rw_choice_job {
	const rw_work_in    *work;
	const rw_work_stuff *stuff;
	const rw_coil_in    *coil;
	const rw_medhurst   *medhurst;
} rw_choice_job;

/* The coil with the work in it at one temperature, at the heat wanted. */
typedef struct rw_choice_state {
	rw_coil_loaded_result loaded;
	double permeability;             /* 1, relative, at the field of that heat */
	double current_rms, voltage_rms; /* A, V of the coil */
	rw_coil_body body;               /* the part in that state */
} rw_choice_state;

/* Stress and water of the coil in a state, as a case has them.   out  those figures of a case, the rest open   errs those of rw_coil_rate */
RW_MUST_USE rw_status rw_choice_stress(const rw_choice_job *job, const rw_coil_in *coil, const rw_choice_state *state, double frequency,
                                       rw_coil_case *out, rw_error *err);

/* in   coil  in place of the job's; temperature K of the layer that carries the current; frequency Hz
 * errs those of rw_coil_loaded, rw_coil_magnetic and of the material's properties
 * cost that of rw_coil_loaded, or of rw_coil_magnetic a few times over */
RW_MUST_USE rw_status rw_choice_state_at(const rw_choice_job *job, const rw_coil_in *coil, double temperature, double frequency,
                                         rw_choice_state *out, rw_error *err);

enum { RW_CHOICE_KEEPS, RW_CHOICE_OVER, RW_CHOICE_MELTS, RW_CHOICE_DEEP };

/* One frequency. Cold is the start's temperature, hot the target's. */
typedef struct rw_choice_row {
	double frequency;                /* Hz */
	double cold_depth, hot_depth;    /* m, skin depths */
	double thickness;                /* 1: diameter, or wall of a tube, over the hot skin depth */
	double cold_efficiency, hot_efficiency;   /* 1: heat in the work over power into the coil */
	double current_rms, voltage_rms; /* A, V of the coil, hot */
	double stress;                   /* 1: greater of the fields between turns and to the work over the greatest allowed, hot */
	int    treatment;                /* surface: keeps under its greatest temperature, passes it, melts or leaves the material's figures;
	                                  * deep: the skin depth is so great that the law of heating is another */
	double surface_power;            /* W/m2; NAN for melts and deep, as the two below */
	double surface_temperature;      /* K at the end */
	double difference;               /* K, surface to core at the end */
} rw_choice_row;

/* in   cold  also the cold state, else its two figures are NAN   errs those of rw_choice_state_at, rw_work_choose */
RW_MUST_USE rw_status rw_choice_at(const rw_choice_job *job, double frequency, bool cold, rw_choice_row *out, rw_error *err);

/* What bounds the span: two from below, three from above; the ends of what was looked at. */
enum { RW_CHOICE_EFFICIENCY, RW_CHOICE_THIN, RW_CHOICE_SURFACE, RW_CHOICE_GAIN, RW_CHOICE_VOLTS, RW_CHOICE_BOUNDS };
enum { RW_CHOICE_SPAN = RW_CHOICE_BOUNDS };

typedef struct rw_choice_range {
	double bound[RW_CHOICE_BOUNDS];  /* Hz, NAN where it is not met within the rows; an end of the rows where it is over in all of them */
	double lower, upper;             /* Hz; upper under lower: none will do */
	int    lower_by, upper_by;       /* which bound; RW_CHOICE_SPAN: none is met, the end of the rows */
	double efficiency_best;          /* 1, hot, of the rows */
	bool   empty;                    /* upper is not over lower */
} rw_choice_range;

/* Bounds found between rows to 1 %.   in rows  from low to high, n >= 2   errs as rw_choice_at; RW_E_RANGE: rows out of order */
RW_MUST_USE rw_status rw_choice_range_of(const rw_choice_job *job, const rw_choice_row *rows, int n, rw_choice_range *out, rw_error *err);

/* Frequency at which the hot work is so many skin depths thick, Hz: of a bar its diameter, of a tube the root of twice diameter times wall,
 * which heats alike when thin.   errs those of the material's resistivity */
RW_MUST_USE rw_status rw_choice_thick_at(const rw_choice_job *job, double depths, double *frequency, rw_error *err);

/* The job's coil with another number of turns on the same bore and length: conductor at most two thirds of the pitch wide, so that a third
 * stays air, its thickness in proportion but not under 0.5 mm of a tube. The job's own number: as it is.
 * False where the conductor would be under 3 mm wide: so many do not fit. */
bool rw_choice_turns(const rw_coil_in *coil, double turns, rw_coil_in *out);

/* What the line wants of its load. */
typedef struct rw_choice_line {
	double drive_voltage_pk;         /* V across the load's branch of the tank: mostly the anode swing */
	double leads_resistance, leads_inductance;   /* ohm, H, go and return */
	double coupling, primary_q, secondary_q;     /* 1, of an output transformer */
} rw_choice_line;

enum { RW_CHOICE_DIRECT, RW_CHOICE_RATIO, RW_CHOICE_TOO_MUCH };

typedef struct rw_choice_fit {
	int    verdict;
	double reactance_wanted;         /* ohm: that of the tank's inductive branch at the coil's own current */
	double share_direct;             /* 1: leads and coil of it */
	double ratio;                    /* 1: whole, of the transformer; 1 without one */
	double share;                    /* 1: likewise through the transformer; without one the same */
	double efficiency;               /* 1: of the transformer; 1 without one */
} rw_choice_fit;

/* Direct where leads and coil fill 0.4 to 0.9 of V_pk/(sqrt2 I); less: through the transformer of the whole ratio that comes nearest to
 * 0.65, its primary 1.5 times the reactance it feeds; more: too much reactance, for which there is no transformer.
 * in   coil ohm; current_rms A in it   errs those of rw_transform_choose */
RW_MUST_USE rw_status rw_choice_match(const rw_choice_line *line, double frequency, double complex coil, double current_rms,
                                      rw_choice_fit *out, rw_error *err);

/* A dielectric between its plates at the heat wanted; permittivity as it is, at any frequency. */
typedef struct rw_choice_plates {
	double voltage_rms, current_rms; /* V, A */
	double field_rms, gap_field_pk;  /* V/m in the first layer, in the air; no gap: 0 */
	double quality;                  /* 1: of the load */
	double length_most;              /* m of plate fed in the middle, at whose ends the volts differ by a tenth */
} rw_choice_plates;

/* in   heat W in all layers   errs those of rw_plates_field_of; RW_E_RANGE: stuff without loss */
RW_MUST_USE rw_status rw_choice_plates_at(const rw_plates *plates, double heat, double frequency, rw_choice_plates *out, rw_error *err);

#endif
