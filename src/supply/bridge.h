/* Six-pulse diode bridge behind a reactance in each phase, smooth direct current, no resistance: mean volts, overlap and line current in
 * its three modes. Everything is a ratio, so one number goes in: x = I_d / I_2, I_2 = sqrt2 V_line/(2 X) the peak line-to-line
 * short-circuit current.
 *   mode 1, x <= 1/2:            two or three diodes conduct; cos u = 1 - x, no delay
 *   mode 2, x <= sqrt(3)/2:      always three; u = 60 degrees, commutation delayed by a, sin(a + 30 degrees) = x
 *   mode 3, x <= 2/sqrt(3):      three or four; a = 30 degrees, cos(u + 60 degrees) = 1 - sqrt(3) x; at the end a dead short
 * src  supply-and-protection references, section 2 (derived); the delayed-commutation forms are those of converter handbooks (memory) */
#ifndef RW_SUPPLY_BRIDGE_H
#define RW_SUPPLY_BRIDGE_H

#include "base/error.h"

typedef struct rw_bridge {
	int    mode;               /* 1, 2, 3 */
	double voltage_ratio;      /* mean volts over the no-load mean */
	double delay, overlap;     /* rad: a and u */
	double rms_ratio;          /* line current rms / I_d */
	double active_ratio;       /* rms of the fundamental in phase with the source's phase volts / I_d */
	double reactive_ratio;     /* rms of the fundamental a quarter behind / I_d */
} rw_bridge;

/* errs RW_E_RANGE for x negative, not finite or over 2/sqrt(3) */
RW_MUST_USE rw_status rw_bridge_voltage_ratio(double x, double *ratio, rw_error *err);
RW_MUST_USE rw_status rw_bridge_at(double x, rw_bridge *out, rw_error *err);

/* Fired at an angle (rad, 0 to 120 degrees) that the commutation waits for, x <= 1/2: cos a - cos(a + u) = x. voltage_ratio (cos a + cos(a + u))/2,
 * line current a whole block: where the current breaks, its share of the block is another matter.   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_bridge_fired(double x, double angle, rw_bridge *out, rw_error *err);

/* Of any commutation without delay that follows 1 - cos: u rad.
 * share: (2 + cos u) sin u - (1 + 2 cos u) u over (1 - cos u)^2, twice the integral of s(1 - s), s the share of the current taken over
 * lag: 2 u - sin 2u over 4 (1 - cos u), the quadrature part of the step's fundamental */
double rw_overlap_share(double u);
double rw_overlap_lag(double u);

#endif
