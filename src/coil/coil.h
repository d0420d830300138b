/* The work coil as the load port sees it: resistance and reactance in the case at hand, current, volts, own loss and efficiency. */
#ifndef RW_COIL_COIL_H
#define RW_COIL_COIL_H

#include "item/item.h"

typedef struct rw_coil_case {
	double resistance, reactance;    /* ohm at the case's frequency, work in place */
	double resistance_empty;         /* ohm, the empty coil at the same frequency */
	double inductance;               /* H */
	double current_rms, voltage_rms; /* A, V */
	double power;                    /* W into the coil's terminals */
	double loss;                     /* W in the coil itself */
	double efficiency;               /* 1: heat in the work over power into the coil */
	double reactive_power;           /* var */
} rw_coil_case;

extern const rw_room rw_coil_room;

#endif
