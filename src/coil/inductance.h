/* Inductance and field of air-cored round coils, coaxial and in free space: no work, no leads, no screen. SI throughout; all pure.
 * Closed forms.
 * Reading order: current sheet (Nagaoka), coaxial circles, round loops, coil of tube turns, thick coil, field of the sheet. */
#ifndef RW_COIL_INDUCTANCE_H
#define RW_COIL_INDUCTANCE_H

#include "base/error.h"

/* Nagaoka's coefficient of a current sheet of this diameter over length: L = K x that of the endless sheet, mu0 N^2 pi D^2/(4 l).
 * Exact: K = 4/(3 pi k') [k'^2/k^2 (K - E) + E - k], k^2 = D^2/(D^2 + l^2) (Lorenz 1879; Nagaoka, J. Coll. Sci. Tokyo 27, 1909, art. 6), with
 * (K - E)/k^2 as Carlson's R_D/3 and E - 1 by its series in k' above D/l = 100, so that nothing cancels. Relative error under 1e-12.
 * in   diameter_to_length  D/l, 0..1e6   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_nagaoka(double diameter_to_length, double *coefficient, rw_error *err);

/* Current sheet of N turns, diameter and length in m. out H   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_sheet_inductance(double turns, double diameter, double length, double *inductance, rw_error *err);

/* Mutual inductance (H) of two coaxial circular filaments, radii (m) and distance of their planes (m, either sign).
 * M = 2 mu0 sqrt(ab/k1) [K(k1) - E(k1)], k1 = (r2 - r1)/(r2 + r1), r1 and r2 the least and greatest distance between the two (Maxwell; DLMF
 * 19.34 after Landen's transformation). K - E is one of Carlson's integrals: near or far apart, no digits are lost. Relative error under 1e-14.
 * errs RW_E_RANGE: a radius not over zero, filaments that coincide */
RW_MUST_USE rw_status rw_filament_mutual(double a, double b, double distance, double *mutual, rw_error *err);

/* Self-inductance (H) of one turn of round wire or tube, e = wire radius over loop radius, x = ln(8/e).
 * internal 0: current in a thin skin: mu0 R [x - 2 - e^2 ((x - 1)^2/4 - 3/16)]; the square term, current crowding to the bore, was found here by
 *          fit to the boundary integral equation of a perfectly conducting torus; error 1e-5 at e 0.06, 6e-5 at 0.1, 7e-4 at 0.2, 1 % at 0.4.
 * internal 1: current uniform over the section (low frequency): mu0 R [(1 + e^2/8) x + e^2/24 - 7/4] (Rayleigh & Niven 1881; memory).
 * Between: straight line, internal being the wire's internal inductance over its low-frequency value (rw_round_wire, rw_round_tube).
 * in   radius of the loop, to the wire's centre, and of the wire (m); e <= 0.4; internal 0..1   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_loop_inductance(double radius, double wire_radius, double internal, double *inductance, rw_error *err);

/* Helical coil of round tube or wire, taken as separate rings. */
typedef struct rw_helix {
	int    turns;              /* whole, 1..1000 */
	double diameter;           /* m, to the centres of the tube */
	double pitch;              /* m, between neighbours' centres; not read for one turn */
	double tube_diameter;      /* m, outside */
	double internal;           /* 0..1, as rw_loop_inductance: 0 at radio frequency */
} rw_helix;

typedef struct rw_helix_inductance {
	double inductance;         /* H: the sum over the rings */
	double sheet;              /* H: current sheet of the same turns over turns x pitch (one turn: over the tube's diameter) */
	double uncertainty;        /* 1: |sheet - sum| / sum, what the estimate is to be trusted to */
} rw_helix_inductance;

/* Rings with their own inductance and all mutuals, as filaments at the tubes' centres. Not in it: the slope of the helix, the crowding of
 * current by the neighbours (lowers L at close pitch), feet and leads. The sheet carries no gaps between turns; the two bracket nothing, but
 * their difference is of the size of what either leaves out.
 * errs RW_E_RANGE: turns that touch, a tube too thick for its ring   cost one elliptic integral a turn */
RW_MUST_USE rw_status rw_helix_solve(const rw_helix *helix, rw_helix_inductance *out, rw_error *err);

/* Inductance (H) of a coil of rectangular section with uniform current density: turns, inner and outer radius (m), axial height (m).
 * L = pi mu0 N^2/(h^2 (r2 - r1)^2) INT J^2/a^5 2 [h + (exp(-a h) - 1)/a] da, J = INT x J1(x) dx from a r1 to a r2 (Dodd & Deeds, J. Appl. Phys.
 * 39, 1968, 2829). Adaptive quadrature piece by piece to 1e-10 of the sum, up to where the remainder is under 1e-7 of it; the mean of the
 * remainder is added in closed form. *error (H) bounds the error, under 5e-8 of L for ordinary sections; the error itself is some 1e-9 (measured).
 * in   height and build (r2 - r1) both over r2/1000 and under 1000 r2
 * errs RW_E_RANGE, RW_E_NOSOLVE   cost 1.5 ms for ordinary sections, 0.4 s for the thinnest */
RW_MUST_USE rw_status rw_thick_coil_inductance(double turns, double inner_radius, double outer_radius, double height, double *inductance,
                                               double *error, rw_error *err);

typedef struct rw_field { double radial, axial; } rw_field;   /* T */

/* Flux density of a current sheet for 1 A in each of its turns, centre at the origin, axis z (Derby & Olbert, Am. J. Phys. 78, 2010, 229,
 * memory; in Carlson's integrals). in lengths in m; r >= 0   errs RW_E_RANGE: a point on the sheet itself, where the field jumps */
RW_MUST_USE rw_status rw_sheet_field(double turns, double diameter, double length, double r, double z, rw_field *field, rw_error *err);

#endif
