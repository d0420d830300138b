/* What guards the set: stored energy and how it leaves, the flash-arc in the valve and what limits it, the overcurrent and grid-current
 * trips. Rules R12 and R26. The bleeder is convenience, never the means: the outputs say so, and that discharge and earthing devices decide
 * (local codes, licensed practice).
 * Model of the flash-arc: an arc of constant drop between anode and cathode; stores that reach it through the surge resistor empty aperiodically
 * (or, with little resistance against the loop's inductance, are taken whole into the arc); stores straight at the anode ring and are
 * taken whole. The follow-on current of the supply is its dead-short current behind the surge resistor, from the first moment until cleared:
 * an upper bound.
 * Reading order: rw_protection_choose, rw_protection_solve (stored energy), rw_arc_solve (arc.c), rw_trips_choose and rw_trips_solve (trips.c). */
#ifndef RW_PROTECTION_PROTECTION_H
#define RW_PROTECTION_PROTECTION_H

#include "item/item.h"

enum { RW_STORES_MAX = 16 };
enum { RW_STORE_DIRECT, RW_STORE_RESISTOR };   /* how a store reaches an arc in the valve */
enum { RW_CROWBAR_NONE, RW_CROWBAR_FITTED };
enum { RW_GUARD_FITTED, RW_GUARD_NONE };

typedef struct rw_store_in {
	double capacitance;            /* F, between HT and earth */
	int32_t path, unused;          /* choice direct | resistor; R26: resistor from 20 nF up */
} rw_store_in;

typedef struct rw_protection_in {
	double safe_voltage_dc;        /* V; R12: 60 V (IEC 60204-1) */
	double safe_time;              /* s; R12: 5 s (same) */
	double bleeder_current;        /* A DC, least; R12: 5 mA */
	double bleeder_resistance;     /* ohm; R12 */
	/* flash-arc */
	double surge_current_pk_max;   /* A peak wanted at most from the stores behind the surge resistor; R26: 400 A */
	double surge_resistance;       /* ohm, in the HT between those stores and the anode; R26: 0 without such stores */
	double surge_inductance;       /* H of that loop; R26: 0 */
	double surge_energy_max;       /* J the surge resistor bears in one shot; optional */
	double arc_voltage_low, arc_voltage_high;   /* V: drop of the arc, from and to; R26: 20 V, 100 V */
	double clearing_time;          /* s from the arc to the end of the follow-on current; R26: time of the anode trip and 10 ms of the contactor */
	double fast_clearing_time;     /* s, of a fast device to compare with; R26: half a mains cycle */
	double arc_energy_guide;       /* J: where no maker's figure is given; R26: 50 J */
	double crowbar_time;           /* s from the arc to the firing; crowbar fitted; R26: 10 us */
	double crowbar_voltage;        /* V: drop of the crowbar; same; R26: 50 V */
	double anode_resistance;       /* ohm between crowbar and anode, in the HT too; crowbar fitted; R26: 30 ohm */
	double step_resistance;        /* ohm of a step start on the direct side; optional */
	double step_share;             /* 1 of the HT at which it is bypassed; R26: 95 % */
	double wire_diameter, wire_length;   /* m: copper wire of the test in place of the valve; R26: 0.2546 mm, 150 mm */
	/* trips */
	double anode_over_trip;        /* A, of the anode meter's reading; R26 */
	double anode_over_time;        /* s; R26: 50 ms */
	double grid_over_trip;         /* A, grid current of each valve; R26 */
	double grid_over_time;         /* s; R26: 200 ms */
	double grid_under_trip;        /* A, the same, while anode current flows; R26 */
	double grid_under_time;        /* s; R26: 200 ms, or what the anode bears */
	int32_t n_stores, crowbar;     /* crowbar: choice none | fitted */
	int32_t grid_under, phase_loss;   /* choices fitted | none; R26: fitted */
	rw_store_in stores[RW_STORES_MAX];   /* HT capacitors besides the tank's blocking capacitor: bypass, filter */
} rw_protection_in;

typedef struct rw_store_set { double energy; } rw_store_set;         /* J */
typedef struct rw_protection_set {
	double voltage_dc;             /* V: crest at no load, mains high: what unloaded capacitors charge to */
	double capacitance;            /* F: all stores and the blocking capacitor */
	double stored_energy;          /* J at voltage_dc */
	double stored_charge;          /* C */
	double bleeder_power;          /* W at voltage_dc */
	double discharge_time;         /* s to safe_voltage_dc through the bleeder alone */
	/* flash-arc, at voltage_dc */
	double series_resistance;      /* ohm: of surge and anode resistor, in the way of the anode current */
	double surge_capacitance;      /* F behind the surge resistor */
	double direct_capacitance;     /* F that reaches the anode past it */
	double surge_damped;           /* 1: aperiodic; 0: rings */
	double surge_current_pk;       /* A peak, arc drop low; NAN without resistor or store */
	double surge_energy;           /* J: all that is stored behind the resistor */
	double surge_resistor_energy;  /* J of it in the resistors, arc drop low */
	double surge_action;           /* A2s through the valve from those stores, arc drop low; NAN without resistor */
	double fault_current_dc;       /* A DC of the supply into the arc, mains high */
	double surge_follow_energy;    /* J in the surge resistor by that current until cleared */
	double direct_energy;          /* J: all of it into the arc */
	double arc_capacitor_energy_low, arc_capacitor_energy_high;   /* J into the arc from all stores, arc drop low and high */
	double follow_on_energy_low, follow_on_energy_high;           /* J into the arc from the supply until cleared */
	double follow_on_energy_fast;  /* J the same, arc drop high, cleared in fast_clearing_time */
	double follow_on_action;       /* A2s */
	double arc_energy;             /* J: both parts, greatest over the arc's drop */
	double arc_follow_share;       /* 1: of the follow-on in it, at most */
	double clearing_time_guide;    /* s: cleared in it, the arc stays under arc_energy_guide */
	double crowbar_charge;         /* C through the valve before it fires; NAN: none fitted */
	double crowbar_current_pk;     /* A; NAN: none fitted */
	double crowbar_energy;         /* J in the crowbar, of the stores; NAN: none fitted */
	double step_current_pk;        /* A; this and the next three NAN without step_resistance */
	double step_time;              /* s until it may be bypassed */
	double step_energy;            /* J in it until then */
	double step_voltage;           /* V across it then */
	double wire_melt_energy;       /* J */
	double wire_melt_action;       /* A2s */
	double wire_share;             /* 1: action of a shot over what melts the wire */
	/* trips: NAN while no case is solved */
	double anode_over_clearance;   /* 1: trip over greatest normal reading, less 1 (against nuisance) */
	double grid_over_clearance;    /* 1: same */
	double grid_under_clearance;   /* 1: 1 less trip over least normal grid current */
	double anode_over_reserve;     /* 1: 1 less trip over what the valves bear (protects); NAN without that rating */
	double grid_over_reserve;      /* 1: same, of the unloaded limit */
	double stopped_over_share;      /* 1: the anode meter's reading then over its trip; over 1: that trip sees it too */
	double stopped_energy;          /* J into each anode until the grid-under trip has cleared it, mains high */
	rw_store_set stores[RW_STORES_MAX];
} rw_protection_set;

typedef struct rw_protection_case {
	double bleeder_loss;           /* W under load */
	double surge_loss;             /* W in surge and anode resistor */
} rw_protection_case;

extern const rw_room rw_protection_room;

/* ohm in the way of the anode current: surge resistor, and anode resistor with a crowbar. */
double rw_protection_series(const rw_protection_in *in);
/* The surge resistor and what goes with it, before the supply is chosen. anode_voltage V DC wanted, mains_high 1.
 * Its rule reckons no-load volts as 1.1 times the anode volts: the check is on what the supply then gives. */
void rw_protection_choose_surge(rw_protection_in *in, double anode_voltage, double mains_high);

/* voltage_dc: no-load HT at mains high, V; blocking_capacitance F. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_protection_choose(rw_protection_in *in, double voltage_dc, double blocking_capacitance, rw_error *err);
/* Stored energy and discharge. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_protection_solve(const rw_protection_in *in, double voltage_dc, double blocking_capacitance,
    rw_protection_set *out, rw_error *err);

/* Flash-arc, crowbar, wire test, from in and the members rw_protection_solve fills. Closed forms; pure constant-drop arc.
 * short_circuit_current_dc  A: dead-short direct current of the supply, mains high
 * source_voltage_dc         V: where the straight line that bounds its characteristic meets no current (docs/theory/guards.md), mains high
 * errs RW_E_RANGE (the arc's drop over the HT, a drop range that falls) */
RW_MUST_USE rw_status rw_arc_solve(const rw_protection_in *in, double short_circuit_current_dc, double source_voltage_dc, rw_protection_set *out,
    rw_error *err);
/* Onderdonk's action that melts a copper wire from 40 degC, A2s; energy that melts it from 20 degC, J. diameter, length m. */
double rw_wire_melt_action(double diameter);
double rw_wire_melt_energy(double diameter, double length);

/* What the trips must know of the solved cases. NAN: no case, or no such rating. */
typedef struct rw_trip_facts {
	double anode_reading_greatest;   /* A: of the anode meter, over all cases */
	double grid_current_greatest, grid_current_least;   /* A of each valve, over all cases */
	double anode_reading_max;        /* A: that reading when its valves carry the greatest anode current they bear */
	double grid_current_max;         /* A each, unloaded limit */
	double stopped_reading;           /* A: of the anode meter when the set does not oscillate, mains low */
	double stopped_loss;              /* W into each anode then, mains high, with the current limit where there is one */
	double bears_time;               /* s an anode bears that; INFINITY: for ever */
} rw_trip_facts;

/* Rule R26 for open trips. Over trips: 1.25 (grid: 1.2) times the greatest normal, no more than half way from it to what the valve bears;
 * that limit itself where the normal is over it. Three digits. Under: half the least normal, two digits; in 200 ms, or in half of what the
 * anode bears less the clearing, from 20 ms up. */
void rw_trips_choose(rw_protection_in *in, const rw_trip_facts *facts);
/* Times, and what does not rest on cases. */
void rw_trips_choose_times(rw_protection_in *in, double mains_frequency);
/* Margins. */
void rw_trips_solve(const rw_protection_in *in, const rw_trip_facts *facts, rw_protection_set *out);

#endif
