/* Output transformer between the tank and the (leads and) work coil: what the tank sees through it, and the transformer for a wanted view.
 * Model: two coupled coils, air-cored or with a core that does not saturate; loss of each winding by its unloaded Q at the frequency in
 * hand, core loss in the primary's; no stray capacitance. Phasors exp(+jwt).
 *   Z_in = w L1/Q1 + j w L1 + (w M)^2/(Z + w L2/Q2 + j w L2)      M = k sqrt(L1 L2), L2 = L1/ratio^2
 * How it is chosen: the anode load resistance and the loaded Q of the tank fix R_in = R_a/Q^2 and X_in + X_tank = R_a/Q, hence the tank's
 * current sqrt(P/R_in); the coil wants a multiple of it, as one or two turns have little impedance. The ratio is about coil current over
 * tank current, more with loose coupling and little secondary reactance.
 * SI units. Outputs unchanged on error. No allocation; may run in parallel. */
#ifndef RW_COIL_TRANSFORM_H
#define RW_COIL_TRANSFORM_H

#include <complex.h>
#include <stdint.h>

#include "base/error.h"

typedef struct rw_transform {
	double ratio;                /* 1, turns, primary to secondary */
	double primary_inductance;   /* H, secondary open */
	double coupling;             /* 1, over 0 to 1 */
	double primary_q;            /* 1, unloaded Q of the winding; INFINITY: no loss */
	double secondary_q;          /* 1, likewise */
} rw_transform;

/* Impedance at the primary and I_load/I_in, both windings wound alike: the load's current then opposes the primary's, phase near 0.
 * in   z_load ohm, resistance not negative
 * errs RW_E_RANGE: inputs; RW_E_NOSOLVE: a load without loss that resonates with the secondary */
RW_MUST_USE rw_status rw_transform_impedance(const rw_transform *transform, double frequency, double complex z_load, double complex *z_in,
                                             double complex *ratio_current, rw_error *err);

typedef struct rw_transform_want {
	double resistance;           /* ohm, input resistance; NAN: another is wanted */
	double reactance;            /* ohm, input reactance (the tank drives V = I X); NAN: another is wanted */
	double current_ratio;        /* 1, |I_load/I_in|; NAN: another is wanted */
	double coupling;             /* 1 */
	double primary_inductance;   /* H; NAN: by the multiple */
	double multiple;             /* 1, primary reactance over |load| times ratio^2; not read with an inductance; NAN: that of least loss */
	double primary_q, secondary_q;               /* 1 */
	int32_t primary_turns_max, secondary_turns_max;   /* 1; 0: any ratio; else the nearest of whole turns */
} rw_transform_want;

typedef struct rw_transform_choice {
	rw_transform transform;
	double complex z_in;         /* ohm, found by rw_transform_impedance */
	double complex ratio_current;/* 1 */
	double efficiency;           /* 1: power in the load over power in */
	double off;                  /* 1: what was wanted over what is found, less 1: of whole turns, else rounding */
	int32_t primary_turns, secondary_turns;      /* 1; 0: any ratio */
} rw_transform_choice;

/* The transformer for exactly one of the three wants, in closed form. By the multiple m the secondary's reactance is known and Z_in goes as
 * the square of the ratio, the currents as the ratio itself; the losses of the windings together are least at m = 1/sqrt(1 + 1/Q2^2 + k^2
 * Q1/Q2), less than 1: a bigger secondary loses more by its own reactance than the primary gains. With a primary inductance each want is a
 * quadratic in the secondary's reactance; of two solutions the one of less ratio, which acts as a transformer: the other is a choke with a
 * few loosely driven turns. Whole turns: nearest in the logarithm of the ratio, the smaller numbers of equals; the secondary keeps its
 * inductance by the multiple, the primary otherwise.
 * errs RW_E_RANGE: inputs, not exactly one want; RW_E_NOSOLVE: no transformer of that coupling and inductance gives it */
RW_MUST_USE rw_status rw_transform_choose(const rw_transform_want *want, double frequency, double complex z_load, rw_transform_choice *out,
                                          rw_error *err);

/* The same for a coil current out of a tank current, A both alike (rms or peak); any ratio. Windings as given.
 * in   primary_inductance  H or NAN: that of least loss   errs as rw_transform_choose */
RW_MUST_USE rw_status rw_transform_for_current(double complex z_load, double frequency, double current_load, double current_in_wanted,
                                               double coupling, double primary_inductance, double primary_q, double secondary_q,
                                               rw_transform_choice *out, rw_error *err);

#endif
