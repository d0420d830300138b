/* Stored energy and how it leaves: capacitors on the HT, bleeder, time to safe volts. Rule R12. The bleeder is convenience, never the
 * means: the outputs say so, and that discharge and earthing devices decide (local codes, licensed practice). */
#ifndef RW_PROTECTION_PROTECTION_H
#define RW_PROTECTION_PROTECTION_H

#include "item/item.h"

enum { RW_STORES_MAX = 16 };

typedef struct rw_store_in { double capacitance; } rw_store_in;      /* F, between HT and earth */

typedef struct rw_protection_in {
	double safe_voltage_dc;        /* V; R12: 60 V (IEC 60204-1) */
	double safe_time;              /* s; R12: 5 s (same) */
	double bleeder_current;        /* A DC, least; R12: 5 mA */
	double bleeder_resistance;     /* ohm; R12 */
	int32_t n_stores, unused;
	rw_store_in stores[RW_STORES_MAX];   /* HT capacitors besides the tank's blocking capacitor: bypass, filter */
} rw_protection_in;

typedef struct rw_store_set { double energy; } rw_store_set;         /* J */
typedef struct rw_protection_set {
	double voltage_dc;             /* V: no load, mains high */
	double capacitance;            /* F: all stores and the blocking capacitor */
	double stored_energy;          /* J at voltage_dc */
	double stored_charge;          /* C */
	double bleeder_power;          /* W at voltage_dc */
	double discharge_time;         /* s to safe_voltage_dc through the bleeder alone */
	rw_store_set stores[RW_STORES_MAX];
} rw_protection_set;

typedef struct rw_protection_case { double bleeder_loss; } rw_protection_case;   /* W under load */

extern const rw_room rw_protection_room;

/* voltage_dc: no-load HT at mains high, V; blocking_capacitance F. errs RW_E_RANGE */
RW_MUST_USE rw_status rw_protection_choose(rw_protection_in *in, double voltage_dc, double blocking_capacitance, rw_error *err);
RW_MUST_USE rw_status rw_protection_solve(const rw_protection_in *in, double voltage_dc, double blocking_capacitance,
    rw_protection_set *out, rw_error *err);

#endif
