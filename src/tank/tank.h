/* The tank: anode inductor in series with leads and work coil, the tank capacitor across all (rule R4); shunt feed through a choke, a
 * blocking capacitor between anode and tank; a grid winding coupled to the tank inductor, phased so that its volts oppose the anode's.
 * Model: linear network at one frequency (circuit room); inductor loss by its unloaded Q, capacitor loss by its loss tangent. Strays are
 * not in it. Reading order: rw_tank_in, rw_tank_build, rw_tank_tune, rw_tank_solve. */
#ifndef RW_TANK_TANK_H
#define RW_TANK_TANK_H

#include "circuit/circuit.h"
#include "item/item.h"

typedef struct rw_tank_in {
	double capacitance;            /* F; R5 */
	double capacitance_step;       /* F: rounding up of it; R5: 100 pF */
	double inductance;             /* H; R4, R5 */
	double inductor_q;             /* 1, unloaded; R6: 250 */
	double loss_tangent;           /* 1, tank and blocking capacitor; R6: 1e-3 */
	double grid_mutual;            /* H between tank inductor and grid winding; R7 */
	double grid_coupling;          /* 1: coupling factor; R7: 0.3 */
	double grid_inductance;        /* H of the grid winding; R7: (M/k)^2/L */
	double blocking_capacitance;   /* F; R6: reactance 2 % of the anode load resistance */
	double choke_inductance;       /* H; R6: reactance 10 times it */
	double q_min, q_max;           /* 1: loaded Q practice accepts; R5: 8, 40 */
	double phase_error_max;        /* rad: of the grid volts; R7: 10 deg */
} rw_tank_in;

/* What hangs on the generator's terminals at one frequency: leads, output transformer, coil and work together, in series form. */
typedef struct rw_tank_load { double resistance, reactance; } rw_tank_load;   /* ohm */

typedef rw_status (*rw_tank_load_at)(void *context, double frequency, rw_tank_load *load, rw_error *err);

typedef struct rw_tank_tuning {
	double frequency;              /* Hz: imaginary part of the anode's admittance zero, grid circuit open */
	double conductance;            /* S: real part there */
	double ratio;                  /* 1: grid volts over anode volts, in opposition */
	double phase_error;            /* rad: of the grid volts from exact opposition */
	int    n_found;                /* resonances in the span */
} rw_tank_tuning;

typedef struct rw_tank_case {
	double anode_load_resistance;  /* ohm: 1/conductance at the anode */
	double loaded_q;               /* 1 */
	double phase_error;            /* rad */
	double power;                  /* W: taken from the anode by tank, leads, coil and work */
	double capacitor_voltage_pk;   /* V */
	double capacitor_current_rms;  /* A */
	double capacitor_reactive;     /* var */
	double capacitor_loss;         /* W, tank and blocking capacitor */
	double inductor_current_rms;   /* A */
	double output_current_rms;     /* A at the generator's terminals */
	double inductor_voltage_pk;    /* V */
	double inductor_loss;          /* W */
	double blocking_voltage_pk;    /* V: HT and RF peak together */
	double blocking_current_rms;   /* A */
	double choke_current_rms;      /* A, RF part */
	double grid_winding_voltage_pk;/* V */
} rw_tank_case;

extern const rw_room rw_tank_room;

enum { RW_TANK_BLOCKING, RW_TANK_CAPACITOR, RW_TANK_INDUCTOR, RW_TANK_LOAD, RW_TANK_CHOKE, RW_TANK_WINDING, RW_TANK_PARTS };
enum { RW_TANK_PORT_ANODE, RW_TANK_PORT_GRID };

/* The network at one frequency: parts in the order of the enum above. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_tank_build(const rw_tank_in *in, const rw_tank_load *load, rw_net *net, rw_error *err);

/* Resonance in [low, high]. errs RW_E_NOSOLVE when there is none; RW_E_RANGE when the phase error is over 45 degrees; those of load_at */
RW_MUST_USE rw_status rw_tank_tune(const rw_tank_in *in, rw_tank_load_at load_at, void *context, double low, double high, rw_work *work,
                                   rw_tank_tuning *out, rw_error *err);

/* Stresses and losses at a tuning, anode swing and HT. */
RW_MUST_USE rw_status rw_tank_solve(const rw_tank_in *in, const rw_tank_load *load, const rw_tank_tuning *tuning, double anode_swing_pk,
                                    double anode_voltage_dc, rw_work *work, rw_tank_case *out, rw_error *err);

#endif
