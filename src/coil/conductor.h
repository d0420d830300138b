/* Resistance of conductors at radio frequency: round wire, tube, strip, and the crowding that neighbours force on them. Ratios to direct current
 * are of dimension 1 and take lengths over the skin depth (rw_skin_depth, coil/leads.h; with permeability mur pass resistivity / mur).
 * Pure functions. Closed forms.
 * Reading order: rw_round_wire, rw_round_tube, rw_strip_layer, rw_parallel_wires, rw_medhurst_ratio, rw_winding_solve. */
#ifndef RW_COIL_CONDUCTOR_H
#define RW_COIL_CONDUCTOR_H

#include "base/error.h"
#include "base/table.h"

typedef struct rw_skin {
	double resistance;   /* 1: at frequency over at direct current */
	double inductance;   /* 1: internal inductance over that of a solid wire at low frequency, mu/(8 pi) per metre */
} rw_skin;

/* Straight round wire, return far away. Exact: Z/Rdc = w I0(w)/(2 I1(w)), w = (1 + j) radius/delta, as 1 plus a fraction that
 * keeps the inductance's digits at low frequency (base/bessel.h). Relative error under 1e-13.
 * in   radius_to_skin  radius over skin depth, 0..5e4   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_round_wire(double radius_to_skin, rw_skin *out, rw_error *err);

/* Straight tube, return far outside. Exact: E = A I0 + B K0 with dE/dr = 0 at the bore; a wall under a thousandth of the skin depth by its
 * low-frequency values (uniform current). Relative error of the resistance under 1e-12, of the inductance under 1e-7 and, for walls over a
 * tenth of the skin depth, under 1e-12 (measured, 40-digit arithmetic).
 * in   radius_to_skin  outer radius over skin depth, 1e-3..1e4; bore  inner over outer radius, 0 (a wire)..0.9999   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_round_tube(double radius_to_skin, double bore, rw_skin *out, rw_error *err);

/* Resistance ratio of the layers of strip of one winding portion, whole width of the window, field along the strip (Dowell, Proc. IEE 113,
 * 1966, 1387).
 * in   thickness_to_skin  0..1e4; layers  1..100   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_strip_layer(double thickness_to_skin, int layers, double *ratio, rw_error *err);

/* Two parallel round wires, go and return, thin skin: resistance over that of the wires far apart, (s/d)/sqrt((s/d)^2 - 1).
 * in   spacing_to_diameter  centres over diameter, > 1   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_parallel_wires(double spacing_to_diameter, double *ratio, rw_error *err);

/* Medhurst's measured ratio of a single-layer coil's resistance to that of its wire stretched out, thin skin (library: tables, medhurst; blocks
 * short and long). Bilinear; past l/D = 10 straight in D/l towards the endless coil, below d/s = 0.1 straight towards 1 at no wire. */
enum { RW_MEDHURST_COLUMNS = 7 };
extern const rw_column rw_medhurst_short_columns[RW_MEDHURST_COLUMNS], rw_medhurst_long_columns[RW_MEDHURST_COLUMNS];
typedef struct rw_medhurst {
	rw_table short_coils;   /* wire_to_pitch, then l/D 0, 0.2, 0.4, 0.6, 0.8, 1 */
	rw_table long_coils;    /* wire_to_pitch (the same rows), then l/D 2, 4, 6, 8, 10, endless */
} rw_medhurst;
/* in   wire_to_pitch  d/s, 0..1; length_to_diameter  l/D, >= 0, may be INFINITY   errs RW_E_RANGE; RW_E_VALUE: tables whose rows do not match */
RW_MUST_USE rw_status rw_medhurst_ratio(const rw_medhurst *table, double wire_to_pitch, double length_to_diameter, double *ratio, rw_error *err);

/* One layer of tube or strip, evenly wound. */
enum { RW_WINDING_TUBE, RW_WINDING_STRIP };
typedef struct rw_winding {
	int    conductor;      /* RW_WINDING_TUBE: round; RW_WINDING_STRIP: flat side towards the axis */
	int    turns;          /* 1.. */
	double diameter;       /* m, to the middle of the conductor */
	double pitch;          /* m, between neighbours' middles; not read for one turn */
	double width;          /* m: outer diameter of the tube, axial width of the strip */
	double thickness;      /* m: wall of the tube (half the width: a solid wire), radial thickness of the strip */
	double resistivity;    /* ohm m, at its temperature */
} rw_winding;

typedef struct rw_winding_resistance {
	double resistance;       /* ohm at the frequency */
	double low, high;        /* ohm: range within which it is expected */
	double uncertainty;      /* 1: half the range over resistance */
	double resistance_dc;    /* ohm */
	double straight;         /* 1: stretched out over DC */
	double proximity;        /* 1: wound over stretched out */
	double skin_depth;       /* m */
} rw_winding_resistance;

/* Resistance of the empty coil, free of feet, joints, screen and work.
 * Tube: stretched out exactly, and beside it the loss in the neighbours' field, which is Medhurst's excess M - 1 for thick skin and falls at
 * lower frequency as a round wire's loss in a field across it, Re(w I1(w)/I0(w)); less the share of the missing neighbours, 1 - 1/N, a rule of
 * this program. Range: 10 % (transcription, his coils of some 30 turns); under 10 turns the excess anything from none to that without the share;
 * a conductor under 10 skin depths half to twice the excess (rules of this program).
 * Not in it, but in the range: crowding to the bore by a turn's own bend, 4 % at a tube radius of 0.1 of the turn's, 7 % at 0.17, 11 % at 0.33
 * (boundary integral of a perfectly conducting torus, found here).
 * Strip: current on the inner face, Dowell's first layer with porosity (thickness times the root of width over pitch; one turn: 1). Range: down to
 * current on both faces, up by 30 % for edges (rule of this program).
 * errs RW_E_RANGE: turns that touch, dimensions that do not fit together; those of the parts */
RW_MUST_USE rw_status rw_winding_solve(const rw_winding *winding, const rw_medhurst *table, double frequency, rw_winding_resistance *out,
    rw_error *err);

#endif
