/* The self-oscillator at sinusoidal swings: where valve, tank, grid leak and supply balance, found by a scan over amplitude and solved,
 * not assumed; and the operating point that design starts from.
 * Model: level R with one harmonic. Anode swing and grid swing are sines in exact opposition; the balance is the fundamental's:
 *   (Ia1 - k Ig1)/Va1 = G,  k = Vg1/Va1 by the tank;  bias = -Rg Ig;  V_A = what the supply gives at Ia.
 * The grid's drive is taken from the anode circuit through the coupled winding. Harmonics in the tank are left out (a few tenths of a per
 * cent of power at loaded Q over 8, more on grid current).
 * Reading order: rw_oscillator_in, rw_oscillator_design (targets to operating point), rw_oscillator_solve (rating). */
#ifndef RW_OSCILLATOR_OSCILLATOR_H
#define RW_OSCILLATOR_OSCILLATOR_H

#include "base/work.h"
#include "item/item.h"
#include "valve/valve.h"

typedef struct rw_oscillator_in {
	double anode_voltage;            /* V DC wanted at full load; R2 */
	double half_angle;               /* rad wanted; R3 */
	double anode_voltage_min;        /* V least instantaneous wanted; R3 */
	double grid_leak;                /* ohm; R8 */
	double grid_capacitance;         /* F; R8 */
} rw_oscillator_in;

typedef struct rw_oscillator_set {
	double sides;                    /* 1: of the tank, 2 in push-pull */
	double valves;                   /* 1: how many share the work, all sides and all in parallel */
	double derates;                  /* 1 or 0: the valve's ratings fall above a frequency */
} rw_oscillator_set;

/* Volts, currents and powers of each valve. */
typedef struct rw_oscillator_case {
	double frequency;                /* Hz */
	double anode_voltage_dc;         /* V */
	double anode_swing_pk;           /* V */
	double swing_ratio;              /* 1: swing over anode_voltage_dc */
	double anode_voltage_peak;       /* V: greatest instantaneous */
	double load_resistance;          /* ohm: at the fundamental, as each valve sees it */
	double grid_bias;                /* V DC, negative */
	double grid_swing_pk;            /* V */
	double anode_current_dc, anode_current_fund_pk, anode_current_pk;   /* A */
	double grid_current_dc, grid_current_fund_pk;                       /* A */
	double cathode_current_pk;       /* A */
	double half_angle_of_flow;       /* rad, anode */
	double input_power;              /* W: V_A Ia */
	double output_power;             /* W: RF at the anode, drive included */
	double drive_power;              /* W: taken by the grid circuit */
	double leak_power;               /* W in the grid leak */
	double anode_loss, grid_loss;    /* W: means of volts times current over the cycle */
	double anode_current_greatest, anode_loss_greatest;      /* A DC, W: of the valve that takes most (share.c) */
	double grid_current_greatest, grid_loss_greatest, cathode_current_pk_greatest;   /* A DC, W, A pk */
	double sharing;                  /* 1: greatest over mean anode current */
	double frequency_derating;       /* 1: share of anode volts and dissipation the valve allows at the frequency */
	double anode_voltage_allowed, anode_loss_allowed;        /* V DC, W of each valve */
	double efficiency;               /* 1: (output - drive) over input */
	double anode_voltage_crest;      /* V at the crest of the HT; ripple not counted: anode_voltage_dc */
	double swing_crest_pk;           /* V there; ripple not counted: anode_swing_pk, else that is the rms equivalent over the cycle */
	double power_of_means;           /* W: mean volts times mean current of each valve */
	double power_of_means_error;     /* 1: relative to the mean of the product */
	double settling_time;            /* s: the slowest of grid leak, tank, and the capacitor that carries the HT */
	double settling_share;           /* 1: over the period of the ripple */
	double loop_gain;                /* 1: at 2 % swing and the leak's own bias; over 1: it builds up */
	double solutions;                /* 1: number of amplitudes that balance, stable or not */
	double quadrature_error;         /* 1: relative, of the class C means */
} rw_oscillator_case;

extern const rw_room rw_oscillator_room;

/* V_A at a direct anode current of each valve. */
typedef rw_status (*rw_supply_volts)(void *context, double current_dc, double *voltage_dc, rw_error *err);

typedef struct rw_oscillator_problem {
	rw_valve_law law;
	double conductance;              /* S: the tank's as one valve sees it: that of its side over the valves in parallel there */
	double ratio;                    /* 1: grid over anode swing */
	double frequency;                /* Hz, passed through */
	double grid_leak;                /* ohm */
	rw_supply_volts supply;
	void  *supply_context;
	double voltage_scale;            /* V: no-load HT; the scan goes to 1.3 times it */
} rw_oscillator_problem;

enum { RW_AMPLITUDES_MAX = 8 };
typedef struct rw_amplitude { double swing_pk; bool stable; } rw_amplitude;
typedef struct rw_oscillator_scan {
	int n;                           /* balances found */
	rw_amplitude at[RW_AMPLITUDES_MAX];
	double loop_gain;                /* at 2 % */
	double residual;                 /* of the chosen balance, relative to conductance */
	int evaluations;                 /* class C points */
} rw_oscillator_scan;

/* All amplitudes at which the set oscillates; *out is the greatest-amplitude stable one that a build-up from small swing reaches.
 * out   *scan what was found, filled also on RW_E_NOSOLVE
 * errs  RW_E_NOSOLVE 'does not oscillate', with the loop gain; those of the supply
 * error control: Brent to 1e-12 of the swing over class C means good to 1e-10; scan of 60 amplitudes, so a pair of balances closer than
 *       2 % of swing can be missed */
RW_MUST_USE rw_status rw_oscillator_solve(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan,
    rw_oscillator_case *out,
                                          rw_error *err);

/* The balance of a problem close to one solved before: looked for within 2 % of that swing, by the full scan where it is not there. What is found
 * is what rw_oscillator_solve finds, unless the number of balances has changed in between.
 * in,out  *scan, *out of the problem before   errs, error control as rw_oscillator_solve; cost about a third */
RW_MUST_USE rw_status rw_oscillator_follow(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan,
    rw_oscillator_case *out, rw_error *err);

/* How far one valve may lie from the mean of its type, relative, to either side. */
typedef struct rw_spread { double perveance, mu; } rw_spread;

/* The valve that takes most (share.c): at the swings of *out, which all valves share, a valve of each corner of the spread on its own leak.
 * Each figure is the greatest over the corners and the mean valve. The mean valve stands for the others in the balance: what that leaves out
 * is in docs/theory/valves.md.
 * in,out  *out a solved case; the figures *_greatest and sharing are filled, the mean valve's own without spread
 * errs    those of rw_class_c_solve     error control: leak's bias to 1e-12 of the grid swing over class C means good to 1e-10 */
RW_MUST_USE rw_status rw_oscillator_share(const rw_valve_law *mean, double grid_leak, const rw_spread *spread, rw_oscillator_case *out,
    rw_error *err);

/* The same from a guess: *out holds the swing and the anode volts looked around, first near, then from the least swing to 1.25 times it, then
 * by the full scan. For a supply that moves through its ripple: which of several balances is taken is the guess's neighbour.
 * errs, error control as rw_oscillator_solve; cost about a tenth near the guess */
RW_MUST_USE rw_status rw_oscillator_near(const rw_oscillator_problem *problem, const rw_work *work, rw_oscillator_scan *scan,
    rw_oscillator_case *out, rw_error *err);
/* Loop gain at 2 % of the voltage scale: over 1 it builds up. */
RW_MUST_USE rw_status rw_oscillator_gain(const rw_oscillator_problem *problem, double *gain, rw_error *err);

/* The operating point of one valve for a wanted half angle and least anode volts at which the valve, less drive, gives what the tank takes. */
typedef rw_status (*rw_tank_power_at)(void *context, double anode_swing_pk, double grid_swing_pk, double *power, rw_error *err);
typedef struct rw_oscillator_targets {
	double anode_voltage_dc;         /* V */
	double half_angle;               /* rad; NAN: rule R3 */
	double anode_voltage_min;        /* V; NAN: rule R3 */
	double anode_dissipation_max, grid_current_max;   /* W, A: ratings the rule looks at */
} rw_oscillator_targets;
typedef struct rw_operating_point {
	rw_swing swing;
	rw_class_c currents;
	double half_angle, anode_voltage_min;   /* rad, V: as used */
	double tank_power;                      /* W */
	bool   within;                          /* anode and grid under R3's share of their ratings */
} rw_operating_point;
/* errs RW_E_NOSOLVE when the valve cannot give the power at these volts, saying what it can give */
RW_MUST_USE rw_status rw_oscillator_design(const rw_valve_law *law, const rw_oscillator_targets *targets, rw_tank_power_at tank_power,
    void *context,
                                           rw_operating_point *out, rw_error *err);

#endif
