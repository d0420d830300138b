/* Heat wanted by the work, in closed form: step responses of bars and tube walls, surface hardening, through-heating, scanning, losses.
 * Model: one-dimensional conduction over the section (no heat along the axis, ends as the middle), properties constant: conductivity as the
 * mean of its table from start to target, heat capacity as the heat from start to target over the rise, so that it carries the peak of a
 * transformation. Power enters as exp(-2 depth/skin depth) below the outer surface, constant over the time; what radiation and
 * convection take is added to it and does not shape the profile.
 * A tube has its bore insulated and the profile of a flat wall of its thickness, its mean rise that of the true section.
 * src  Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed., sections 2.9, 3.8, 7.8, status memory; checked against values derived
 *      anew (tests/reference/work) and against finite volumes (tests/unit/test_work_heating.c)
 * SI units: temperatures in K, rises in K. Outputs are unchanged on error. No allocation; may run in parallel. */
#ifndef RW_WORK_HEATING_H
#define RW_WORK_HEATING_H

#include "work/material.h"

typedef struct rw_heating_body {
	double radius;           /* m, outer; infinite with bore 0: a half-space */
	double bore;             /* m, radius of the bore; 0: solid */
} rw_heating_body;

/* Temperature rise per absorbed power of outer surface, K/(W/m2), a time after the power came on.
 * in   conductivity W/(m K); diffusivity m2/s; skin_depth m, 0: all power in the surface; time s, 0 gives 0; depth m below the outer
 *      surface, 0 to the centre or the bore
 * errs RW_E_RANGE: bad inputs; a tube with less bore than half its radius; a skin depth over the radius of a bar or over 100 walls, where
 *      the law of the power is another
 * Error: rounding, of bars and walls 1e-13 radius/conductivity, of half-spaces 1e-10 of themselves. In times below 1e-6
 * radius^2/diffusivity a bar counts as flat but for the inward crowding of its power: 5e-4 of its surface rise. A tube against the exact
 * ring, in parts of its surface rise: 0.12 wall/radius at the surface, 0.23 wall/radius anywhere.
 * cost  bars 6 us at 0.01 radius^2/diffusivity and 11 ms at 1e-6, as 1/time; half-spaces below 6 us; walls below 0.3 ms */
RW_MUST_USE rw_status rw_heating_rise(const rw_heating_body *body, double conductivity, double diffusivity, double skin_depth, double time,
                                      double depth, double *rise_per_flux, rw_error *err);

typedef struct rw_surface_job {
	double radius, bore;     /* m; bore as in rw_heating_body */
	double length;           /* m, heated */
	double depth;            /* m, to be austenitised: the target is reached here at the end */
	double start, target;    /* K */
	double surface_max;      /* K, greatest surface temperature allowed; above target */
	double time;             /* s; NAN: that at whose end the surface is just at surface_max */
	double skin_depth;       /* m, hot */
	double ambient;          /* K */
	double convection;       /* W/(m2 K); 10 in still air (memory) */
} rw_surface_job;

typedef struct rw_surface_heat {
	double time;                 /* s */
	double flux;                 /* W/m2 absorbed, of outer surface as all below */
	double surface_temperature;  /* K at the end */
	double core_temperature;     /* K at the end: centre, or bore */
	double energy;               /* J/m2 absorbed in the time */
	double loss_flux;            /* W/m2 lost, mean over the time */
	double surface_power;        /* W/m2, flux and loss: what the coil has to induce */
	double power;                /* W, over the area */
	double area;                 /* m2 */
	double conductivity;         /* W/(m K), the mean used */
	double diffusivity;          /* m2/s, likewise */
} rw_surface_heat;

/* Power for a surface layer. With a time given the surface may pass surface_max, which the caller sees in surface_temperature; it may not
 * pass the melting temperature of the material (5000 K where the entry has none). Loss: as rw_heating_loss_mean with the surface rising as
 * the square root of time, emissivity at its end temperature.
 * errs RW_E_RANGE: bad inputs, a depth not inside the section, surface_max not above target or not under melting, a time so short that
 *      the surface would melt (hint: the least time); those of rw_heating_rise and of the material's properties, RW_E_MISSING with them;
 *      RW_E_NOSOLVE, time open: the skin depth alone heats to the depth, any time keeps to surface_max
 * cost about 30 evaluations of rw_heating_rise where time is open */
RW_MUST_USE rw_status rw_heating_surface(const rw_surface_job *job, const rw_material *material, rw_surface_heat *out, rw_error *err);

typedef struct rw_scan {
	double zone;             /* m, heated at a time: what the power can heat, at most the length */
	double speed;            /* m/s, zone over the time of one shot */
	double time;             /* s for the whole length, zone running in and out */
	double power;            /* W in the work */
	bool   fits;             /* the whole length can be heated at once, in the time of one shot */
} rw_scan;

/* A scan with the surface power and time of a single shot.   in radius, length, zone_min m; power_available W in the work
 * errs RW_E_RANGE bad inputs; RW_E_NOSOLVE: even a zone of zone_min wants more power */
RW_MUST_USE rw_status rw_heating_scan(const rw_surface_heat *single, double radius, double length, double power_available, double zone_min,
                                      rw_scan *out, rw_error *err);

typedef struct rw_through_job {
	double radius, bore;     /* m */
	double length;           /* m, heated */
	double start, target;    /* K, target: mean over the section at the end */
	double time;             /* s */
	double ambient;          /* K */
	double convection;       /* W/(m2 K) */
} rw_through_job;

typedef struct rw_through_heat {
	double heat;                 /* J/kg */
	double mass;                 /* kg */
	double energy;               /* J absorbed */
	double flux;                 /* W/m2 absorbed, of outer surface as all below */
	double loss_flux;            /* W/m2 lost, mean over the time */
	double surface_power;        /* W/m2, flux and loss */
	double power;                /* W */
	double area;                 /* m2 */
	double difference;           /* K, surface to core at the end, power in the surface: q a/(2k), of a tube q w/(2k); k at target */
	double surface_temperature;  /* K: a bar has half of the difference above its mean, a tube two thirds */
	double core_temperature;     /* K, centre or bore: mean less half, less a third */
} rw_through_heat;

/* Power to heat a section through in a time, quasi-steady: the profile has come to rest and the mean rises. In a bar what is missing to
 * rest is 0.34 exp(-14.7 Fo) of twice the difference at the centre, Fo = diffusivity time/radius^2. Of a tube the difference is up to 9 %
 * too small, least for a thin wall. Loss as rw_heating_loss_mean, surface rising evenly.
 * errs RW_E_RANGE: bad inputs, a time in which the core would end under its start, a surface that would melt; RW_E_MISSING, RW_E_RANGE of
 *      the material's properties */
RW_MUST_USE rw_status rw_heating_through(const rw_through_job *job, const rw_material *material, rw_through_heat *out, rw_error *err);

/* Radiation to a black surrounding and convection, W/m2; negative where the ambient is hotter.   in emissivity 0 to 1, temperatures K,
 * convection W/(m2 K) >= 0   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_heat_loss_flux(double emissivity, double surface, double ambient, double convection, double *flux, rw_error *err);

/* The same, mean while the surface goes from start to end as time^exponent: radiation with the mean of its fourth power, convection with
 * its mean.   in exponent > 0: 1 evenly, 0.5 as under a constant flux   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_heating_loss_mean(double emissivity, double start, double end, double exponent, double ambient, double convection,
                                           double *flux, rw_error *err);

/* Time to cool by radiation alone with the section even, s.   in heat_per_area J/(m2 K): density, heat capacity and volume over surface,
 * for a long bar half its radius; emissivity > 0; from > to > ambient   errs RW_E_RANGE */
RW_MUST_USE rw_status rw_heating_cooling_time(double heat_per_area, double emissivity, double from, double to, double ambient, double *time,
                                              rw_error *err);

#endif
