/* The coupled line: measured load, leads, tank, valve, grid circuit and supply, chosen together and rated together. */
#ifndef RW_CHAIN_LINE_H
#define RW_CHAIN_LINE_H

#include "chain/chain.h"
#include "chain/load.h"
#include "chain/set_rooms.h"
#include "chain/settings.h"
#include "coil/coil.h"
#include "coil/leads.h"
#include "coil/output.h"
#include "filament/filament.h"
#include "meters/meters.h"
#include "oscillator/oscillator.h"
#include "protection/protection.h"
#include "supply/supply.h"
#include "tank/tank.h"
#include "valve/valve.h"
#include "water/water.h"

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
	rw_coil_in       *coil;
	rw_leads_in      *leads;
	rw_output_in     *output;
	const rw_valve_points *valve_points; /* NULL: a law without points */
	rw_settings_in   *settings;
	const rw_job_loads *loads;
	const char       *load_name[RW_LOADS_MAX];
	int empty;                           /* index of the empty coil; -1: a load without one */
	int job;
} rw_line;

/* errs RW_E_VALUE when a measured work's 'empty' names no load state */
RW_MUST_USE rw_status rw_line_of(const rw_chain *chain, int job, rw_line *out, rw_error *err);
/* The tank as it is turned for the job. */
rw_tank_in rw_line_turned(const rw_line *line);
rw_supply_setting rw_line_setting(const rw_line *line);   /* HT ratio and firing angle, full on while open */
rw_mains rw_line_mains(const rw_line *line);
/* Anode volts when each valve takes current_dc (A) at a mains factor; 0 where the supply gives none. errs those of the supply */
RW_MUST_USE rw_status rw_line_anode_volts(const rw_line *line, const rw_supply_set *set, double factor, double current_dc, double *voltage_dc,
    rw_error *err);
rw_tank_valve rw_line_valve(const rw_valve_in *valve);   /* what of the valves of one side is in the tank's network */
int rw_line_valves(const rw_line *line);                 /* all valves of the set: sides of the tank times those in parallel */
rw_valve_law rw_line_law(const rw_chain *chain, int scase);   /* of the case's valve, new or worn */
/* The load state that an input names. errs RW_E_VALUE at key when the job has none of that name */
RW_MUST_USE rw_status rw_line_find_load(const rw_chain *chain, int job, const char *key, const char *name, int *load, rw_error *err);
const char *rw_line_load_name(const rw_chain *chain, int job, int load);

RW_MUST_USE rw_status rw_line_choose(rw_chain *chain, rw_error *err);                                   /* design.c of the chain */
/* All cases (rate.c). */
RW_MUST_USE rw_status rw_rate_cases(rw_chain *chain, rw_error *err);
RW_MUST_USE rw_status rw_line_rate(rw_chain *chain, int scase, rw_work *work, rw_error *err);
/* The tank of a load state tuned: what rating and the choice of the design state share. */
RW_MUST_USE rw_status rw_line_tune(const rw_line *line, int load, double current_rms, rw_work *work, rw_tank_tuning *tuning, rw_error *err);

/* Impedance of a load state at the coil, current_rms A in it; an error names the state. errs those of rw_load_impedance */
RW_MUST_USE rw_status rw_line_impedance(const rw_line *line, int load, double frequency, double current_rms, rw_impedance *out, rw_error *err);
/* The coil's own part of a resistance of a state: measured, that of the empty coil; a coil of turns, with the crowding by its work. */
RW_MUST_USE rw_status rw_line_own(const rw_line *line, int load, double frequency, double resistance, double *own, rw_error *err);
/* What the terminals see.   out  *current_ratio coil current over terminal current, NULL: not wanted */
RW_MUST_USE rw_status rw_line_load_at(const rw_line *line, int load, double frequency, double current_rms, rw_tank_load *out,
    double *current_ratio, rw_error *err);

/* The tank on a resistance at the coil's own terminals instead of a load state, leads and output transformer kept: off the cases, nothing of it
 * is stored. oscillates and the cases stay open where told is false: valve and tank then find no balance that can be trusted. A supply's current
 * limit is left out. */
typedef struct rw_line_trial {
	rw_tank_tuning tuning;
	rw_oscillator_case oscillator;
	rw_tank_case tank;
	double current_ratio;                /* 1: coil current over terminal current */
	bool told, oscillates;
} rw_line_trial;
/* in   resistance ohm between the coil's terminals; factor: mains over nominal   errs RW_E_MEMORY, RW_E_CANCELLED */
RW_MUST_USE rw_status rw_line_try(const rw_chain *chain, const rw_line *line, double resistance, double factor, rw_work *work,
    rw_line_trial *out, rw_error *err);

typedef struct rw_heat_point {
	rw_impedance coil;                   /* at the frequency */
	double own_resistance;               /* ohm, of the coil itself */
	rw_tank_load load;
	double coil_current_rms, output_current_rms;   /* A */
} rw_heat_point;
/* Currents at which a loaded state takes a heat.   errs RW_E_RANGE: a state with no more resistance than the empty coil */
RW_MUST_USE rw_status rw_line_heat_point(const rw_line *line, int load, double frequency, double heat, rw_heat_point *out, rw_error *err);

/* Output transformers by rule R18 (output.c of the chain). */
RW_MUST_USE rw_status rw_outputs_choose(rw_chain *chain, rw_error *err);
/* Refuses a single shot that the rated output cannot heat. errs RW_E_NOSOLVE with the scan that would do */
RW_MUST_USE rw_status rw_line_sizes(const rw_line *line, rw_error *err);

#endif
