/* HT supply: diodes on a transformer with reactance and resistance, smooth direct current. Connections: connection.h.
 * Model: overlap in its modes (closed forms), resistive drop of the conducting phases (a bridge: 2 R I_d), constant volts a diode. Two
 * secondaries: each has half the rating and its own impedance, none in common; in parallel they share by an interphase transformer. Direct
 * current without ripple (the unfiltered valve load is close to it on the mean). Copper resistance does not act on the overlap itself. Without
 * filter as a rule; one of choke and capacitor takes its ripple off order by order and leaves the mean but for the choke's resistance.
 * Theory: docs/theory/supply.md.
 * Reading order: rw_supply_in, rw_supply_choose (open parts), rw_supply_at (what it gives at a direct current). */
#ifndef RW_SUPPLY_SUPPLY_H
#define RW_SUPPLY_SUPPLY_H

#include "item/item.h"
#include "supply/ripple.h"
#include "supply/wave.h"

enum { RW_DUTY_NO_LOAD, RW_DUTY_FULL_LOAD };
enum { RW_WINDING_STAR, RW_WINDING_DELTA };
enum { RW_CONTROL_NONE, RW_CONTROL_TAP, RW_CONTROL_THYRISTOR, RW_CONTROL_VARIAC, RW_CONTROL_STAR_DELTA };   /* of the power */
enum { RW_RIPPLE_MEAN, RW_RIPPLE_CYCLE };

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
	double diode_sharing;            /* 1: volts of the worst diode of an arm over an equal share, aimed at; R22: 1.15 */
	double diode_leakage_spread;     /* A: greatest less least reverse current of its diodes; R22: 1 mA */
	double diode_charge_spread;      /* C: greatest less least recovered charge; R22: 1 uC */
	double sharing_resistance;       /* ohm across each diode; R22 */
	double sharing_capacitance;      /* F across each diode; R22 */
	double sharing_tolerance;        /* 1: of both; R22: 5 % */
	double filter_inductance;        /* H of the choke behind the rectifier; R22: 0, none */
	double filter_resistance;        /* ohm of it; R22: 0 */
	double filter_capacitance;       /* F behind the choke; R22: 0, none. Listed among protection.stores too */
	double diode_current_mean_max;   /* A: mean forward current of one diode; optional */
	double diode_surge_i2t;          /* A2 s of one diode; optional */
	double fault_clearing_time;      /* s: dead short to clear; R22: 0.1 s */
	double impedance_tolerance;      /* 1: how far the impedance may be from short_circuit_voltage; R22: 10 % */
	double demand_current_rms;       /* A line: what harmonics are a share of at the site; R22: the rated primary current */
	double current_limit_dc;         /* A: an electronic or saturating limit holds the supply to it; optional, read by the standing faults */
	double ratio_low, ratio_step;    /* 1: HT ratio of tap or variac, least and in steps of; R23 */
	double firing_angle_min, firing_angle_max, firing_angle_step;   /* rad: of the primary thyristors; R23 */
	int32_t control;                 /* choice: how the power is set; R23: none */
	int32_t ripple_counted;          /* choice mean | cycle: averages over the mains cycle; R23: cycle with thyristors */
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
	double fault_level_greatest;     /* VA; single phase: of the loop that feeds the transformer, V^2/|Z|; not above 0: stiff */
	double fault_level_least;        /* VA likewise; NAN: not known */
	double low;                      /* 1: least over nominal */
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
	double fault_current_rms;           /* A line on the secondary, terminals shorted: greatest fault level, least impedance, mains high */
	double fault_peak_factor;           /* 1: its first peak over its steady peak */
	double fault_current_pk;            /* A, its first peak */
	double fault_current_least_rms;     /* A: least fault level, greatest impedance, mains low; NAN: the least level is not known */
	double fault_current_dc;            /* A mean, direct terminals shorted, reactances alone, greatest fault level, least impedance, mains high */
	double fault_primary_current_rms;   /* A line on the mains side, of fault_current_rms */
	double fault_diode_i2t;             /* A2 s of one arm until the dead short is cleared, not more than: all of its line's, first offset with it */
	double diode_share_voltage_pk;      /* V: inverse volts of the worst diode of an arm, mains high, no load, sharing parts at their tolerance */
	double sharing_loss;                /* W in one sharing resistor, mains high, no load */
	double harmonic_limit_2, harmonic_limit_11, harmonic_limit_17, harmonic_limit_23, harmonic_limit_35, distortion_limit;
	                                    /* 1 of demand_current_rms, odd orders from this one on: rw_supply_limits; NAN: none */
	double site_ratio;                  /* 1: least short-circuit current of the mains over demand_current_rms; NAN: not known */
} rw_supply_set;

typedef struct rw_supply_case {
	double no_load_voltage_dc;       /* V at this mains */
	double source_factor;            /* 1: volts of the transformer over the nominal full ones: mains and HT ratio */
	double control_ratio;            /* 1: mean volts left by the firing angle */
	double conduction;               /* 1: share of the time in which current flows */
	double control_drop_dc;          /* V taken away by the firing angle */
	double voltage_dc;               /* V at the bridge's output under load */
	double current_dc;               /* A */
	double current_rms;              /* A: of the direct current with its ripple, when that is counted */
	double ripple_rms, ripple_pp;    /* V on the HT, behind a filter where there is one; ripple not counted and fired: of the ideal bridge at its angle */
	double bridge_power;             /* W: mean of source volts, less overlap, times current */
	double output_power;             /* W */
	double regulation;               /* 1: fall of the direct volts from no load, of those at no load */
	double bridge_current_dc;        /* A: of one bridge */
	double commutation_ratio;        /* 1: bridge_current_dc over the peak line-to-line short-circuit current; a bridge's mode 1 up to 0.5 */
	double overlap_delay;            /* rad: commutation starts so late after the crossing of the line volts; in mode 1 the firing angle */
	double overlap_angle;            /* rad: two diodes of one side conduct together */
	double overlap_drop_dc, resistive_drop_dc;   /* V */
	double arm_drop_dc;              /* V: the diodes of the two conducting arms */
	double secondary_current_rms;    /* A line of one secondary, overlap counted in all modes */
	double secondary_current_fund_rms; /* A */
	double star_current_rms, delta_current_rms;   /* A in a winding of the star, of the delta; 0: there is none */
	double primary_current_rms;      /* A line, without iron loss and magnetising current */
	double primary_winding_current_rms;           /* A */
	double diode_current_mean, diode_current_rms; /* A of one arm */
	double diode_heat;               /* W in one diode */
	double light_load_voltage_dc;    /* V with the bleeder alone: rw_supply_light_load */
	double voltage_pk;               /* V: greatest direct volts under load */
	double ripple_voltage_rms, ripple_voltage_pp;   /* V of the direct volts, unfiltered */
	double filtered_ripple_rms, filtered_ripple_pp;   /* V behind the filter, the load a resistance, the conducting phases in series with the
	                                                   * choke; without filter as before it */
	double critical_inductance;      /* H: least choke whose current does not stop with the bleeder alone: rw_supply_light_load */
	double primary_current_fund_rms; /* A line, without iron loss */
	double current_thd;              /* 1: of that line current */
	double harmonic_2_rms, harmonic_3_rms, harmonic_4_rms, harmonic_5_rms, harmonic_7_rms, harmonic_11_rms, harmonic_13_rms,
	       harmonic_17_rms, harmonic_19_rms, harmonic_23_rms, harmonic_25_rms;   /* A of that line current */
	double group_2_rms, group_11_rms, group_17_rms, group_23_rms, group_35_rms;  /* A: greatest from this order to the next group's */
	double total_demand_distortion;  /* 1: all harmonics together over demand_current_rms */
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
/* Limits of harmonics at the site: the row of the table in which set->site_ratio lies. Rows: rw_harmonic_columns, shares of the demand
 * current.   errs RW_E_RANGE: in no row */
enum { RW_HARMONIC_COLUMNS = 8 };
extern const rw_column rw_harmonic_columns[RW_HARMONIC_COLUMNS];
RW_MUST_USE rw_status rw_supply_limits(const rw_table *rows, rw_supply_set *set, rw_error *err);
/* Fills the figures of line harmonics from those by order, 0 to RW_LINE_ORDERS. */
void rw_supply_orders(const double *rms, rw_supply_case *out);
/* Ripple of a wave of direct volts behind the filter, on a load (ohm): each harmonic to the 600th; peak to peak of 1440 samples, too small by
 * under 1 % where the wave has a corner. Volts of the wave's own scale; phases do not matter to rms. */
void rw_supply_filter(const rw_supply_in *in, const rw_supply_set *set, const rw_wave *volts, double frequency, double load, double *rms, double *pp);
/* The bleeder alone (ohm): light_load_voltage_dc along the first mode's slope, and critical_inductance by the first order of the ripple, which
 * asks 0.6 to 0.8 % more than the whole of it (supply-and-protection references, section 7). */
void rw_supply_light_load(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, double bleeder_resistance, rw_supply_case *out);
RW_MUST_USE rw_status rw_supply_at(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor,
    double current_dc,
                                   rw_supply_case *out, rw_error *err);

/* ---- the power controlled (controlled.c): rule R23 ---- */

double rw_supply_pulses(const rw_supply_in *in);   /* of its connection */

/* What the operator has set. */
typedef struct rw_supply_setting { double ht_ratio, firing_angle; } rw_supply_setting;   /* 1, rad */

/* Fills the open members that belong to the kind of control. */
void rw_supply_choose_control(rw_supply_in *in);
/* Refuses limits that do not fit one another. errs RW_E_VALUE */
RW_MUST_USE rw_status rw_supply_check_control(const rw_supply_in *in, rw_error *err);
/* The source of one pulse at a mains factor and setting, and the resistance behind it, windings and commutation together. */
rw_ripple_source rw_supply_source(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, const rw_supply_setting *setting);
double rw_supply_resistance(const rw_supply_in *in, const rw_supply_set *set);
/* V taken from the no-load volts by the firing angle: ripple left out, or over the cycle. */
double rw_supply_control_drop(const rw_supply_in *in, const rw_supply_set *set, double mains_factor, const rw_supply_setting *setting);

/* Means over the pulse of the loaded HT, from which the figures of a case are made where the ripple is counted. */
enum { RW_LINE_ORDERS = 50 };   /* of the mains, to which harmonics of the line current are told */
typedef struct rw_supply_cycle {
	double voltage_dc, voltage_rms, voltage_pp;   /* V */
	double current_dc, current_rms;               /* A */
	double source_power, output_power;            /* W: source volts times current, HT times current */
	double reactive_current_rms;                  /* A: fundamental of the line current a quarter behind, by the angle alone */
	double line_rms[RW_LINE_ORDERS + 1];          /* A: harmonics of the secondary's line current by order, no overlap */
} rw_supply_cycle;
/* As rw_supply_at with the power controlled; cycle NULL: ripple not counted. errs likewise; RW_E_RANGE: overlap over 60 degrees in a cycle */
RW_MUST_USE rw_status rw_supply_controlled(const rw_supply_in *in, const rw_supply_set *set, const rw_mains *mains, double mains_factor,
    const rw_supply_setting *setting, double current_dc, const rw_supply_cycle *cycle, rw_supply_case *out, rw_error *err);

#endif
