/* The work coil, of turns or plates, as the load port sees it: resistance and reactance in the case at hand, current, volts, own loss,
 * efficiency, stress between turns and to the work, cooling. A measured coil has its tables in the work; here only what follows. */
#ifndef RW_COIL_COIL_H
#define RW_COIL_COIL_H

#include "coil/loaded.h"
#include "item/item.h"

enum { RW_COIL_MEASURED, RW_COIL_TURNS, RW_COIL_PLATES };

typedef struct rw_coil_in {
	double turns;                    /* 1, whole */
	double inner_diameter, length;   /* m: clear bore; over the conductors, first to last */
	double width, thickness;         /* m: outer diameter of the tube or axial width of the strip; wall or radial thickness */
	double temperature;              /* K of its copper; R6: 60 degC */
	double field_pk_max;             /* V/m between turns and to the work; R16 */
	double water_rise, velocity_max; /* K, m/s in the bore; R16 */
	double plate_length, plate_width;/* m, of one plate */
	double water_paths;              /* 1, whole: paths its water takes side by side; R16: 1 */
	int32_t kind, conductor;
} rw_coil_in;

typedef struct rw_coil_case {
	double resistance, reactance;    /* ohm at the case's frequency, work in place */
	double own_resistance;           /* ohm of the coil itself: the empty coil; of turns, with the crowding by the work */
	double inductance;               /* H: reactance over w; negative for plates */
	double capacitance;              /* F, plates: of the parallel equivalent */
	double current_rms, voltage_rms; /* A, V */
	double power;                    /* W into the coil's terminals */
	double loss;                     /* W in the coil itself */
	double efficiency;               /* 1: heat in the work over power into the coil */
	double reactive_power;           /* var */
	double port_error;               /* 1: of the ladder that stands for the coil, greatest error of R or X over its span */
	double turn_voltage_pk;          /* V from turn to turn */
	double turn_field_pk, work_field_pk;   /* V/m between turns, between coil and work */
	double water_flow, water_velocity;     /* m3/s, m/s in the tube's bore */
} rw_coil_case;

extern const rw_room rw_coil_room;

/* Fills open inputs by rules R6 and R16.   in work_diameter m of a bar or tube, else NAN
 * errs RW_E_VALUE turns not whole; RW_E_RANGE: turns that do not fit their length, a coil that does not clear the work, a tube without bore */
RW_MUST_USE rw_status rw_coil_choose(rw_coil_in *in, double work_diameter, rw_error *err);
rw_coil_turns rw_coil_turns_of(const rw_coil_in *in);

/* Stress and cooling of a coil of turns at the volts, current, power and loss of the case; other kinds are left alone.
 * in   body NULL: empty   errs those of rw_coil_stress */
RW_MUST_USE rw_status rw_coil_rate(const rw_coil_in *in, const rw_coil_body *body, const rw_medhurst *medhurst, double frequency,
                                   rw_coil_case *out, rw_error *err);

#endif
