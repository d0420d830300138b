/* The valve: a triode's characteristic and the class C operating point for sinusoidal swings, grid volts exactly opposite to the anode's.
 * Model: space current i_k = P (vg + max(va, 0)/mu)^1.5 while the bracket is positive, divided between anode and grid by the ratio of
 * their volts (law 'divided', docs/theory.md); or a table of published points (law 'points', docs/theory/points.md); law 'ideal' serves
 * exact test points only. No secondary or grid emission, no transit time: grid currents are good to about 30 %.
 * Reading order: rw_valve_law, rw_valve_currents, rw_class_c. The room's quantities: rw_valve_in, table in valve_items.c. */
#ifndef RW_VALVE_VALVE_H
#define RW_VALVE_VALVE_H

#include "item/item.h"

enum { RW_LAW_DIVIDED, RW_LAW_POINTS, RW_LAW_IDEAL };
enum { RW_CATHODE_THORIATED, RW_CATHODE_TUNGSTEN, RW_CATHODE_OXIDE };

typedef struct rw_valve_points rw_valve_points;   /* a table of points made ready; immutable, may be shared by threads */

typedef struct rw_valve_law {
	int32_t law, unused;
	double perveance;          /* P, A/V^1.5 (ideal: A/V^exponent; points: a factor on the table's currents, 1 for the valve as published) */
	double mu;                 /* amplification factor, 1 */
	double division;           /* d, 1: anode to grid current at equal volts; divided only */
	double emission;           /* greatest space current, A; INFINITY when not given */
	double exponent;           /* n; ideal only */
	double grid_perveance;     /* G, A/V^1.5; ideal only */
	const rw_valve_points *points;   /* points only */
} rw_valve_law;

/* Instantaneous anode and grid current (A) at anode and grid volts (V). Inline: this is the floor of every solve.
 * divided: for vg > 0 ig/ia = (vg/va)^0.5/d for va >= vg, (vg/va)^2/d below; va <= 0: all of i_k to the grid when vg > 0, none flows when vg <= 0.
 * ideal: ia = P (vg + va/mu)^n while positive; ig = G vg^1.5 for vg > 0; grid current does not reduce ia.
 * points: interpolated, see rw_valve_points_make; beyond the table smoothly extrapolated.
 * src  rules R1; square-root division as in handbooks on vacuum tubes (memory) */
void rw_valve_currents(const rw_valve_law *law, double va, double vg, double *ia, double *ig);

/* Grid volts at which the anode current begins at these anode volts (V). */
double rw_valve_cutoff(const rw_valve_law *law, double va);

/* va(t) = anode_voltage_dc - anode_swing_pk cos t;  vg(t) = grid_bias + grid_swing_pk cos t. */
typedef struct rw_swing {
	double anode_voltage_dc;   /* V */
	double anode_swing_pk;     /* V, >= 0; may exceed anode_voltage_dc (an empty coil) */
	double grid_bias;          /* V, DC */
	double grid_swing_pk;      /* V, >= 0 */
} rw_swing;

typedef struct rw_class_c {
	double anode_current_dc, anode_current_fund_pk;            /* A; fundamental in phase with grid volts */
	double anode_current_2_pk, anode_current_3_pk;             /* A, signed amplitude of cos 2t, cos 3t */
	double anode_current_pk;                                   /* A, greatest instantaneous */
	double grid_current_dc, grid_current_fund_pk, grid_current_pk;  /* A */
	double cathode_current_pk;                                 /* A, greatest of anode plus grid */
	double anode_half_angle, grid_half_angle;                  /* rad: half the angle of flow */
	double anode_loss, grid_loss;                              /* W: mean of va ia and of vg ig over the cycle (second route to the balances) */
	double error;                                              /* estimate, relative to the greatest of each current's mean; of the worst figure */
	int    evaluations;                                        /* of the characteristic */
} rw_class_c;

/* Means and Fourier amplitudes over one cycle by Gauss-Legendre on each piece between the kinks of the law (i_k = 0, vg = 0, va = vg,
 * va = 0, emission; points: also where the volts cross those of the table), with a substitution that takes the root singularity off the ends, orders doubled until the error estimate is under tolerance.
 * in   tolerance  relative, 1e-10 .. 1e-3
 * errs RW_E_RANGE for a swing that is not finite or negative; RW_E_NOSOLVE when 64 nodes in each of 24 pieces (points: 320) are not enough
 * cost 50 to 80 evaluations at 1e-6, about 1 us; points: 270 to 370 evaluations, about 20 us, at any tolerance down to 1e-9 */
RW_MUST_USE rw_status rw_class_c_solve(const rw_valve_law *law, const rw_swing *swing, double tolerance, rw_class_c *out, rw_error *err);

/* Fourier amplitudes of the pulse [(cos t - cos c)/(1 - cos c)]^n, |t| < c, peak 1: k = 0 mean, else peak of harmonic k (0..9). */
RW_MUST_USE rw_status rw_pulse_fourier(double half_angle, double exponent, int harmonic, double *coefficient, rw_error *err);

/* The valve's part of the generator file; open members are filled from the library entry `type` (rule 'library'). */
typedef struct rw_valve_in {
	double perveance;                    /* A/V^1.5 */
	double mu, division;                 /* 1 */
	double emission;                     /* A; optional */
	double anode_voltage_max;            /* V DC */
	double anode_dissipation_max;        /* W */
	double anode_current_max;            /* A DC; optional */
	double grid_current_max;             /* A DC, loaded */
	double grid_current_max_unloaded;    /* A DC, no load; optional */
	double grid_dissipation_max;         /* W; optional */
	double cathode_current_pk_max;       /* A peak; optional */
	double grid_voltage_min;             /* V DC, greatest negative bias; optional */
	double frequency_max;                /* Hz, full ratings; optional */
	double frequency_max_derated;        /* Hz up to which it may run at derated_share; both optional, they go together */
	double derated_share;                /* 1: of anode volts and anode dissipation there; falling straight from frequency_max on */
	double grid_resistance_max;          /* ohm in the grid's circuit; optional */
	double seal_temperature_max;         /* K; optional */
	double water_flow_min, water_flow_filament;   /* m3/s of each valve: at full dissipation, with the filament alone; optional */
	double air_flow_min;                 /* m3/s of each valve at seals and socket; optional */
	double flash_arc_energy_max;         /* J the grid bears in an arc from the anode, maker's figure; optional */
	double anode_grid_capacitance, grid_cathode_capacitance, anode_cathode_capacitance;   /* F; optional */
	double spread_perveance, spread_mu;  /* 1: how far one valve of the type lies from the mean, to either side; R20 */
	double parallel_derating;            /* 1: share of anode dissipation and anode current allowed where several share; R20 */
	double grid_margin;                  /* 1: of the grid current's limits to be kept free where several share; R20 */
	double worn_perveance, worn_emission;/* 1: what is left of both in a worn valve; R20 */
	int32_t law, cathode;                /* choices */
	int32_t parallel;                    /* valves side by side on each side of the tank; R20: 1 */
	int32_t points;                      /* table: published points; optional */
	char type[RW_TEXT_BYTES];
} rw_valve_in;

extern const rw_room rw_valve_room;
/* points: those of law 'points', else NULL */
rw_valve_law rw_valve_law_of(const rw_valve_in *in, const rw_valve_points *points);
/* With the share of perveance (of points: of all currents) and emission that a worn one has left. */
rw_valve_law rw_valve_law_worn(const rw_valve_in *in, const rw_valve_points *points);
/* The law of a valve that differs from this one by these factors. Law 'points' knows no mu: for it go to other anode volts (oscillator/share.c). */
rw_valve_law rw_valve_law_times(const rw_valve_law *law, double perveance, double mu);
/* Open inputs that no library entry tells (rules R1, R20). sides: of the tank. */
void rw_valve_choose(rw_valve_in *in, int sides);
/* Ratings that go together or in order. errs RW_E_VALUE */
RW_MUST_USE rw_status rw_valve_check(const rw_valve_in *in, rw_error *err);
bool   rw_valve_derates(const rw_valve_in *in);                    /* its ratings fall above a frequency */
double rw_valve_derating(const rw_valve_in *in, double frequency); /* 1: share of anode volts and dissipation allowed there */

/* Law 'points': anode and grid current over anode and grid volts, by a tensor of cubics on ia^(2/3) and ig^(2/3), in which a triode's curves
 * are nearly straight. C1 everywhere; ia never falls with va, nor with vg in a rectangle of four points whose currents do not; ig likewise
 * never falls with vg; neither is ever negative. ia = 0 for va <= 0 and ig = 0 for vg <= 0 as in the law; between 0 V and the lowest anode
 * volts the space current goes over to the grid. Below the lowest grid volts the anode current ends by the law's power 3/2, one slope for all
 * anode volts. Emission, when given, caps the sum.
 * in   table by rw_valve_points_columns, any order of rows: a full rectangle, 4 to 64 anode volts by 4 to 64 grid volts, 0 V grid among them
 * errs RW_E_VALUE at 'valve.points', naming row, volts and column
 * cost one evaluation about five times that of the law; about 1 ms to make 40 by 40 */
enum { RW_POINTS_LEAST = 4, RW_POINTS_MOST = 64 };
extern const rw_column rw_valve_points_columns[4];
RW_MUST_USE rw_status rw_valve_points_make(rw_arena *arena, const rw_table *table, const rw_valve_points **out, rw_error *err);

typedef struct rw_points_span {
	double anode_least, anode_most, grid_least, grid_most;   /* V */
	double anode_current_most, grid_current_most;            /* A */
	int    n_anode, n_grid;
} rw_points_span;
rw_points_span rw_valve_points_span(const rw_valve_points *points);

/* Has a cycle, solved, left the table while current flowed? The cut-off side may be left, and the anode may go below the lowest anode volts
 * when those are no more than the greatest grid volts; a search may stray. Other laws: never.
 * errs RW_E_RANGE at 'valve.points' with the span and how far it went */
RW_MUST_USE rw_status rw_valve_points_reach(const rw_valve_law *law, const rw_swing *swing, const rw_class_c *point, rw_error *err);

/* Fit of the divided law to typical operation rows (mu held): perveance and division by least squares on DC anode and grid current,
 * at the operating point each row states: efficiency and drive a grid ampere give the swings, whatever the perveance (fit.c). */
typedef struct rw_operation {
	double anode_voltage_dc, grid_bias;      /* V */
	double anode_current_dc, grid_current_dc;/* A */
	double drive_power, output_power;        /* W */
} rw_operation;
typedef struct rw_valve_fit {
	double perveance, division;              /* the fit */
	double anode_current_error[16], grid_current_error[16];   /* relative, each row: model / row - 1 */
	bool   used[16];
} rw_valve_fit;
/* in n rows, 1..16 (one row fixes both figures exactly); the rows with used[i] set by the caller take part, the others only get their error told. errs RW_E_NOSOLVE */
RW_MUST_USE rw_status rw_valve_fit_rows(double mu, const rw_operation *rows, int n, rw_valve_fit *fit, rw_error *err);


/* Fit of the divided law to points (points_fit.c): Levenberg-Marquardt on errors relative to the current and a twentieth of the greatest.
 * in   n points, 2..4096; mu_held NAN: found too. errs RW_E_NOSOLVE, RW_E_RANGE */
typedef struct rw_valve_point { double anode_voltage, grid_voltage, anode_current, grid_current; } rw_valve_point;
typedef struct rw_points_fit {
	double perveance, mu, division;          /* division NAN: no point has grid current */
	double anode_error_rms, grid_error_rms;  /* 1: of the greatest current */
	double anode_error_most, grid_error_most;/* 1: of the greatest current, signed */
	int    anode_worst, grid_worst;          /* points they are at */
} rw_points_fit;
RW_MUST_USE rw_status rw_valve_fit_points(const rw_valve_point *points, int n, double mu_held, rw_points_fit *fit, rw_error *err);

#endif
