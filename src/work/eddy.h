/* Eddy currents in bars, slabs and tubes in an axial alternating field: power, flux and what a coil around them sees, in closed form.
 * One material, linear: resistivity and relative permeability constant over the section; a magnetic part is entered with the permeability
 * at its surface field.
 * Model: quasi-static (no displacement current), field of one frequency, exp(+jwt), H0 rms at the surface. Infinite length, but for
 * rw_eddy_coil_on_rod, which has a coil of finite length on an infinite rod.
 * src  complex Bessel solution of the diffusion equation (classical; NIST DLMF 10.25 for the functions); Dodd and Deeds, J. Appl. Phys. 39,
 *      2829, 1968 for the coil on a rod; status memory for both, checked against values derived anew (tests/reference/work)
 * SI units: m, ohm m, Hz, A, W. Outputs are unchanged on error. No allocation; may run in parallel. */
#ifndef RW_WORK_EDDY_H
#define RW_WORK_EDDY_H

#include "base/error.h"

/* Skin (reference) depth sqrt(rho/(pi f mu0 mur)), m. NAN unless all are above zero. */
double rw_eddy_depth(double resistivity, double permeability, double frequency);

/* Flux over the section = mu H0 area (q - j p); the power per metre is w mu H0^2 area p. */
typedef struct rw_eddy_factor { double p, q; } rw_eddy_factor;

/* Solid bar, mu = mu0 mur, area pi a^2.   in x = a/delta > 0   errs RW_E_RANGE
 * Both to 1e-13 of themselves, also where p is small: p -> x^2/4 for thin bars, 1/x for thick ones. */
RW_MUST_USE rw_status rw_eddy_bar(double x, rw_eddy_factor *out, rw_error *err);

/* Slab with the same field on both faces, mu = mu0 mur, area its section.   in y = thickness/delta > 0   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_eddy_slab(double y, rw_eddy_factor *out, rw_error *err);

typedef struct rw_eddy_tube_factor {
	double p, q;             /* mu = mu0, area pi a^2: the flux of the bore is in it */
	double bore_field;       /* |H in the bore / H0| */
	double bore_phase;       /* rad, of the same; within +-pi */
	double error;            /* bound on the rounding of p, relative */
} rw_eddy_tube_factor;

/* Tube with nothing but field in its bore.   in x = a/delta, bore_ratio b/a in (0, 1), permeability mur of the wall
 * errs RW_E_RANGE: bad inputs, or so little power against flux that p is not known to 1e-8 of itself (walls very thin against delta) */
RW_MUST_USE rw_status rw_eddy_tube(double x, double bore_ratio, double permeability, rw_eddy_tube_factor *out, rw_error *err);

/* The bar that takes most power in a given field and section: p is greatest. out diameter over delta (3.5567), that p (0.37745) */
RW_MUST_USE rw_status rw_eddy_best_bar(double *diameter_over_depth, double *p, rw_error *err);

typedef struct rw_eddy_body {
	double radius;           /* m, outer */
	double bore;             /* m, radius of the bore; 0: solid */
	double resistivity;      /* ohm m */
	double permeability;     /* 1, relative */
} rw_eddy_body;

typedef struct rw_eddy_loading {
	double depth;            /* m, skin depth */
	double field_rms;        /* A/m at the surface */
	double power;            /* W/m of length */
	double surface_power;    /* W/m2 of outer surface */
	double resistance;       /* ohm/m reflected into the coil */
	double reactance;        /* ohm/m of the coil with the work in it: gap and work */
} rw_eddy_loading;

/* The body in the middle of an infinite solenoid.   in coil_radius m (of the current sheet), turns_per_metre 1/m, current_rms A
 * errs RW_E_RANGE: bad inputs, a coil that does not clear the body; those of rw_eddy_tube */
RW_MUST_USE rw_status rw_eddy_in_solenoid(const rw_eddy_body *body, double coil_radius, double turns_per_metre, double current_rms,
    double frequency,
                                          rw_eddy_loading *out, rw_error *err);

typedef struct rw_eddy_coil {
	double turns;            /* 1, evenly spread over length and depth */
	double length;           /* m */
	double inner_radius;     /* m */
	double outer_radius;     /* m; as inner_radius: a current sheet */
} rw_eddy_coil;

typedef struct rw_eddy_change {
	double resistance;       /* ohm, added by the rod */
	double reactance;        /* ohm, added by the rod: negative where eddy currents outweigh its permeability */
	double inductance;       /* H, of the reactance */
	double error;            /* bound on each change, ohm, of quadrature and of what is cut off */
} rw_eddy_change;

/* Coil of finite length around an infinitely long solid rod: its impedance with the rod less that without.
 * To 1e-11 of each part (of the reactance 1e-9 of the resistance where that is more; where waves of a magnetic rod cancel, of the greatest
 * sum on the way: error holds all the same). What is smooth in the wave number by polynomials on panels as wide as their error allows,
 * until a bound on the rest is a tenth of the tolerance.
 * errs RW_E_RANGE: bad inputs, a body with a bore, a coil that does not clear the rod; RW_E_NOSOLVE: not found to that, as for gaps below
 *      about a hundred-thousandth of the coil's length and radii below a thousandth of the skin depth
 * cost about 0.2 ms, 1 ms for gaps below a thousandth of the coil's length, several for thick coils */
RW_MUST_USE rw_status rw_eddy_coil_on_rod(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, rw_eddy_change *out,
    rw_error *err);

/* The same to a tolerance in place of 1e-11; the reactance also to the tolerance of the resistance, where that is more.
 * errs as above; RW_E_RANGE: a tolerance not within 1e-11 to 0.01   cost about 0.05 ms at 1e-5 */
RW_MUST_USE rw_status rw_eddy_coil_on_rod_to(const rw_eddy_body *rod, const rw_eddy_coil *coil, double frequency, double tolerance,
    rw_eddy_change *out, rw_error *err);

#endif
