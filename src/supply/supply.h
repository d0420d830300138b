/* HT supply: diodes on a transformer with reactance and resistance, smooth direct current. Connections: connection.h.
 * Model: overlap in its modes (closed forms), resistive drop of the conducting phases (a bridge: 2 R I_d), constant volts a diode. Two
 * secondaries: each has half the rating and its own impedance, none in common; in parallel they share by an interphase transformer. Direct current without ripple (the unfiltered valve load is close to it on the mean). Copper resistance
 * does not act on the overlap itself.
 * Reading order: rw_supply_in, rw_supply_choose (open parts), rw_supply_at (what it gives at a direct current). */
#ifndef RW_SUPPLY_SUPPLY_H
#define RW_SUPPLY_SUPPLY_H

#include "item/item.h"

enum { RW_DUTY_NO_LOAD, RW_DUTY_FULL_LOAD };
enum { RW_WINDING_STAR, RW_WINDING_DELTA };

typedef struct rw_supply_in {
	double duty_voltage_dc;          /* V: what the bridge must give, at nominal mains; want (the valve's operating point when open) */
	double duty_current_dc;          /* A: at that voltage; want; optional (likewise) */
	double secondary_voltage_rms;    /* V line to line of (each) secondary, no load, nominal mains; single phase: of the winding */
	double secondary_voltage_step;   /* V: rounding of it; rule R9: 50 V */
	double secondary_steps_added;    /* 1: steps beyond what the duty needs, raised until the frozen set gives the heat wanted; R9: 0 */
	double rated_power;              /* VA on no-load volts, all secondaries */
	double rated_power_step;         /* VA: rounding; rule: 100 VA */
	double short_circuit_voltage;    /* 1: impedance on rated_power; R9: 5 % */
	double short_circuit_resistance; /* 1: its resistive part; R9: 1.5 % */
	double iron_loss_fraction;       /* 1 of rated_power; R9: 0.5 % */
	double diode_voltage_pk;         /* V: repetitive reverse volts of one device; R9: 1.2 kV */
	double diode_margin;             /* 1: R9: 2.5 */
	double diode_drop_dc;            /* V a device; R9: 1 V */
	int32_t duty_basis;              /* choice no_load | full_load: what duty_voltage_dc means; R9: full_load */
	int32_t diodes_in_series;        /* in each arm */
	int32_t connection;              /* choice of connection.h; R22: bridge */
	int32_t primary_winding;         /* choice star | delta; R22: delta; not in single_phase */
	int32_t secondary_winding;       /* choice star | delta of a bridge; R22: star. 12-pulse has one of each, half_wave a star */
	int32_t unused;
} rw_supply_in;

/* What the room must know of the mains. */
typedef struct rw_mains {
	double voltage_rms;              /* V line to line, nominal */
	double frequency;                /* Hz */
	double high;                     /* 1: greatest over nominal */
} rw_mains;

typedef struct rw_supply_set {
	double voltage_factor;              /* 1: no-load direct volts over secondary volts */
	double rating_factor;               /* 1: VA of all secondaries over secondary volts times direct current */
	double resistance_factor;           /* 1: resistive drop over the direct current in one phase's resistance */
	double bridge_share;                /* 1: direct current of one bridge over all of it */
	double pulses, secondaries, arms_in_series;   /* 1 */
	double ripple_frequency;            /* Hz of the direct volts */
	double turns_ratio;                 /* 1: primary turns over those of the (star, when there are two) secondary */
	double primary_rating, winding_rating;        /* VA of the primary, and half the sum of all windings: the size of the iron */
	double rated_secondary_current_rms; /* A line, of one secondary at rated_power */
	double rated_primary_current_rms;   /* A line */
	double nominal_no_load_voltage_dc;  /* V, nominal mains; a bridge: 3 sqrt(2)/pi x secondary line volts */
	double no_load_voltage_pk;          /* V: greatest direct volts at no load, mains high */
	double phase_reactance;             /* ohm per phase on the secondary */
	double phase_resistance;            /* ohm per phase on the secondary */
	double duty_secondary_current_rms;  /* A line of one secondary, at duty_current_dc, overlap left out */
	double diode_inverse_voltage_pk;    /* V: inverse volts of one arm, mains high, no load */
	double iron_loss;                   /* W */
	double short_circuit_current_rms;   /* A line on the secondary, stiff mains */
	double short_circuit_current_pk;    /* A line on the secondary, first peak with its offset */
} rw_supply_set;

typedef struct rw_supply_case {
	double no_load_voltage_dc;       /* V at this mains */
	double voltage_dc;               /* V at the bridge's output under load */
	double current_dc;               /* A */
	double output_power;             /* W */
	double regulation;               /* 1: fall of the direct volts from no load, of those at no load */
	double bridge_current_dc;        /* A: of one bridge */
	double commutation_ratio;        /* 1: bridge_current_dc over the peak line-to-line short-circuit current; a bridge's mode 1 up to 0.5 */
	double overlap_delay;            /* rad: commutation starts so late after the crossing of the line volts; 0 in mode 1 */
	double overlap_angle;            /* rad: two diodes of one side conduct together */
	double overlap_drop_dc, resistive_drop_dc;   /* V */
	double arm_drop_dc;              /* V: the diodes of the two conducting arms */
	double secondary_current_rms;    /* A line of one secondary, overlap counted in all modes */
	double secondary_current_fund_rms; /* A */
	double star_current_rms, delta_current_rms;   /* A in a winding of the star, of the delta; 0: there is none */
	double primary_current_rms;      /* A line, without iron loss and magnetising current */
	double primary_winding_current_rms;           /* A */
	double diode_current_mean, diode_current_rms; /* A of one arm */
	double displacement_factor;      /* 1: cos phi of that fundamental against the source's volts */
	double copper_loss, diode_loss;  /* W; copper is the resistive drop times I_d: a bridge's at most 5 % too much in mode 1, half-wave's by what
	                                  * the primary does not carry of the direct current, at most a third of the primary's share */
	double mains_power;              /* W */
	double mains_current_rms;        /* A line; magnetising current left out */
	double apparent_power;           /* VA */
	double power_factor;             /* 1 */
} rw_supply_case;

extern const rw_room rw_supply_room;

/* Fills the open members of *in (NAN, INT32_MIN, -1), rule R9; a given member stays, whichever they are. duty_voltage_dc and
 * duty_current_dc must be there.
 * errs RW_E_MISSING; RW_E_NOSOLVE (the impedance is too great for the duty) */
RW_MUST_USE rw_status rw_supply_choose(rw_supply_in *in, const rw_mains *mains, rw_error *err);

/* Figures of the set. errs RW_E_RANGE (resistive part not under the whole impedance) */
RW_MUST_USE rw_status rw_supply_set_solve(const rw_supply_in *in, const rw_mains *mains, rw_supply_set *out, rw_error *err);

/* What it gives at a direct current and a mains factor. errs RW_E_RANGE where the current would leave no volts. cost about 100 flops a
 * call of rw_supply_voltage (only the volts, for the loop); rw_supply_at gives all. */
RW_MUST_USE rw_status rw_supply_voltage(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, double current_dc,
    double *voltage_dc, rw_error *err);
RW_MUST_USE rw_status rw_supply_at(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor,
    double current_dc,
                                   rw_supply_case *out, rw_error *err);

#endif
