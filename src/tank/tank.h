/* The tank in all its topologies: feedback by a grid winding, a capacitive divider or a tapped inductor; the load in the tank's branch or
 * behind a coupled secondary; shunt or series feed; one valve, or two in antiphase (docs/decisions/0012).
 * Model: linear network at one frequency (circuit room); inductor losses by their unloaded Q, capacitor losses by their loss tangent; of
 * strays only the valve's own capacitances, where they are given. Two sides: the odd-mode half circuit of one of them; valves in parallel on a side are one to it; parts and
 * stresses told are of whole parts.
 * Reading order: rw_tank_in, network.c (rw_tank_build), rw_tank_tune, rw_tank_solve, choose.c, by_hand.c. */
#ifndef RW_TANK_TANK_H
#define RW_TANK_TANK_H

#include "circuit/circuit.h"
#include "item/item.h"

enum { RW_FEEDBACK_WINDING, RW_FEEDBACK_CAPACITIVE, RW_FEEDBACK_INDUCTIVE };
enum { RW_COUPLING_SERIES, RW_COUPLING_SECONDARY };
enum { RW_FEED_SHUNT, RW_FEED_SERIES };
enum { RW_EARTHED_CATHODE, RW_EARTHED_ANODE };
enum { RW_ONE_VALVE, RW_PUSH_PULL };
enum { RW_OF_TANK, RW_OF_BLOCKING, RW_OF_BYPASS, RW_OF_DIVIDER_ANODE, RW_OF_DIVIDER_GRID, RW_OF_SECONDARY };   /* place of a capacitor */
enum { RW_BY_NOTHING = -1, RW_BY_VOLTS, RW_BY_REACTIVE, RW_BY_CURRENT };                    /* segment of a capacitor's rating */
enum { RW_CAPACITORS_MAX = 12, RW_RESONANCES_MAX = 8 };

/* One capacitor of the tank as bought: so many equal units in parallel and in series. */
typedef struct rw_capacitor_in {
	double voltage_pk_max;         /* V, DC and RF peak together, of one unit; optional */
	double current_rms_max;        /* A of one unit; optional */
	double reactive_max;           /* var of one unit; optional */
	double in_parallel, in_series; /* 1, whole; R14: 1 */
	int32_t place, unused;         /* choice; required */
} rw_capacitor_in;

typedef struct rw_tank_in {
	double capacitance;            /* F; R5; capacitive feedback: of the divider in series, from which its parts are chosen */
	double capacitance_step;       /* F: rounding up of it; R5: 100 pF */
	double inductance;             /* H; inductive feedback: from anode to tap; R4, R5 */
	double inductor_q;             /* 1, unloaded; R6: 250 */
	double loss_tangent;           /* 1, of all capacitors; R6: 1e-3 */
	double grid_mutual;            /* H between tank inductor and grid winding; R7; winding only */
	double grid_mutual_low, grid_mutual_high, grid_mutual_step;   /* H: span and step over which it can be turned; optional, winding only */
	double grid_coupling;          /* 1: coupling factor of winding or tap; R7: 0.3 */
	double grid_inductance;        /* H of the grid winding; R7: (M/k)^2/L; of the tapped inductor's grid part; R14; not capacitive */
	double divider_anode_capacitance, divider_grid_capacitance;   /* F; R14; capacitive only */
	double blocking_capacitance;   /* F; R6: reactance 2 % of the anode load resistance; shunt feed only */
	double choke_inductance;       /* H; R6: reactance 10 times it; shunt feed only */
	double bypass_capacitance;     /* F; R14: reactance 0.5 % of it; series feed only */
	double grid_choke_inductance;  /* H; R14; where the leak's current has no other way */
	double choke_self_capacitance; /* F of the feed choke; optional, shunt feed only */
	double q_wanted;               /* 1: loaded Q; R14: 15; secondary only */
	double secondary_inductance;   /* H; R14; secondary only */
	double secondary_mutual;       /* H between tank inductor and it; R14 */
	double secondary_capacitance;  /* F in series in the secondary mesh; R14: with an inductive load */
	double secondary_q;            /* 1, unloaded; R14: 250 */
	double q_min, q_max;           /* 1: loaded Q practice accepts; R5: 8, 40 */
	double phase_error_max;        /* rad: of the grid volts; R7: 10 deg */
	int32_t feedback, coupling, feed, earth, arrangement, n_capacitors;   /* choices; R14 */
	rw_capacitor_in capacitors[RW_CAPACITORS_MAX];
} rw_tank_in;

/* The own capacitances of the valves of one side together, F; NAN: not modelled. */
typedef struct rw_tank_valve { double anode_grid, grid_cathode, anode_cathode; } rw_tank_valve;

/* What hangs on the generator's terminals at one frequency: leads, output transformer, coil and work together, in series form. */
typedef struct rw_tank_load { double resistance, reactance; } rw_tank_load;   /* ohm */

typedef rw_status (*rw_tank_load_at)(void *context, double frequency, rw_tank_load *load, rw_error *err);

/* The resonance the set runs at: of those whose grid volts are within 45 degrees of opposition the one of greatest ratio / conductance. */
typedef struct rw_tank_tuning {
	double frequency;              /* Hz: imaginary part of the anode's admittance zero, grid circuit open */
	double conductance;            /* S: real part there, of one side: of all valves in parallel there */
	double ratio;                  /* 1: grid volts over anode volts, in opposition */
	double phase_error;            /* rad: of the grid volts from exact opposition */
	int    n_found, n_others;      /* resonances in the span; those kept below */
	double others[RW_RESONANCES_MAX];   /* Hz: the other ones */
} rw_tank_tuning;

/* Of the set. A resonance that does not exist, or of a choke whose own capacitance is not given, is zero. */
typedef struct rw_tank_set {
	double valve_capacitances;     /* 1: how many of the valve's capacitances are in the network */
	double secondary_capacitors;   /* 1: 1 where the secondary mesh has a capacitor */
	double anode_at_ht, tank_at_ht;/* 1 or 0: stands at the high tension */
	double choke_capacitances;     /* 1: 1 where the feed choke's own capacitance is given */
	double choke_self_resonance;   /* Hz */
	double choke_blocking_resonance;   /* Hz; shunt feed */
} rw_tank_set;

typedef struct rw_capacitor_case {
	double voltage_pk;             /* V, DC and RF peak, of one unit */
	double current_rms;            /* A of one unit */
	double reactive;               /* var of one unit */
	double rf_voltage_allowed_rms; /* V of one unit at the case's frequency; 0 when no rating is given */
	double segment;                /* 1: what governs it: 0 volts, 1 reactive power, 2 current; -1: no rating is given */
} rw_capacitor_case;

/* Of whole parts; blocking, bypass and chokes: of each side's. What does not exist in the topology is zero. */
typedef struct rw_tank_case {
	double anode_load_resistance;  /* ohm: 1/conductance at the anode of one side */
	double loaded_q;               /* 1 */
	double phase_error;            /* rad */
	double power;                  /* W: taken from the anodes by tank, leads, coil and work */
	double capacitor_voltage_pk;   /* V; capacitive feedback: of the divider's anode part */
	double capacitor_current_rms;  /* A */
	double capacitor_reactive;     /* var */
	double capacitor_loss;         /* W, tank (divider), blocking and bypass capacitors */
	double inductor_current_rms;   /* A */
	double output_current_rms;     /* A at the generator's terminals */
	double inductor_voltage_pk;    /* V */
	double inductor_loss;          /* W */
	double blocking_voltage_pk;    /* V: HT and RF peak together */
	double blocking_current_rms;   /* A */
	double choke_current_rms;      /* A, RF part */
	double grid_winding_voltage_pk;/* V, winding or the tapped inductor's grid part */
	double grid_inductor_current_rms, grid_inductor_loss;         /* A, W: the tapped inductor's grid part */
	double divider_grid_voltage_pk, divider_grid_current_rms;     /* V, A */
	double bypass_voltage_pk, bypass_current_rms;                 /* V: HT and RF peak together, A */
	double grid_choke_current_rms;                                /* A, RF part */
	double secondary_inductor_voltage_pk, secondary_inductor_loss;/* V, W */
	double secondary_capacitor_voltage_pk, secondary_capacitor_loss;   /* V, W */
	rw_capacitor_case capacitors[RW_CAPACITORS_MAX];
} rw_tank_case;

extern const rw_room rw_tank_room;

enum {
	RW_TANK_BLOCKING, RW_TANK_CAPACITOR, RW_TANK_INDUCTOR, RW_TANK_LOAD, RW_TANK_CHOKE, RW_TANK_WINDING, RW_TANK_DIVIDER_GRID, RW_TANK_BYPASS,
	RW_TANK_GRID_CHOKE, RW_TANK_SECONDARY, RW_TANK_SECONDARY_CAPACITOR, RW_TANK_ANODE_GRID, RW_TANK_GRID_CATHODE, RW_TANK_ANODE_CATHODE,
	RW_TANK_PARTS
};
enum { RW_TANK_PORT_ANODE, RW_TANK_PORT_GRID };

/* The network of one side: its half of the circuit where there are two. part: index into net, or -1. */
typedef struct rw_tank_net { rw_net net; int part[RW_TANK_PARTS]; } rw_tank_net;

/* Anodes of the tank: two in push-pull. How many valves hang on each is no concern of the tank (rw_line_valves counts them all). */
static inline int rw_tank_sides(const rw_tank_in *in) { return in->arrangement == RW_PUSH_PULL ? 2 : 1; }
bool rw_tank_has_grid_choke(const rw_tank_in *in);
/* The parts as one valve of a pair sees them: half of every part that reaches from side to side. */
rw_tank_in rw_tank_half(const rw_tank_in *in);
double rw_tank_ht_capacitance(const rw_tank_in *in);   /* F: what of the tank is charged to the HT: blocking or bypass capacitors */
double rw_tank_tap_mutual(const rw_tank_in *in);   /* H between the parts of the tapped inductor */

/* The network at one frequency. valve may be NULL. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_tank_build(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, rw_tank_net *out,
    rw_error *err);
/* What the network of a part at fault is called in the file. */
rw_status rw_tank_name_part(rw_status status, const rw_tank_net *net, rw_error *err);

/* Resonance in [low, high]. errs RW_E_NOSOLVE when there is none; RW_E_RANGE when every phase error is over 45 degrees; those of load_at
 * cost 48 solves of the network (behind a secondary 96, and 48 around each found) and about 10 a resonance; of two within two steps both may be
 * missed */
RW_MUST_USE rw_status rw_tank_tune(const rw_tank_in *in, const rw_tank_valve *valve, rw_tank_load_at load_at, void *context, double low,
                                   double high, rw_work *work, rw_tank_tuning *out, rw_error *err);

/* Stresses and losses at a tuning, anode swing and HT. */
RW_MUST_USE rw_status rw_tank_solve(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load,
    const rw_tank_tuning *tuning,
                                    double anode_swing_pk, double anode_voltage_dc, rw_work *work, rw_tank_case *out, rw_error *err);
/* Figures of the set. */
void rw_tank_set_solve(const rw_tank_in *in, const rw_tank_valve *valve, rw_tank_set *out);
/* Ratings of the capacitors of the list, from the figures of the case (capacitors.c). */
void rw_tank_rate_capacitors(const rw_tank_in *in, double frequency, double anode_voltage_dc, double crest_ratio, rw_tank_case *out);
/* Peaks brought to the crest of a rippled HT: *out solved at the rms equivalent of the swing, which at the crest is crest_ratio times that. */
void rw_tank_at_crest(const rw_tank_in *in, double frequency, double anode_voltage_dc, double anode_voltage_crest, double crest_ratio,
    rw_tank_case *out);

/* ---- choosing (choose.c): rules R4 to R7 and R14 ---- */

/* What the tank is to do at the wanted frequency. */
typedef struct rw_tank_want {
	double frequency;              /* Hz */
	rw_tank_load load;             /* ohm there */
	double output_current_rms;     /* A the load is to carry */
} rw_tank_want;

/* Choices and figures that depend on nothing. */
void rw_tank_choose_constants(rw_tank_in *in);
/* Combinations that cannot be, and parts given that the topology has not. errs RW_E_VALUE; a capacitor is named by its place in the list
 * counted from 1: tank.capacitors.2.place */
RW_MUST_USE rw_status rw_tank_check(const rw_tank_in *in, rw_error *err);
/* What the valves of one side have to give to a tank still to be built, at its swings. errs RW_E_NOSOLVE */
RW_MUST_USE rw_status rw_tank_power_for(const rw_tank_in *in, const rw_tank_want *want, double anode_swing_pk, double grid_swing_pk,
                                        double *power, rw_error *err);
/* The open parts, for one valve's swings: capacitor up to its step, then the inductor for the wanted frequency (on the network itself where
 * no closed form is exact), then the feedback. Parts given are kept. errs RW_E_NOSOLVE, RW_E_RANGE */
RW_MUST_USE rw_status rw_tank_choose(rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_want *want, double anode_swing_pk,
                                     double grid_swing_pk, rw_work *work, rw_error *err);

/* ---- the same losses by another way (by_hand.c): branch by branch in complex arithmetic, no nodal equations ---- */
typedef struct rw_tank_losses {
	double output_rms2;            /* A^2 at the terminals */
	double inductor, grid_inductor, capacitors, secondary_inductor, secondary_capacitor;   /* W of all valves */
} rw_tank_losses;
rw_tank_losses rw_tank_losses_by_hand(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, double frequency,
                                      double anode_swing_pk);

#endif
