/* Work coil of turns round a bar or tube in closed form: empty, loaded, with a magnetic part; its stresses and its cooling.
 * An estimate, for a field solution to check.
 * Model. Radio-frequency current runs where the work's opposing current draws it: on the inner face of a strip, and in a round tube at the
 * distance sqrt(gap (gap + diameter)) from the work, where one filament and its image make the field of a tube before a conducting plane
 * exactly. So the turns are one current sheet there for rw_eddy_coil_on_rod, as long as gives it the turns' second moment along the axis
 * (one tube turn: a filament; a strip: width and radial thickness, as its edges and back carry too), times what separate turns lose more
 * than a sheet, by the same images. The reactance of tubes is the mean of that sheet and one half-way to the tubes' middle, which would be
 * exact before a plane and errs high round a bar. The inductance of the empty coil is a sum over rings less what neighbours crowd; the
 * work's change is added to it.
 * Against the boundary integral of rings of good conductor (tests/unit/test_coil_loaded.c; tube coils of 1 to 8 turns, bars of 6 to 40 mm):
 * empty inductance of tube within 2 % (3 % for a turn of three tube diameters), of strip up to a quarter as thick as wide up to 8 % high,
 * of square bar within 7 %; loaded inductance of tube within 6.5 % high, of strip as empty; reflected resistance of tube 1 to 6 % low (10 %
 * for the tight turn and at gaps of an eighth of the tube), of strip 2 to 11 % high; what the work adds to the copper's loss within 15 % of
 * that.
 * Not checked so: magnetic parts, and skin thick against the gap, which screens less, so that current lies nearer the tubes' middle and the
 * resistance comes out high. Part shorter than the coil: see rw_coil_loaded.
 * SI units. Outputs unchanged on error. No allocation; may run in parallel.
 * Reading order: rw_coil_turns, rw_coil_empty, rw_coil_loaded, rw_coil_magnetic, rw_coil_stress, rw_coil_cooling. */
#ifndef RW_COIL_LOADED_H
#define RW_COIL_LOADED_H

#include "coil/conductor.h"

typedef struct rw_coil_turns {
	double  turns;                   /* 1, whole, to 1000 */
	double  inner_diameter;          /* m, clear bore */
	double  length;                  /* m, over the conductors, first to last; not read for one turn, whose length is its width */
	double  width;                   /* m: outer diameter of the tube, axial width of the strip or rectangular tube */
	double  thickness;               /* m: wall of the tube, radial thickness of the strip */
	double  temperature;             /* K of its copper */
	int32_t conductor, unused;       /* RW_WINDING_TUBE, RW_WINDING_STRIP */
} rw_coil_turns;

typedef struct rw_coil_body {            /* the part in one load state, in the middle of the coil, axis that of the coil */
	double radius, bore;             /* m; radius of the bore, 0: solid */
	double length;                   /* m of the part */
	double resistivity;              /* ohm m */
	double permeability;             /* 1, at the surface's field */
} rw_coil_body;

typedef struct rw_coil_impedance {
	double resistance;               /* ohm, without feet and joints: rw_winding_solve */
	double resistance_low;           /* ohm */
	double resistance_high;          /* ohm */
	double reactance;                /* ohm */
	double inductance;               /* H */
	double uncertainty;              /* 1, of reactance and inductance */
} rw_coil_impedance;

/* The empty coil. Tube: rings as rw_helix_solve with the skin's internal inductance, less the neighbours' crowding: each ring is a dipole
 * in the others' field and that of its own bend, mu0 2 pi r^2 H^2 a metre, weakened along the axis and strengthened across it by its
 * neighbours' dipoles. Strip: sheets of width + thickness (at most the pitch) on the inner face with all mutuals, exact for current even
 * over the face.
 * in   medhurst  not read for strip or one turn, may then be NULL
 * errs RW_E_RANGE: turns not whole, that touch, dimensions that do not fit; RW_E_MISSING: no table
 * cost four elliptic integrals a turn */
RW_MUST_USE rw_status rw_coil_empty(const rw_coil_turns *turns, const rw_medhurst *medhurst, double frequency, rw_coil_impedance *out,
                                    rw_error *err);

typedef struct rw_coil_loaded_result {
	double resistance;               /* ohm at the terminals */
	double reactance;                /* ohm at the terminals */
	double reactance_uncertainty;    /* 1 */
	double resistance_reflected;     /* ohm: heat in the work over I^2 */
	double resistance_copper;        /* ohm: heat in the coil over I^2, crowding by the work included */
	double field_per_ampere;         /* (A/m)/A rms at the surface: evenly over heated_length it would heat as the true one does */
	double efficiency;               /* 1: reflected over total */
	double skin_depth;               /* m, of the work */
	double length_factor;            /* 1, on the reflected resistance: part shorter than the coil */
	double reactance_factor;         /* 1, on the change of reactance: part shorter than coil and two gaps */
	double heated_length;            /* m: sheet and its distance on both sides, at most the part */
} rw_coil_loaded_result;

/* Coil with the part in it.
 * Tube: resistance as of the rod of the same material times the ratio of their factors p in a uniform field; the reactance less (or more)
 * by the rod's own screened area, in ohm, times the difference of their q: in an endless coil exact, and no ratio that could pass through
 * zero for a magnetic rod. A wall thick against the skin depth is a rod.
 * Short part: with skin thin against it the field crowds to its ends and the resistance hardly falls (boundary integral: for parts down to
 * a quarter of coil and gaps 0.90 to 1.34 of the long bar's, so no scaling by length); with s the part over coil and two gaps the change of
 * reactance is by 1 - 0.6 (1 - s)^2 (within 0.1 down to a quarter). What the field passes through heats by its length: length_factor is 1 -
 * q (1 - part/coil). Against two finite solutions (x 2.7 bar, x 5.2 tube, each as long as its coil): resistance -1 and -8 %, change of
 * reactance +11 and +2 %.
 * Copper: the empty coil's and beside it, for tubes, the crowding to the image, R straight (h/sqrt(h^2 - r^2) - 1), less the share q that
 * the work does not screen.
 * errs those of rw_coil_empty and rw_eddy_coil_on_rod, rw_eddy_tube; RW_E_RANGE: a part that does not fit, shorter than two skin depths;
 *      a gap so tight (about a thirtieth of the tube) that the filaments' inductance is used up before the tube's is
 * cost two evaluations of rw_eddy_coil_on_rod_to, to 1e-5, for tube, one for strip: 0.1 ms */
RW_MUST_USE rw_status rw_coil_loaded(const rw_coil_turns *turns, const rw_coil_body *body, const rw_medhurst *medhurst, double frequency,
                                     rw_coil_loaded_result *out, rw_error *err);

/* Relative permeability of the part at a field, A/m rms. */
typedef rw_status (*rw_permeability_at)(void *context, double field_rms, double *permeability, rw_error *err);

typedef struct rw_coil_magnetic_result {
	rw_coil_loaded_result loaded;
	double  permeability;            /* 1, used all over the part */
	double  field_rms;               /* A/m at the surface, effective */
	double  error;                   /* 1: permeability at that field over the one used, less 1 */
	int32_t evaluations, unused;     /* of the reflected resistance, before the last one of all */
} rw_coil_magnetic_result;

/* Magnetic part: the permeability is that of the field the current makes with it. The field of 1 A hardly depends on the permeability: its
 * logarithm is taken straight between the last two full evaluations, on that line the permeability is solved to 1e-9, then evaluated
 * in full again, until the two agree to 1e-6. Body's own permeability is not read.
 * errs those of rw_coil_loaded and of the callback; RW_E_RANGE: no current; RW_E_NOSOLVE: no agreement in 12 evaluations
 * cost 3 to 5 evaluations of rw_eddy_coil_on_rod more than rw_coil_loaded */
RW_MUST_USE rw_status rw_coil_magnetic(const rw_coil_turns *turns, const rw_coil_body *body, rw_permeability_at permeability, void *context,
                                       const rw_medhurst *medhurst, double frequency, double current_rms, rw_coil_magnetic_result *out,
                                       rw_error *err);

typedef struct rw_coil_duty {
	double voltage_rms, current_rms; /* V, A at the coil's terminals */
	double power;                    /* W into them */
	double frequency;                /* Hz */
	double field_limit_pk;           /* V/m, working limit */
} rw_coil_duty;

typedef struct rw_coil_stresses {
	double turn_voltage_pk;          /* V a turn; one turn: between its feet */
	double turn_field_pk;            /* V/m between neighbours, greatest at the face; one turn: 0, the gap of its feet is not known */
	double work_field_pk;            /* V/m between coil and work at full coil volts, greatest at the face; 0 without work */
	double margin;                   /* 1: limit over the greater of both; infinite without either */
	double reactive_power;           /* var */
	double face_current_rms;         /* A/m of the face where it is greatest */
	double skin_current_density_rms; /* A/m2: that over the skin depth */
} rw_coil_stresses;

/* Stresses of the coil. Fields of tubes exact for two tubes, or tube and plane; of strips the mean over the gap, edges not in it (the usual
 * radius doubles it). Work at the potential of one end of the coil: half for a coil earthed in the middle. Face current of a tube: even,
 * the image's crowding and that of neighbours (a dipole of the proximity loss) added; of a strip: even over its width.
 * in   body  NULL: empty
 * errs RW_E_RANGE: duty out of range, power over volts times amperes, turns without a gap; those of rw_coil_empty and of the part */
RW_MUST_USE rw_status rw_coil_stress(const rw_coil_turns *turns, const rw_coil_body *body, const rw_medhurst *medhurst,
                                     const rw_coil_duty *duty, rw_coil_stresses *out, rw_error *err);

typedef struct rw_coil_cooling_result {
	double  flow;                    /* m3/s, water that carries the loss at the rise */
	double  bore_least;              /* m, at the greatest velocity */
	double  bore;                    /* m, of the tube; 0: a strip or solid */
	double  velocity;                /* m/s in that bore; 0 without one */
	int32_t fits, unused;            /* 1: the bore is not under the least */
} rw_coil_cooling_result;

/* Water through the coil's own tube, one path from end to end.
 * in   loss W; temperature_rise K; velocity_max m/s; density kg/m3; heat_capacity J/(kg K)   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_coil_cooling(const rw_coil_turns *turns, double loss, double temperature_rise, double velocity_max, double density,
                                      double heat_capacity, rw_coil_cooling_result *out, rw_error *err);

#endif
