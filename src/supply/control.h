/* Phase control in closed form: how much of the volts is left at a firing angle, in four circuits. Ideal switches, stiff source, no overlap.
 * Angles in rad; ratios are to the same circuit fully on (angle 0, or for a pure inductance 90 degrees).
 * The three-phase controller in the primary, ahead of transformer and diode bridge, follows the bridge on resistance or free-wheeling: the
 * diodes cannot give negative volts (double firing pulses needed). So it is for star/star and delta/delta; unconfirmed for star/delta.
 * src  supply-and-protection references, section 3 (derived) */
#ifndef RW_SUPPLY_CONTROL_H
#define RW_SUPPLY_CONTROL_H

#include "base/error.h"

/* A controlled bridge of so many pulses, angle from natural commutation, on resistance or with free-wheeling. */
typedef struct rw_controlled_bridge {
	double mean_ratio;      /* mean over the full no-load mean */
	double rms_ratio;       /* rms over the full no-load mean */
	double ripple_ratio;    /* rms of the ripple over the mean; 0 where no volts are left */
	double ripple_pp_ratio; /* peak to peak over the full no-load mean */
	double conduction;      /* share of the time in which the volts are above zero */
} rw_controlled_bridge;

/* in   pulses 2 or more, whole; angle from 0 to where the volts are gone, pi/2 + pi/pulses
 * errs RW_E_RANGE */
RW_MUST_USE rw_status rw_control_bridge(double pulses, double angle, rw_controlled_bridge *out, rw_error *err);

/* The same with continuous current and no free-wheeling: cos of the angle, 0 to pi. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_control_continuous(double angle, double *mean_ratio, rw_error *err);

/* A single-phase inverse-parallel pair, angle from the zero of the volts. */
typedef struct rw_controlled_pair {
	double rms_ratio;               /* volts rms */
	double rectified_mean_ratio;    /* mean of the rectified volts; on resistance */
	double current_rms_ratio, current_fund_ratio;   /* current rms, its fundamental; on a pure inductance */
} rw_controlled_pair;
RW_MUST_USE rw_status rw_control_pair_resistive(double angle, rw_controlled_pair *out, rw_error *err);   /* 0 to pi */
RW_MUST_USE rw_status rw_control_pair_inductive(double angle, rw_controlled_pair *out, rw_error *err);   /* pi/2 to pi */

/* A three-phase three-wire controller on a star of resistances, angle from the zero of the phase volts, 0 to 150 degrees: volts rms. */
RW_MUST_USE rw_status rw_control_star(double angle, double *rms_ratio, rw_error *err);

#endif
