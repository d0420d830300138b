/* Meters by place: what each pointer shows, and what stands on its leads when a shunt or a divider opens. Rule R27.
 * Model: Kirchhoff's first law at the places a meter can stand. From the anode round: HT positive - valve - cathode - [shunt 'cathode', one
 * for each valve] - earth - [shunt 'ht_negative_return'] - HT negative; grid leak and bleeder come back at the foot the file names, and a
 * current that comes back behind a shunt is read by it. Means: a moving coil does not follow the ripple or the RF.
 * A shunt's resistance is that of its scale, the meter's own current left out.
 * Reading order: rw_meters_choose_places, rw_anode_reading, rw_meters_choose_scales, rw_meters_solve. */
#ifndef RW_METERS_METERS_H
#define RW_METERS_METERS_H

#include "item/item.h"

enum { RW_ANODE_HT_NEGATIVE, RW_ANODE_CATHODE, RW_ANODE_HT_POSITIVE };   /* where the anode meter's shunt stands */
enum { RW_FOOT_HT_NEGATIVE, RW_FOOT_EARTH, RW_FOOT_CATHODE };            /* where the grid leak (with its meter) comes back */
enum { RW_GAP_FITTED, RW_GAP_NONE };

typedef struct rw_meters_in {
	double anode_scale, grid_scale;    /* A full scale; R27 */
	double voltage_scale;              /* V full scale, HT; R27 */
	double filament_voltage_scale;     /* V rms; R27 */
	double filament_current_scale;     /* A rms; R27 */
	double shunt_voltage;              /* V across a shunt at full scale; R27: 60 mV */
	double accuracy;                   /* 1 of full scale; R27: 1.5 % */
	double gap_voltage;                /* V at which a gap across shunt or foot strikes; R27: 230 V */
	double lead_voltage_max;           /* V to earth meters and their wiring bear; R27: 600 V */
	double meter_voltage_max;          /* V the anode meter bears until the supply has cleared; optional */
	double divider_current;            /* A of the HT divider at full scale; R27: 1 mA */
	double divider_resistance;         /* ohm of its HT part; R27 */
	double divider_foot_resistance;    /* ohm across its meter; R27: 10 kohm */
	int32_t anode_place, leak_foot, bleeder_foot, gap;   /* choices */
} rw_meters_in;

typedef struct rw_meters_set {
	double anode_reading_least, anode_reading_normal, anode_reading_greatest;         /* A; normal: the case the set is sized on */
	double grid_reading_least, grid_reading_normal, grid_reading_greatest;            /* A */
	double voltage_reading_least, voltage_reading_normal, voltage_reading_greatest;   /* V */
	double frequency_least, frequency_normal, frequency_greatest;                     /* Hz */
	double anode_reading_error;        /* A, the instrument's */
	double anode_shunt_resistance, grid_shunt_resistance;   /* ohm */
	double anode_shunt_power, grid_shunt_power;             /* W at the greatest reading */
	double fault_voltage_pk;           /* V across the anode shunt in a flash-arc, inductance left out */
	double lead_voltage;               /* V to earth on the anode meter's leads when its shunt opens */
	double divider_power;              /* W at no load, mains high */
	double foot_open_voltage;          /* V to earth at the divider's foot when the meter opens, mains high, no load */
} rw_meters_set;

/* What each shows in a case. */
typedef struct rw_meters_case {
	double anode_reading;              /* A */
	double grid_reading;               /* A, of each valve's meter in the foot of its leak */
	double voltage_reading;            /* V, at the supply's output */
} rw_meters_case;

extern const rw_room rw_meters_room;

/* Rule R27 for open places, gaps and what rests on no case. */
void rw_meters_choose_places(rw_meters_in *in);

/* Currents of a set under load, A and V. */
typedef struct rw_metered {
	double valves;                     /* 1 */
	double anode_current_dc, grid_current_dc;   /* A of each valve */
	double bleeder_current_dc;         /* A */
} rw_metered;
double rw_anode_reading(const rw_meters_in *in, const rw_metered *currents);   /* A */

/* What scales and stresses rest on. NAN: no case is solved. */
typedef struct rw_meter_facts {
	double anode_over_trip, grid_over_trip;   /* A: they stand on the scale */
	double voltage_dc;                 /* V: no load, mains high */
	double filament_voltage_rms, filament_current_rms;   /* V, A */
	double fault_current;              /* A through the anode shunt in a flash-arc */
} rw_meter_facts;
/* Scales of open meters, from readings in set: the normal at most at 80 % of the scale, trips and no-load volts on it.
 * errs RW_E_RANGE: the foot of the divider takes the whole scale and leaves it no resistance */
RW_MUST_USE rw_status rw_meters_choose_scales(rw_meters_in *in, const rw_meters_set *set, const rw_meter_facts *facts, rw_error *err);
/* Shunts, leads and divider; readings are already in out. */
void rw_meters_solve(const rw_meters_in *in, const rw_meter_facts *facts, rw_meters_set *out);

#endif
