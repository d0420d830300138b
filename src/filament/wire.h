/* The filament as wire: tungsten over temperature, and a wire sized from volts, amperes and the temperature it is run at.
 * Model: so many equal round wires in parallel, all at one temperature; what the leads do not take is radiated from the wires' whole
 * surface; the leads take in proportion to the rise. No expansion; no shading of one wire by the next.
 * Resistance over temperature: resistivity of the table, laid so that cold and hot are as the static figures have them, R_c and R_h;
 * where they are not in the table's ratio, a constant resistance of either sign makes up for it (a few per cent).
 * Sources: tungsten-resistance-radiation, tungsten-heat, thermionic-emission. Range: 300 to 2700 K; laws go on straight past it. */
#ifndef RW_FILAMENT_WIRE_H
#define RW_FILAMENT_WIRE_H

#include "base/table.h"
#include "filament/start.h"

enum { RW_TUNGSTEN_COLUMNS = 3, RW_TUNGSTEN_HEAT_COLUMNS = 2 };
extern const rw_column rw_tungsten_columns[RW_TUNGSTEN_COLUMNS];             /* temperature, resistivity, emissivity */
extern const rw_column rw_tungsten_heat_columns[RW_TUNGSTEN_HEAT_COLUMNS];   /* temperature, heat_capacity */

typedef struct rw_tungsten { rw_table properties, heat; double density; } rw_tungsten;   /* density kg/m3 */

double rw_tungsten_resistivity(const rw_tungsten *tungsten, double temperature);     /* ohm m */
double rw_tungsten_radiation(const rw_tungsten *tungsten, double temperature);       /* W/m2, gross */
double rw_tungsten_heat_capacity(const rw_tungsten *tungsten, double temperature);   /* J/kg/K */
double rw_tungsten_heat(const rw_tungsten *tungsten, double low, double high);       /* J/kg to heat it from low to high */
double rw_tungsten_cold(const rw_tungsten *tungsten);                                /* K: the table's first row, where a filament starts */

/* Richardson's law, A T2 exp(-b/T): A in A/m2/K2, b in K. out A/m2 */
double rw_emission(double a, double b, double temperature);

/* What a wire is sized from. */
typedef struct rw_wire_want {
	double hot_resistance, cold_resistance;   /* ohm */
	double power;                             /* W, hot */
	double lead_share;                        /* 1, of power, led away by the leads */
	double hot_temperature;                   /* K */
	double strands;                           /* wires in parallel */
} rw_wire_want;

typedef struct rw_wire {
	rw_wire_want want;
	const rw_tungsten *tungsten;
	double resistivity;       /* ohm m, hot */
	double radiation;         /* W/m2, hot, less what comes back cold */
	double surface;           /* m2, of all strands */
	double diameter, length;  /* m, of a strand */
	double mass;              /* kg, of all */
	double cold_radiation, cold_resistivity;
} rw_wire;

void rw_wire_size(const rw_tungsten *tungsten, const rw_wire_want *want, rw_wire *out);   /* tungsten must outlive out */
/* Its laws for the runs of start.h; wire must outlive them. */
rw_hot_wire rw_wire_laws(const rw_wire *wire);

#endif
