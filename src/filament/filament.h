/* Filament and its transformer: hot and cold resistance, and the reactance that holds the starting current under the valve maker's limit,
 * read as rms (dead cold, steady phasor) or as peak (worst closing angle of the first cycles, filament still cold).
 * Model: hot R = V/I; cold R = hot / cold_ratio; a series reactance X with the transformer's EMF set so that the hot filament sits at its
 * rated volts: E = I sqrt((R_h + R_s)^2 + X^2). Rules R10. Warming during the first cycles is left out: the true peak is a little less. */
#ifndef RW_FILAMENT_FILAMENT_H
#define RW_FILAMENT_FILAMENT_H

#include "item/item.h"

enum { RW_START_RMS, RW_START_PEAK, RW_START_NONE };

typedef struct rw_filament_in {
	double voltage_rms;           /* V at the pins, hot; library */
	double current_rms;           /* A, hot; library */
	double cold_ratio;            /* 1: hot over cold resistance; R10: 10 thoriated, 13 tungsten; library for oxide */
	double start_limit;           /* A: greatest starting current, in the measure of start_measure; library; optional */
	double series_reactance;      /* ohm, on the filament side: transformer leakage and choke together; R10 */
	double series_resistance;     /* ohm, likewise; R10: 0 */
	int32_t start_measure;        /* choice rms | peak | none: what the maker means; library, no default; R10: none without a limit */
	int32_t unused;
} rw_filament_in;

typedef struct rw_filament_set {
	double hot_resistance, cold_resistance;   /* ohm */
	double power;                             /* W */
	double series_loss;                       /* W in the series resistance, hot */
	double transformer_voltage_rms;           /* V: EMF behind the reactance */
	double start_current_rms;                 /* A, dead cold, steady */
	double start_current_pk;                  /* A, dead cold, worst closing angle */
	double start_closing_angle;               /* rad after the voltage zero, of that peak */
	double short_circuit_current_rms;         /* A: dead short at the pins */
	double apparent_power;                    /* VA of the transformer, hot */
	double series_inductance;                 /* H: series_reactance at the mains frequency */
} rw_filament_set;

extern const rw_room rw_filament_room;

/* Fills open members. cathode: RW_CATHODE_* as in valve/valve.h, told as a number because rooms do not know one another.
 * errs RW_E_MISSING (start limit given but not whether rms or peak, or the other way round; cold_ratio of an oxide cathode); RW_E_NOSOLVE (limit under the hot current) */
RW_MUST_USE rw_status rw_filament_choose(rw_filament_in *in, int cathode, rw_error *err);
RW_MUST_USE rw_status rw_filament_set_solve(const rw_filament_in *in, double mains_frequency, rw_filament_set *out, rw_error *err);

/* Series reactance that holds the start to the limit (closed form for rms; root of the worst peak for peak). */
RW_MUST_USE rw_status rw_filament_reactance(double hot_resistance, double cold_resistance, double series_resistance, double hot_current_rms,
                                            double limit, int measure, double *reactance, rw_error *err);

/* Greatest |i| over closing angle and time of a sine EMF (rms) on R and X from rest: i = sqrt2 E/Z [sin(wt + a - p) - sin(a - p) exp(-R w t/X)]. */
RW_MUST_USE rw_status rw_filament_worst_peak(double emf_rms, double resistance, double reactance, double *peak, double *closing_angle,
    rw_error *err);

#endif
