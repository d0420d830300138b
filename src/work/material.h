/* Materials of the work: their properties over temperature, from entries of the library (data/materials).
 * A property is a table over temperature, or one figure that holds from temperature_min to temperature_max where the entry has these. The
 * relative permeability is a table over field strength at 20 degC and falls to 1 at the Curie point as
 *   mur(T, H) = 1 + (mur(H) - 1) (1 - ((T - T20)/(Tc - T20))^2)       T between 20 degC and Tc, both in degC or K
 * the customary model (status memory) with its zero set at 20 degC; an entry without a Curie point has one figure that always holds.
 * Knows no library: who calls hands over a way to the texts of the entry. What an entry does not have is an error where it is asked for,
 * never a guess; status and source of each figure stay with the entry.
 * SI units: temperatures in K. Outputs are unchanged on error. */
#ifndef RW_WORK_MATERIAL_H
#define RW_WORK_MATERIAL_H

#include "base/table.h"

typedef enum rw_property { RW_RESISTIVITY, RW_HEAT_CAPACITY, RW_CONDUCTIVITY, RW_EMISSIVITY, RW_PERMEABILITY, RW_PROPERTIES } rw_property;
enum { RW_MATERIAL_FIGURES = 6 };

typedef struct rw_material {
	const char *name;
	rw_table table[RW_PROPERTIES];       /* n_rows 0: one figure, or not known */
	double   figure[RW_PROPERTIES];      /* ohm m, J/(kg K), W/(m K), 1, 1; NAN: a table, or not known */
	double   density;                    /* kg/m3; NAN where the entry has none, as all below */
	double   melting_temperature;        /* K */
	double   latent_heat;                /* J/kg, of melting */
	double   curie_temperature;          /* K */
	double   temperature_min, temperature_max;   /* K, of properties that are one figure */
} rw_material;

/* Keys of an entry: "resistivity" and so on; the columns of its table, temperature (or field_strength) and the property. */
const char      *rw_property_key(rw_property property);
const rw_column *rw_property_columns(rw_property property);
const char      *rw_material_figure_key(int i);                    /* 0 to RW_MATERIAL_FIGURES - 1: "density" ... */

/* Gives the text of a figure of the entry, NULL where it has none. */
typedef const char *(*rw_text_of)(const void *context, const char *key);

/* in   name, kept as it is   errs RW_E_UNIT, RW_E_VALUE, RW_E_SYNTAX with key the figure's; lines count within a table */
RW_MUST_USE rw_status rw_material_read(rw_arena *arena, const rw_units *units, const char *name, rw_text_of text_of, const void *context,
                                       rw_material *out, rw_error *err);

/* One of the properties that are over temperature alone; for RW_PERMEABILITY see below.
 * errs RW_E_MISSING: not in the entry; RW_E_RANGE outside its temperatures, with the span in degC */
RW_MUST_USE rw_status rw_material_at(const rw_material *material, rw_property property, double temperature, double *value, rw_error *err);

/* Relative permeability.   in field_rms A/m   errs as rw_material_at; RW_E_RANGE also outside the fields of its table, below the Curie point
 * src  model of induction heating practice, status memory */
RW_MUST_USE rw_status rw_material_permeability(const rw_material *material, double temperature, double field_rms, double *value, rw_error *err);

/* Heat to bring 1 kg from one temperature to another without melting: the integral of the heat capacity, exact for the curve through the
 * table. J/kg, negative downwards.   errs as rw_material_at */
RW_MUST_USE rw_status rw_material_heat(const rw_material *material, double from, double to, double *heat, rw_error *err);

#endif
