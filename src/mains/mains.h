/* The mains side and the keying of the shot: switch-on current of the HT transformer, its continuous rating, contactor, breaker, and by what
 * the shot is switched. What the breaker and the transformer have to carry is told by the duty of the jobs.
 * Model: switch-on current by the closed form of a saturating core, first peak of the worst phase, resistance left out (so the truth is less);
 * the breaker's bimetal a body of one time constant; its magnetic trip at a multiple of the rated current with a tolerance, on peaks.
 * Sources: transformer practice (memory), standards for breakers and contactors named in data/sources (memory).
 * Reading order: rw_mains_in, rw_mains_choose_constants, rw_mains_set_solve, rw_mains_choose_parts. */
#ifndef RW_MAINS_MAINS_H
#define RW_MAINS_MAINS_H

#include "item/item.h"

/* By what the shot is keyed. */
enum { RW_KEYING_CONTACTOR, RW_KEYING_THYRISTORS, RW_KEYING_GRID_BIAS, RW_KEYING_GRID_SHORTED, RW_KEYING_DETUNED };

typedef struct rw_mains_in {
	double transformer_power;            /* VA the HT transformer bears without a break, on no-load volts; R24 */
	double transformer_time_constant;    /* s, of its heating; R24: 30 min */
	double air_core_reactance;           /* 1: of the primary winding, over rated volts a rated ampere; R24: 0.2 */
	double core_remanence, core_saturation;  /* 1, of the crest flux density at nominal mains; R24: 0.6, 1.33 */
	double auxiliary_current_rms;        /* A line: pumps, fans, control; R24: 5 A */
	double starts_per_year;              /* 1: switching-on of the set; R24: 1000 */
	double breaker_current;              /* A rated; R24 */
	double breaker_margin;               /* 1: its rated current over the rms of the line; R24: 1.25 */
	double breaker_hold;                 /* 1: multiple it never trips at; R24: 1.05 */
	double breaker_time_constant;        /* s of its bimetal; R24: 5 s */
	double breaker_magnetic_multiple;    /* 1: magnetic trip over rated current, rms; R24 */
	double breaker_magnetic_tolerance;   /* 1; R24: 20 % */
	double contactor_current;            /* A rated for making and breaking in this use; optional */
	double contactor_life;               /* 1: makes at that current; optional */
	double contactor_years_min;          /* 1; R24: 2 */
	int32_t keying;                      /* choice; R24: contactor */
	int32_t unused;
} rw_mains_in;

typedef struct rw_mains_set {
	double inrush_current_pk;        /* A: first peak of the worst phase when the HT is switched on at mains high; 0 run up by thyristors' angle */
	double filament_current_rms;     /* A line of all filament transformers, on one pair of lines */
	double closing_voltage_pk;       /* V: what the HT's capacitors can reach unloaded when the HT is switched on at mains high */
	double blocking_bias;            /* V DC that cuts the valve off between the shots; keying grid_bias only */
	double mains_impedance;          /* 1: of the mains at their least fault level, on the transformer's rating; 0: that level is not known */
	double fault_current_rms;        /* A line on the mains, least, for a short of all secondaries: that impedance, the transformer's greatest, mains low */
} rw_mains_set;

/* What the room must know of others. */
typedef struct rw_mains_around {
	double voltage_rms, frequency;           /* of the mains, line to line */
	double low, high;                        /* 1: mains cases over nominal */
	double rated_current_rms, short_circuit_voltage;   /* A line on the mains, 1: of the HT transformer */
	double impedance_tolerance, transformer_power;     /* 1, VA: of it */
	double secondary_current_rms;            /* A: rated line current of all secondaries, on the mains */
	double fault_level_least;                /* VA of the mains; NAN: not known */
	double no_load_voltage_dc;               /* V at nominal mains */
	double crest_factor;                     /* 1: crest over mean of the rectifier's no-load volts */
	double phase_reactance, phase_resistance;    /* ohm a phase on the secondary */
	double phases;                           /* 1: of them in the path of the direct current */
	double filter_inductance, filter_resistance; /* H, ohm of a choke behind the rectifier */
	double capacitance;                      /* F on the HT */
	double filament_apparent_power;          /* VA of all valves */
	double mu;                               /* 1 of the valve; NAN: its law has none */
	bool angle_controlled;                   /* thyristors on the primary control the power by their angle: they can run a shot up */
} rw_mains_around;

extern const rw_room rw_mains_room;

/* Fills the open members that rest on nothing, rule R24. */
void rw_mains_choose_constants(rw_mains_in *in);

/* Figures of the set, from constants and keying alone. */
void rw_mains_set_solve(const rw_mains_in *in, const rw_mains_around *around, rw_mains_set *out);

/* Standard rated current, A, at or over a current: 16 20 25 32 40 50 63 80 100 125 160 200 250 315 400 500 630 800 1000 1250 1600, then whole 100 A. */
double rw_mains_breaker_step(double current);

/* Parts by what the duties ask.   in   greatest over jobs and cases: transformer_factor (equivalent continuous over shot current), line_rms A,
 * breaker_rms A; rated_power, step VA of the transformer. set: solved before */
void rw_mains_choose_parts(rw_mains_in *in, const rw_mains_set *set, double transformer_factor, double line_rms, double breaker_rms,
                           double rated_power, double step);

#endif
