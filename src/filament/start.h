/* The filament over time: current through resistance and leakage, and the temperature it makes, from switching on to hot.
 * Model: one temperature T for the whole filament; EMF e = sqrt2 E sin(w t + a) behind R_s and X = w L;
 *	L di/dt = e - (R_s + R(T)) i        C(T) dT/dt = i^2 R(T) - P(T)        P: radiated and led away
 * Two views of it. Time domain: both equations, for the first cycles and for every jump (bypass, mains back after a dip); the worst closing
 * angle is searched for. Over seconds: T alone, with the rms current of the phasor, E/|R_s + R(T) + jX|; what that leaves out (the first
 * cycles' offset) is told as a difference of times.
 * The laws R, P, C are handed in, so that any wire or any test's law will do. Not in it: end cooling along the wire, expansion, movement of
 * the wires in their own field, saturation of the transformer.
 * Error control: local error 1e-7 of current and temperature (base/ode.h); angle of the worst peak to 0.5 degree, where the peak is flat.
 * Reading order: rw_hot_wire, rw_feed; rw_start_worst (search), rw_start_cycles (one run), rw_warm_up (over seconds), rw_feed_steady. */
#ifndef RW_FILAMENT_START_H
#define RW_FILAMENT_START_H

#include "base/error.h"

/* A whole filament over its temperature in K. Laws go on smoothly past what they are known for: a run looks a little ahead. */
typedef struct rw_hot_wire {
	double (*resistance)(const void *laws, double temperature);   /* ohm */
	double (*loss)(const void *laws, double temperature);         /* W */
	double (*capacity)(const void *laws, double temperature);     /* J/K */
	const void *laws;
} rw_hot_wire;

/* What drives it, all seen from the filament side. */
typedef struct rw_feed {
	double emf_rms;       /* V */
	double resistance;    /* ohm, in series */
	double reactance;     /* ohm, at the frequency; one under 1e-4 of the resistances is taken as that: it changes no peak by 1e-7 */
	double frequency;     /* Hz */
} rw_feed;

typedef struct rw_start_peak {
	double peak;          /* A, greatest |i| in the first cycle */
	double time;          /* s after the switching */
	double angle;         /* rad, closing angle after the volts' zero, 0 to pi */
} rw_start_peak;

double rw_feed_current(const rw_feed *feed, double resistance);   /* A rms, phasor, into a filament of that resistance */

/* Greatest |i| of the cycle after the feed is switched at an angle, from a current (A) and a temperature (K).
 * errs those of rw_ode_advance. cost 0.1 to 0.3 ms */
RW_MUST_USE rw_status rw_start_peak_at(const rw_hot_wire *wire, const rw_feed *feed, double angle, double current, double temperature,
                                       rw_start_peak *out, rw_error *err);

/* The worst of all angles. before: the feed until then, whose steady current flows at the moment of switching; NULL: from rest.
 * The search: the same circuit at the temperature held, in closed form, at 36 angles over half a cycle; round the greatest of them the
 * time domain: uphill in doubling steps, then to 0.5 degree. errs as above. cost about 12 runs */
RW_MUST_USE rw_status rw_start_worst(const rw_hot_wire *wire, const rw_feed *feed, const rw_feed *before, double temperature,
                                     rw_start_peak *out, rw_error *err);

typedef struct rw_start_run {
	double time;              /* s, at the end */
	double current;           /* A, then */
	double temperature;       /* K, then */
	double first_cycle_rms;   /* A */
} rw_start_run;

/* One run from rest in the time domain, until the resistance is reached (0: never) or for a time (at least one cycle).
 * sample, if not NULL, is called at n times evenly apart from 0 to duration, as far as the run gets. errs as above */
typedef void (*rw_start_sample)(void *context, int k, double time, double current, double temperature);
RW_MUST_USE rw_status rw_start_cycles(const rw_hot_wire *wire, const rw_feed *feed, double angle, double temperature, double resistance,
                                      double duration, rw_start_run *out, rw_error *err);
RW_MUST_USE rw_status rw_start_sampled(const rw_hot_wire *wire, const rw_feed *feed, double angle, double temperature, double duration, int n,
                                       rw_start_sample sample, void *context, rw_error *err);

typedef struct rw_warmed {
	double time;              /* s, at the end */
	double temperature;       /* K, then */
	double square;            /* A2 s: rms current squared, over time; times a resistance, its joules */
	int    reached;           /* 1: the resistance, 0: the end of the time */
} rw_warmed;

/* Over seconds, by the rms current: until the resistance is passed, upwards or downwards (0: never), at most for a time.
 * errs as above. cost 0.1 to 0.3 ms */
RW_MUST_USE rw_status rw_warm_up(const rw_hot_wire *wire, const rw_feed *feed, double temperature, double resistance, double time_max,
                                 rw_warmed *out, rw_error *err);

/* The temperature at which loss and heat balance, between two temperatures. errs RW_E_NOSOLVE: none between them */
RW_MUST_USE rw_status rw_feed_steady(const rw_hot_wire *wire, const rw_feed *feed, double low, double high, double *temperature, rw_error *err);

/* Temperature at which the filament has a resistance, between two temperatures. errs RW_E_NOSOLVE: none between them */
RW_MUST_USE rw_status rw_wire_at(const rw_hot_wire *wire, double resistance, double low, double high, double *temperature, rw_error *err);

#endif
