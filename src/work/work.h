/* The work: what is to be heated, how much heat that wants, and in which states it stands in the coil.
 * Kinds: a measured load (tables of the coil's impedance), a bar or a tube in a coil (surface hardening, through-heating), a dielectric
 * between plates, a dummy load for acceptance. Heat is had from the closed forms of heating.h and dielectric.h, or given.
 * Reading order: rw_work_in, rw_work_choose (heat wanted, figures of the job), rw_work_propose (load states), rw_work_rate. */
#ifndef RW_WORK_WORK_H
#define RW_WORK_WORK_H

#include "item/item.h"
#include "work/dielectric.h"
#include "work/material.h"

enum { RW_LOADS_MAX = 12 };
enum { RW_WORK_MEASURED, RW_WORK_BAR, RW_WORK_TUBE, RW_WORK_DIELECTRIC, RW_WORK_DUMMY };
enum { RW_TREATMENT_SURFACE, RW_TREATMENT_THROUGH };
enum { RW_MOTION_SINGLE_SHOT, RW_MOTION_SCAN };

/* A load state. What belongs to the empty coil or plates stays open. */
typedef struct rw_load_in {
	double temperature;          /* K of the layer that carries the current; bar, tube */
	double gap;                  /* m of air between the stuff and a plate; dielectric */
	double permittivity, loss_factor;   /* 1, relative; dielectric */
	int32_t impedance;           /* table: frequency Hz, resistance ohm, reactance ohm; measured */
	int32_t unused;
} rw_load_in;

typedef struct rw_work_in {
	double heat_power;           /* W wanted in the work, in the state the set is sized on; R15 */
	double diameter, bore;       /* m; bore of a tube */
	double length;               /* m to be heated */
	double part_length;          /* m of the whole part; R15: as length */
	double depth;                /* m to be austenitised; surface */
	double time;                 /* s of heating; surface: R15 finds it */
	double start_temperature, target_temperature, surface_temperature_max;   /* K; R15 */
	double convection;           /* W/(m2 K); R15: 10 */
	double zone;                 /* m heated at a time while scanning */
	double thickness;            /* m of the dielectric */
	double mass, heat_capacity, water_mass, evaporated_mass;   /* kg, J/(kg K), kg, kg; dielectric */
	double loss;                 /* W to plates and air; dielectric */
	double permittivity_wet, loss_factor_wet, permittivity_dry, loss_factor_dry;   /* 1; R15: of the materials */
	double gap_closed, gap_open; /* m of air with the plates closed, and as far open as they are with the power on */
	double field_rms_max;        /* V/m in the stuff; R15 */
	double gap_field_pk_max;     /* V/m in the air; R15 */
	double dummy_resistance, dummy_inductance;   /* ohm, H at the generator's terminals; R17 */
	char empty[RW_TEXT_BYTES];   /* name of the load state that is the empty coil */
	char material[RW_TEXT_BYTES], material_dry[RW_TEXT_BYTES];   /* entries of the library */
	int32_t kind, treatment, motion, n_loads;
	rw_load_in loads[RW_LOADS_MAX];
} rw_work_in;

typedef struct rw_work_set {
	double heated_length;        /* m heated at a time */
	double area;                 /* m2 heated at a time */
	double absorbed_power, lost_power;   /* W/m2 there: into the stuff, and radiated and convected meanwhile */
	double surface_power;        /* W/m2 wanted there: both */
	double heat_needed;          /* W that the treatment takes in its time, with what is lost */
	double heating_time;         /* s */
	double surface_temperature, core_temperature;   /* K at the end */
	double hot_depth;            /* m: skin depth at the target */
	double energy;               /* J absorbed in the time */
	double scan_speed, scan_time;/* m/s, s for the whole length */
	double power_density;        /* W/m3 wanted in a dielectric */
} rw_work_set;

typedef struct rw_work_case {
	double heat;                 /* W in the work */
	double heat_share;           /* 1: of the heat wanted */
	double mean_heat;            /* W: mean over the whole heating, through the load states at these mains */
	double area_heatable;        /* m2 that this heat can bring to the surface power wanted */
	double field_rms;            /* V/m in the dielectric */
	double gap_field_pk;         /* V/m in the air of the gap */
} rw_work_case;

extern const rw_room rw_work_room;

/* What the entries of the library say of the work's stuff. */
typedef struct rw_work_stuff {
	rw_material   material;      /* bar, tube */
	rw_dielectric wet, dry;      /* dielectric */
} rw_work_stuff;

/* Fills open inputs by rule R15, and *set; frequency is the wanted one.
 * errs RW_E_MISSING, RW_E_RANGE with the key of the input; those of heating.h */
RW_MUST_USE rw_status rw_work_choose(rw_work_in *in, const rw_work_stuff *stuff, double frequency, rw_work_set *set, rw_error *err);

/* The load states of a kind that is not measured: those given and the empty one behind them, or where none is given the program's own:
 * cold, each side of the Curie point, hot, finished, empty; wet, dry, closing, open, empty; dummy.
 * in   set of rw_work_choose   out  names, loads, *n */
void rw_work_propose(const rw_work_in *in, const rw_work_stuff *stuff, const rw_work_set *set, char (*names)[RW_NAME_BYTES],
                     rw_load_in *loads, int32_t *n);

/* The plates with the stuff in a state; empty: only air. */
void rw_work_plates(const rw_work_in *in, const rw_load_in *load, bool empty, double area, rw_plates *out);

/* Mean heat over a heating that passes through states: each stretch takes the heat content between its temperatures at the mean of its two heats.
 * in   temperature K, rising; heat W there; n >= 1   errs those of the material's heat capacity; RW_E_RANGE: no heat in a state */
RW_MUST_USE rw_status rw_work_mean_heat(const rw_material *material, const double *temperature, const double *heat, int n, double *mean,
                                        rw_error *err);

/* Figures of a case beside the heat.   in plate_area m2, voltage_rms across the plates; both only for a dielectric */
RW_MUST_USE rw_status rw_work_rate(const rw_work_in *in, const rw_work_set *set, const rw_load_in *load, bool empty, double plate_area,
                                   double voltage_rms, double frequency, rw_work_case *out, rw_error *err);

/* May the work be heated at once with this heat? When not, an error with the scan that would do.
 * in   heat_available W in the work   errs RW_E_NOSOLVE */
RW_MUST_USE rw_status rw_work_verdict(const rw_work_in *in, const rw_work_set *set, double heat_available, rw_error *err);

#endif
