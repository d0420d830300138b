/* Duty of a job: how long power is on, how often, how many times a year, and what that makes of the ratings that go by heat gathered over
 * many shots. Power is on for on_time in every period, or without a break.
 * Model: what warms up slowly is one thermal time constant T. In the settled pattern its greatest rise over the rise that the shot's power
 * would reach if it stayed on is the thermal share k = (1 - exp(-on/T))/(1 - exp(-period/T)): on/period for a period far under T, 1 for a shot
 * far over it. Heat goes as the current's square: equivalent current sqrt(k I_on^2 + (1 - k) I_rest^2).
 * By the shot, whatever the pattern: valve, diodes' junctions, RF capacitors, surge resistor, work coil, water of each branch.
 * Range: on_time 50 ms to 24 h. Closed forms, no error of method. Sources: definition; a body of one time constant (memory).
 * Reading order: rw_duty_in, rw_duty_choose, rw_duty_set_solve, rw_duty_case_solve. */
#ifndef RW_DUTY_DUTY_H
#define RW_DUTY_DUTY_H

#include "item/item.h"

enum { RW_PATTERN_CONTINUOUS, RW_PATTERN_SHOTS };

#define RW_DUTY_YEAR (8766.0 * 3600.0)   /* s, mean of four calendar years: no job takes longer a year */

typedef struct rw_duty_in {
	double on_time;               /* s, power on in each shot; R24: the time the work takes */
	double period;                /* s from shot to shot; optional: none for continuous power */
	double hours_per_year;        /* s a year in which the set stands ready for this job, filament on; R24: 2000 h */
	double shots_per_year;        /* 1; R24: hours over period; of continuous power its starts */
	int32_t pattern;              /* choice continuous | shots; R24: shots where a period is given */
	int32_t unused;
} rw_duty_in;

typedef struct rw_duty_set {
	double work_time;             /* s the work's own times ask for; 0: it has none */
	double duty_cycle;            /* 1: share of the time with power on; factor of the mean */
	double rms_factor;            /* 1: its root; factor of the rms */
	double transformer_share;     /* 1: thermal share k of the HT transformer */
	double breaker_share;         /* 1: thermal share k of the breaker's bimetal */
	double time_per_year;         /* s a year with the filament on */
	double on_per_year;           /* s a year with power on */
	double makes_per_year;        /* 1: of the HT contactor */
	double contactor_years;       /* 1: years the contactor lasts; only where its life is given */
} rw_duty_set;

typedef struct rw_duty_case {
	double resting_voltage_dc;    /* V: HT that stands between the shots; 0: it is off */
	double resting_anode_current_dc;   /* A, each valve, then */
	double resting_anode_loss;    /* W, each valve, then */
	double resting_current_dc;    /* A: valves and bleeder then */
	double resting_share;         /* 1: that current over the shot's */
	double resting_water_heat;    /* W into the water between the shots */
	double transformer_factor;    /* 1: equivalent continuous current over the shot's */
	double transformer_current_rms;    /* A line on the secondary: equivalent continuous */
	double choke_current_rms;     /* A: direct current of the HT, rms over the pattern */
	double rectifier_loss;        /* W: mean */
	double shot_line_current_rms; /* A: mains line in the shot, filament and auxiliaries with it */
	double line_current_rms;      /* A: the same, rms over the pattern */
	double breaker_current_rms;   /* A: equivalent continuous current of the breaker's bimetal */
	double water_heat;            /* W: mean into all branches */
	double mean_power;            /* W from the mains: mean, filament with it; its kW are kWh an hour */
	double shot_energy;           /* J from the mains in one period; shots only */
	double energy_per_year;       /* J from the mains */
} rw_duty_case;

/* What the room must know of others, in a case. */
typedef struct rw_duty_around {
	bool   standing;              /* HT stands on the valve between the shots */
	double resting_voltage_dc, resting_anode_current_dc, resting_water_heat;   /* V, A each valve, W; where HT stands */
	double valves;                /* 1 */
	double bleeder_resistance;    /* ohm */
	double current_dc;            /* A of the HT in the shot */
	double secondary_current_rms, mains_current_rms;   /* A, in the shot */
	double diode_loss, iron_loss, mains_power;         /* W: HT supply in the shot */
	double steady_current_rms;    /* A: mains line of filament and auxiliaries */
	double filament_power;        /* W of all valves, losses of the series resistance with them */
	double water_heat;            /* W: all branches in the shot */
} rw_duty_around;

extern const rw_room rw_duty_room;

/* k of the header: on, period, constant in s, all > 0, on <= period. */
double rw_duty_thermal_share(double on_time, double period, double time_constant);

/* Fills open members by rule R24.   in   work_time s the work takes, 0: not known; starts_per_year of continuous power
 * errs RW_E_MISSING (an on-time without period; a period and neither on-time nor a time of the work); RW_E_VALUE (on-time over period; a
 * period with continuous power; more shots than the hours hold); RW_E_RANGE (more shots than a year holds) */
RW_MUST_USE rw_status rw_duty_choose(rw_duty_in *in, double work_time, double starts_per_year, rw_error *err);

/* Figures of the job.   in   time constants s; keyed_by_contactor: it makes every shot; starts_per_year else; contactor_life makes, NAN: not given */
void rw_duty_set_solve(const rw_duty_in *in, double work_time, double transformer_constant, double breaker_constant, bool keyed_by_contactor,
                       double starts_per_year, double contactor_life, rw_duty_set *out);

/* Figures of a case. */
void rw_duty_case_solve(const rw_duty_in *in, const rw_duty_set *set, const rw_duty_around *around, rw_duty_case *out);

#endif
