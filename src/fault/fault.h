/* Standing faults: what the set does when it does not oscillate, with its coil shorted or its leads open, with a mains phase missing, with
 * bleeder or choke open. Each by a small model of its own; none of them is an operating state, all of them last until somebody or something
 * switches off.
 * Models
 *   not oscillating   grid leak without grid current: no bias, the valves are diodes. The point where their law at zero grid volts meets the
 *                     supply's regulation; where the supply is held to a current, the volts fold until the valves take that current.
 *   load circuit      the tank on another load, balanced off the cases by the chain; without a way for the tank's current it cannot oscillate.
 *   phase missing     ideal transformer and diodes, no overlap, a load like a resistance (phase.h).
 *   bleeder, choke    electrostatics.
 * Not modelled: heating of the anode over time (its energy stands for it), arcs, the fault current of a short on the DC side (protection).
 * Reading order: rw_fault_in, rw_fault_choose, rw_fault_stopped, phase.h, rw_fault_earthing. Theory: docs/theory/faults.md. */
#ifndef RW_FAULT_FAULT_H
#define RW_FAULT_FAULT_H

#include "fault/phase.h"
#include "item/item.h"
#include "supply/supply.h"
#include "valve/valve.h"

typedef struct rw_fault_in {
	double anode_time;            /* s: how long an anode bears its rated dissipation on top of what it carries; R25: 1 s */
	double anode_energy;          /* J: what an anode bears on top of what it carries; R25: rated dissipation times that */
	double earthing_resistance;   /* ohm in the earthing device; R25: 100 ohm */
} rw_fault_in;

/* Figures of the set. Volts and currents DC. _low, _nominal, _high: mains. */
typedef struct rw_fault_set {
	double stopped_voltage_low, stopped_voltage_nominal, stopped_voltage_high;   /* V at the anodes, not oscillating, no current limit */
	double stopped_current_low, stopped_current_nominal, stopped_current_high;   /* A of all valves */
	double stopped_loss_low, stopped_loss_nominal, stopped_loss_high;            /* W in each anode */
	double stopped_mains_current_rms;      /* A line, mains high */
	double current_limited;                /* 1: the supply is held to a current, which the valves reach when they do not oscillate; else 0 */
	double limited_voltage_dc;             /* V at the anodes, folded; only with a limit they reach */
	double limited_current_dc;             /* A of all valves */
	double limited_loss;                   /* W in each anode */
	double stopped_loss;                   /* W in each anode, mains high, with the limit where there is one */
	double anode_bears_time;               /* s until that has put its energy into the anode */
	double primary_line_share;             /* 1: mean HT over normal with one primary line missing */
	double primary_line_ripple;            /* 1: rms at twice the mains frequency over that mean */
	double primary_line_current;           /* 1: greatest current left in a line over normal, into the same resistance */
	double secondary_line_share, secondary_line_ripple, secondary_line_current;   /* 1: the same with one secondary line missing */
	double phase_greatest_share;           /* 1: the greater mean of the two: what must not be taken for low mains */
	double earthing_current_pk;            /* A when the earthing device meets the full HT, bleeder open */
	double earthing_time_constant;         /* s */
	double earthing_time;                  /* s to safe volts through it */
	double earthing_energy;                /* J: all stored energy, into its resistor */
	double choke_voltage_dc;               /* V left on the blocking capacitors with the feed choke open; shunt feed */
	double choke_energy;                   /* J, which neither bleeder nor a device on the supply's side reaches; shunt feed */
	double empty_voltage_share;            /* 1: greatest tank volts with the empty coil over the greatest loaded; only with an empty coil */
	double empty_leak;                     /* ohm: least E24 leak that brings the empty coil's grid current under its limit; only where over */
	double empty_leak_heat;                /* 1: heat in the judged state at nominal mains with it over now, less 1 */
	double empty_leak_drive;               /* 1: drive there, likewise */
	double empty_leak_efficiency;          /* 1: efficiency there less now */
	double empty_ht_share;                 /* 1: of the secondary volts now, which would do it instead; only where over */
	double empty_ht_heat;                  /* 1: heat with it over now, less 1 */
} rw_fault_set;

/* A job's load circuit at fault, mains high. Of each valve where several share the work. */
typedef struct rw_load_fault {
	double oscillates;                     /* 1, or 0: then as not oscillating */
	double frequency;                      /* Hz; this and what follows only when it oscillates */
	double anode_voltage_dc, anode_swing_pk;         /* V */
	double anode_current_dc, grid_current_dc;        /* A */
	double anode_loss, grid_loss;          /* W */
	double tank_power;                     /* W the tank takes: all of it heat in the set */
	double terminal_current_rms;           /* A at the generator's terminals */
	double inductor_current_rms;           /* A in the tank inductor */
	double capacitor_voltage_pk;           /* V, tank capacitor */
	double capacitor_share;                /* 1: worst of the listed capacitors, figure over rating; 0: none has a rating */
	double capacitor_voltage_share;        /* 1: the same of their volts alone, which break down at once */
	double trip_sees;                      /* 1: the trip on grid current sees it and clears it; 0: it stands */
} rw_load_fault;

typedef struct rw_load_fault_set { rw_load_fault shorted, open; } rw_load_fault_set;   /* per job */

extern const rw_room rw_fault_room, rw_load_fault_room;

/* R25. errs RW_E_RANGE (an anode rating that is none) */
RW_MUST_USE rw_status rw_fault_choose(rw_fault_in *in, double anode_dissipation_max, rw_error *err);

/* What the static point stands on. */
typedef struct rw_stopped_problem {
	rw_valve_law law;
	int valves;                            /* of the set, all alike */
	const rw_supply_in  *supply;
	const rw_supply_set *supply_set;
	double bleeder_resistance;             /* ohm */
	double series_resistance;              /* ohm between supply and anodes, bleeder before it */
	double mains_factor;                   /* 1 */
	double current_limit_dc;               /* A the supply is held to; INFINITY: none */
} rw_stopped_problem;

typedef struct rw_stopped {
	double voltage_dc;                     /* V at the anodes */
	double current_dc;                     /* A of all valves */
	double supply_current_dc;              /* A, bleeder with it */
	double loss;                           /* W in each anode */
	int32_t limited, unused;               /* 1: at the limit, volts folded */
} rw_stopped;

/* The static point. One root: valve current rises with the volts and the supply's volts fall with the current; bracketed, to 1e-13.
 * errs RW_E_RANGE (no volts, no valves); those of the supply */
RW_MUST_USE rw_status rw_fault_stopped(const rw_stopped_problem *problem, rw_stopped *out, rw_error *err);

/* Discharge through the earthing device: V0 on a capacitance, no bleeder. */
typedef struct rw_earthing { double current_pk, time_constant, time, energy; } rw_earthing;   /* A, s, s to safe volts, J */
rw_earthing rw_fault_earthing(double voltage_dc, double capacitance, double resistance, double safe_voltage_dc);

#endif
