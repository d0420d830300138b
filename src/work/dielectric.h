/* Dielectric work between flat plates: field, power, load and time in closed form; breakdown of air; heat of drying.
 * Model: quasi-static (plates small against the wavelength), one-dimensional (no fringe field), layers and an air gap in series, each of
 * one permittivity eps' - j eps'' over its thickness. Voltages and fields rms unless the name says pk.
 * Limits of practice, status memory: 80 to 160 V/mm rms in the load, 300 V/mm pk in air; loss figures of natural materials spread by a
 * factor of 2 either way.
 * src  displacement current continuous through the layers; power w e0 eps'' E^2 of each; status derived
 * SI units: m, m2, Hz, V, W, F, S, kg, J, K. Outputs are unchanged on error. No allocation; may run in parallel. */
#ifndef RW_WORK_DIELECTRIC_H
#define RW_WORK_DIELECTRIC_H

#include "work/material.h"

enum { RW_LAYERS_MAX = 8 };

typedef struct rw_permittivity { double real, loss; } rw_permittivity;   /* 1, relative: eps' and eps'', that of conduction in it */

/* Power density 2 pi f e0 eps'' E^2, W/m3.   in loss_factor eps'', field_rms V/m   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_dielectric_power_density(double loss_factor, double field_rms, double frequency, double *density, rw_error *err);

/* Loss factor of conduction, sigma/(2 pi f e0).   in conductivity S/m   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_dielectric_conduction(double conductivity, double frequency, double *loss_factor, rw_error *err);

/* Debye's relaxation: infinite + (static - infinite)/(1 + j w tau).   in static_permittivity >= infinite_permittivity >= 1, relaxation_time s
 * errs RW_E_RANGE */
RW_MUST_USE rw_status rw_dielectric_debye(double static_permittivity, double infinite_permittivity, double relaxation_time, double frequency,
                                          rw_permittivity *out, rw_error *err);

/* What a material's entry tells, at the frequencies its conditions name: the span of either figure (ends equal where it is one). */
typedef struct rw_dielectric { rw_permittivity min, max; } rw_dielectric;
enum { RW_DIELECTRIC_FIGURES = 4 };
const char *rw_dielectric_key(int i);                    /* 0 to RW_DIELECTRIC_FIGURES - 1: "permittivity_min" ...; NULL beyond */

/* in name for messages   errs RW_E_MISSING: not in the entry; RW_E_UNIT, RW_E_VALUE with key the figure's; RW_E_VALUE ends in wrong order */
RW_MUST_USE rw_status rw_dielectric_read(const rw_units *units, const char *name, rw_text_of text_of, const void *context, rw_dielectric *out,
                                         rw_error *err);

typedef struct rw_layer { double thickness; rw_permittivity permittivity; } rw_layer;   /* m; eps' >= 1, eps'' >= 0 */

typedef struct rw_plates {
	double   area;                       /* m2, of one plate */
	double   gap;                        /* m of air in series; 0: the plates touch */
	int      n_layers;                   /* 1 to RW_LAYERS_MAX */
	rw_layer layer[RW_LAYERS_MAX];
} rw_plates;

typedef struct rw_plates_load {
	double gap;                          /* m, as given */
	double capacitance;                  /* F, of the parallel equivalent */
	double conductance;                  /* S, of the same; 0 where nothing has loss */
	double resistance;                   /* ohm, 1/conductance; infinite where nothing has loss */
	double quality;                      /* 1, w C R; infinite where nothing has loss */
} rw_plates_load;

/* The load as parallel R and C at one frequency.   errs RW_E_RANGE bad inputs */
RW_MUST_USE rw_status rw_plates_load_of(const rw_plates *plates, double frequency, rw_plates_load *out, rw_error *err);

/* The same over a gap that closes (or opens) in n equal steps from gap_from to gap_to, both ends in it.
 * in plates, their own gap ignored; n >= 2   out [n]   errs RW_E_RANGE bad inputs */
RW_MUST_USE rw_status rw_plates_closing(const rw_plates *plates, double gap_from, double gap_to, double frequency, int n, rw_plates_load *out,
                                        rw_error *err);

typedef struct rw_plates_field {
	rw_plates_load load;
	double current_rms, power;           /* A, W */
	double gap_field_rms;                /* V/m; what a gap would have where there is none */
	double field_rms[RW_LAYERS_MAX];     /* V/m, of each layer; 0 beyond n_layers, as below */
	double layer_power[RW_LAYERS_MAX];   /* W */
	double power_density[RW_LAYERS_MAX]; /* W/m3 */
} rw_plates_field;

/* Field and power at a voltage across the plates.   errs RW_E_RANGE bad inputs */
RW_MUST_USE rw_status rw_plates_field_of(const rw_plates *plates, double frequency, double voltage_rms, rw_plates_field *out, rw_error *err);

typedef struct rw_gap_margin {
	double field_pk;                     /* V/m in the air */
	double margin;                       /* 1: the limit over the field; below 1 the air is overstressed */
	double voltage_max_rms;              /* V across the plates at which the margin is 1 */
} rw_gap_margin;

/* How far the air gap is from a limit of stress.   in stress_limit_pk V/m   errs RW_E_RANGE bad inputs, no gap, no voltage */
RW_MUST_USE rw_status rw_plates_gap_margin(const rw_plates *plates, double frequency, double voltage_rms, double stress_limit_pk,
                                           rw_gap_margin *out, rw_error *err);

/* Volts at which air breaks down in a uniform field at 20 degC and 1013 hPa, V pk: 24.22 kV/cm d + 6.08 kV/cm^0.5 sqrt(d); above 1 MHz 20 %
 * less.   in gap m   errs RW_E_RANGE: bad inputs, gaps outside 0.1 mm to 0.2 m   src Schumann and Bruce, status memory */
RW_MUST_USE rw_status rw_air_breakdown(double gap, double frequency, double *voltage_pk, rw_error *err);

typedef struct rw_drying {
	double mass;                         /* kg, of the dry stuff; 0: water alone */
	double heat_capacity;                /* J/(kg K), of it */
	double water_mass;                   /* kg, at the start */
	double water_heat_capacity;          /* J/(kg K) */
	double evaporated_mass;              /* kg of it, at the end temperature; heated up to there with the rest */
	double latent_heat;                  /* J/kg, of evaporation */
	double temperature_from, temperature_to;   /* K, to >= from */
	double loss;                         /* W to plates and air, mean over the time */
} rw_drying;

/* Heat into the load, without its loss, J.   errs RW_E_RANGE bad inputs, more evaporated than there is, nothing to heat */
RW_MUST_USE rw_status rw_drying_heat(const rw_drying *drying, double *heat, rw_error *err);

/* Time for it, s, at a mean power into the load.   in power W   errs as rw_drying_heat; RW_E_NOSOLVE where the loss takes all the power */
RW_MUST_USE rw_status rw_drying_time(const rw_drying *drying, double power, double *time, rw_error *err);

#endif
