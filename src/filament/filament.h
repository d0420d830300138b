/* Filament and its transformer: hot and cold resistance; reactance, or a resistor and its bypass, that hold the starting current under the
 * valve maker's limit, read as rms (dead cold, steady phasor) or as peak (worst closing angle of the first cycles); what the filament then
 * does over time: start, bypass of the resistor, mains away and back; and the transformer's data.
 * Static model: hot R = V/I; cold R = hot / cold_ratio; a series reactance X with the transformer's EMF set so that the hot filament sits at
 * its rated volts: E = I sqrt((R_h + R_s)^2 + X^2). The start resistor is in circuit until its bypass and not in E. Rules R10 and R21.
 * Over time: start.h (current and temperature) on the wire of wire.h, for thoriated and pure tungsten; an oxide cathode's heater is another
 * matter and its figures over time do not exist. All at nominal mains, but those named high or low. All figures are of one valve, seen from its pins, but those named
 * transformer_*, which are of one transformer with all the valves on it.
 * Reading order: structs, rw_filament_choose (choose.c), rw_filament_set_solve (filament.c), rw_filament_time_solve (filament_time.c). */
#ifndef RW_FILAMENT_FILAMENT_H
#define RW_FILAMENT_FILAMENT_H

#include "filament/wire.h"
#include "item/item.h"

enum { RW_START_RMS, RW_START_PEAK, RW_START_NONE };
enum { RW_BYPASS_DROPS, RW_BYPASS_HOLDS };
enum { RW_STABILISER_NONE, RW_STABILISER_FITTED };

typedef struct rw_filament_in {
	double voltage_rms;           /* V at the pins, hot; library */
	double current_rms;           /* A, hot; library */
	double cold_ratio;            /* 1: hot over cold resistance; R10: 10 thoriated, 13 tungsten; library for oxide */
	double start_limit;           /* A: greatest starting current, in the measure of start_measure; library; optional */
	double series_reactance;      /* ohm, on the filament side: transformer leakage and choke together; R10 */
	double series_resistance;     /* ohm, likewise; R10: 0 */
	double start_resistor;        /* ohm, likewise, in circuit until bypassed; R21: 0 unless a peak is not held by reactance */
	double bypass_resistance;     /* ohm the filament must have passed at the bypass; R21; optional: without a start resistor none */
	double bypass_time;           /* s after switching on at which a timer bypasses it; optional: else at bypass_resistance */
	double hot_temperature;       /* K; R21: 1975 thoriated, 2450 tungsten; oxide: none; optional */
	double lead_loss_share;       /* 1, of the hot power, led away; R21: 0.05 */
	double dip_time;              /* s the mains are away; R21: 1 */
	double dip_voltage;           /* 1, of the volts, left in a dip; R21: 0 */
	double voltage_tolerance;     /* 1: how far the maker lets the filament volts go; R21: 0.05 */
	double reactance_tolerance;   /* 1: as built; R21: 0.1 */
	double stabiliser_error;      /* 1: what a stabiliser leaves of the mains' changes; R21: 0.01 */
	double air_reactance;         /* 1: of the transformer's primary with its core saturated, over V^2/S; R21: 0.1 */
	double residual_flux;         /* 1: of the peak flux; R21: 0.6 */
	double saturation_flux;       /* 1: of the peak flux; R21: 1.33 */
	int32_t start_measure;        /* choice rms | peak | none: what the maker means; library, no default; R10: none without a limit */
	int32_t dip_bypass;           /* choice drops | holds: the bypass in a dip; R21: drops */
	int32_t stabiliser;           /* choice none | fitted: R21: fitted where the volts would leave their tolerance */
	int32_t strands;              /* wires in parallel; R21: one for each 35 A */
	int32_t valves_on_transformer;   /* R21: 1 */
	int32_t unused;
} rw_filament_in;

typedef struct rw_filament_set {
	double hot_resistance, cold_resistance;   /* ohm */
	double power;                             /* W */
	double series_loss;                       /* W in the series resistance, hot */
	double transformer_voltage_rms;           /* V: EMF behind the reactance */
	double start_current_rms;                 /* A, dead cold, steady */
	double start_current_pk;                  /* A, dead cold, worst closing angle, without warming */
	double start_closing_angle;               /* rad after the voltage zero, of that peak */
	double start_current_high_rms;            /* A: start_current_rms at mains high and the least reactance of its tolerance */
	double start_current_high_pk;             /* A: start_current_pk likewise; NAN: the limit is not read as a peak */
	double best_reactance_pk;                 /* A: the least worst peak any series reactance gives without a start resistor */
	double best_reactance;                    /* ohm: that reactance */
	double short_circuit_current_rms;         /* A: dead short at the pins */
	double apparent_power;                    /* VA, hot */
	double series_inductance;                 /* H: series_reactance at the mains frequency */
	/* transformer */
	double regulation;                        /* 1: no-load volts over hot volts, less 1 */
	double transformers;                      /* 1: how many in the set */
	double transformer_current_rms;           /* A, hot, secondary */
	double transformer_power;                 /* VA, hot */
	double transformer_reactance;             /* ohm, secondary side */
	double transformer_short_circuit_rms;     /* A: dead short at its terminals */
	double transformer_inrush_pk;             /* A, primary across two lines, mains high: first peak of the magnetising current */
	double voltage_low_rms, voltage_high_rms; /* V at the pins: mains and tolerance of reactance both at their worst */
	double reactance_span;                    /* 1: of the volts, by the tolerance of reactance alone */
	double neighbour_voltage_rms;             /* V when one valve of several on a transformer is open; NAN: one valve */
	/* wire; NAN: oxide */
	double hot_resistivity;                   /* ohm m */
	double hot_radiation;                     /* W/m2, net */
	double surface;                           /* m2 */
	double wire_diameter, wire_length;        /* m, of a strand */
	double wire_mass;                         /* kg, all strands */
	double table_ratio;                       /* 1: hot over cold resistivity */
	double emission_dc;                       /* A: of the whole surface, hot */
	double stored_heat;                       /* J, cold to hot */
	double thermal_time;                      /* s: stored heat over power */
	/* over time; NAN: oxide */
	double warming_pk;                        /* A: worst first peak, the filament warming */
	double warming_angle, warming_time;       /* rad, s: of that peak */
	double first_cycle_rms;                   /* A, closed at that angle */
	double heat_time;                         /* s to 90 % of the hot resistance */
	double heat_time_difference;              /* 1: what the rms model alone takes longer */
	/* start resistor; NAN: none, or oxide (bypass_current_rms: none) */
	double bypass_at_time;                    /* s after switching on */
	double bypass_at_resistance;              /* ohm of the filament then */
	double bypass_current_rms;                /* A just after, steady */
	double bypass_current_pk;                 /* A just after, worst moment */
	double start_resistor_energy;             /* J until the bypass */
	double start_resistor_left_loss;          /* W when the bypass fails */
	double start_resistor_left_rms;           /* V at the pins then */
	double dip_time_held;                     /* s: longest dip to zero after which the bypass may still be in */
	/* mains away and back; NAN: oxide */
	double dip_temperature, dip_resistance;   /* K, ohm, at the end of the dip */
	double dip_current_rms, dip_current_pk;   /* A when the mains are back: steady; worst moment */
	double dip_angle;                         /* rad: closing angle of that peak */
} rw_filament_set;

extern const rw_room rw_filament_room;

/* What the choice and the figures stand on besides the file. */
typedef struct rw_filament_site {
	int    cathode;            /* RW_CATHODE_* as in valve/valve.h, told as a number because rooms do not know one another */
	int    valves;             /* of the set */
	double mains_voltage_rms;  /* V line to line */
	double mains_frequency;    /* Hz */
	double mains_low, mains_high;   /* 1 */
	const rw_tungsten *tungsten;    /* NULL: the choice does not ask whether the filament passes its bypass */
} rw_filament_site;

/* Fills open members.
 * errs RW_E_MISSING (start limit given but not whether rms or peak, or the other way round; cold_ratio of an oxide cathode);
 *      RW_E_NOSOLVE (limit under the hot current; a start resistor of the rule's, or to a bypass of the rule's, that the filament does not get
 *      past: key start_limit or start_resistor); RW_E_VALUE (valves that do not share out among transformers; hot temperature of
 *      oxide). cost: mostly nothing; where a reactance is searched for, up to 10 ms */
RW_MUST_USE rw_status rw_filament_choose(rw_filament_in *in, const rw_filament_site *site, rw_error *err);
double rw_filament_own_leakage(const rw_filament_in *in);   /* ohm: what any transformer leaks, the least a rule chooses, to 0.1 mohm */
/* Figures in closed form; those over time are left as they are. */
RW_MUST_USE rw_status rw_filament_set_solve(const rw_filament_in *in, const rw_filament_site *site, rw_filament_set *out, rw_error *err);
/* Figures of the wire and over time, from those in closed form; NAN where there are none.
 * errs RW_E_NOSOLVE: the filament never passes the bypass resistance with the resistor in; RW_E_RANGE: hotter than the table of tungsten
 * cost about 5 ms, with a start resistor 15 */
RW_MUST_USE rw_status rw_filament_time_solve(const rw_filament_in *in, const rw_filament_site *site, const rw_tungsten *tungsten,
                                             rw_filament_set *set, rw_error *err);

/* The wire of a thoriated or pure tungsten filament. */
void rw_filament_wire(const rw_filament_in *in, const rw_filament_set *set, const rw_tungsten *tungsten, rw_wire *out);
/* Feed while the start resistor is in, and after. */
rw_feed rw_filament_feed(const rw_filament_in *in, const rw_filament_set *set, double frequency, bool resistor_in);

/* Series reactance that holds the start to the limit (closed form for rms; root of the worst peak for peak). */
RW_MUST_USE rw_status rw_filament_reactance(double hot_resistance, double cold_resistance, double series_resistance, double hot_current_rms,
                                            double limit, int measure, double *reactance, rw_error *err);

/* The least worst peak (A) that reactance alone gives, and that reactance (ohm, to 1e-4 of it; the peak, flat there, to 1e-8). Resistances
 * with the series one. */
RW_MUST_USE rw_status rw_filament_best_reactance(double hot_resistance, double cold_resistance, double hot_current_rms, double *reactance,
                                                 double *peak, rw_error *err);

/* Least resistance that holds the worst peak of an EMF on it and a reactance to a limit, A. 0: none is wanted. */
RW_MUST_USE rw_status rw_filament_resistance_for_peak(double emf_rms, double reactance, double limit, double *resistance, rw_error *err);

/* Greatest |i| over closing angle and time of a sine EMF (rms) on R and X from rest: i = sqrt2 E/Z [sin(wt + a - p) - sin(a - p) exp(-R w t/X)]. */
RW_MUST_USE rw_status rw_filament_worst_peak(double emf_rms, double resistance, double reactance, double *peak, double *closing_angle,
    rw_error *err);

/* First peak (A) of a transformer's magnetising current, switched at its volts' zero, resistance ignored: V rms, nominal, and how far over
 * it the mains are then; ohm of the winding with the core saturated; residual and saturation flux over peak flux. 0: the core does not saturate */
double rw_filament_inrush(double voltage_rms, double air_reactance, double mains_high, double residual_flux, double saturation_flux);

#endif
