/* The coupled line: measured load, leads, tank, valve, grid circuit and supply, chosen together and rated together. */
#ifndef RW_CHAIN_LINE_H
#define RW_CHAIN_LINE_H

#include "chain/chain.h"
#include "chain/set_rooms.h"
#include "coil/coil.h"
#include "coil/leads.h"
#include "coil/output.h"
#include "filament/filament.h"
#include "oscillator/oscillator.h"
#include "protection/protection.h"
#include "supply/supply.h"
#include "tank/tank.h"
#include "valve/valve.h"
#include "water/water.h"
#include "work/work_load.h"

/* The input structs of one job of the set, by name. */
typedef struct rw_line {
	rw_generator_in  *generator;
	rw_site_in       *site;
	rw_cases_in      *cases;
	rw_valve_in      *valve;
	rw_oscillator_in *oscillator;
	rw_tank_in       *tank;
	rw_supply_in     *supply;
	rw_protection_in *protection;
	rw_filament_in   *filament;
	rw_work_in       *work;
	rw_leads_in      *leads;
	const rw_table   *load[RW_LOADS_MAX];
	const char       *load_name[RW_LOADS_MAX];
	int empty;                           /* index of the empty coil */
	int job;
} rw_line;

/* errs RW_E_VALUE when work.empty names no load state */
RW_MUST_USE rw_status rw_line_of(const rw_chain *chain, int job, rw_line *out, rw_error *err);
rw_mains rw_line_mains(const rw_line *line);
rw_tank_valve rw_line_valve(const rw_valve_in *valve);   /* what of the valve is in the tank's network */
/* The load state that an input names. errs RW_E_VALUE at key when the job has none of that name */
RW_MUST_USE rw_status rw_line_find_load(const rw_chain *chain, int job, const char *key, const char *name, int *load, rw_error *err);
const char *rw_line_load_name(const rw_chain *chain, int job, int load);

RW_MUST_USE rw_status rw_line_choose(rw_chain *chain, rw_error *err);                                   /* design.c of the chain */
/* All cases (rate.c). */
RW_MUST_USE rw_status rw_rate_cases(rw_chain *chain, rw_error *err);
RW_MUST_USE rw_status rw_line_rate(rw_chain *chain, int scase, rw_work *work, rw_error *err);
/* The tank of a load state tuned: what rating and the choice of the design state share. */
RW_MUST_USE rw_status rw_line_tune(const rw_line *line, int load, rw_work *work, rw_tank_tuning *tuning, rw_error *err);
/* Impedance of a load state; an error names it. errs those of rw_impedance_at */
RW_MUST_USE rw_status rw_line_impedance(const rw_line *line, int load, double frequency, rw_impedance *out, rw_error *err);
RW_MUST_USE rw_status rw_line_load_at(const rw_line *line, int load, double frequency, rw_tank_load *out, rw_error *err);

#endif
