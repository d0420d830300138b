/* Stages without loops: what is chosen and solved beside the line, and what is sized on its worst case. */
#ifndef RW_CHAIN_FOLLOWERS_H
#define RW_CHAIN_FOLLOWERS_H

#include "chain/chain.h"

/* Hooks of the registry, see rw_stage. */
rw_status rw_site_choose(rw_chain *chain, rw_error *err);
rw_status rw_cases_choose(rw_chain *chain, rw_error *err);
rw_status rw_oscillator_settle(rw_chain *chain, rw_error *err);
rw_status rw_tank_settle(rw_chain *chain, rw_error *err);
rw_status rw_supply_settle(rw_chain *chain, rw_error *err);
rw_status rw_filament_stage_choose(rw_chain *chain, rw_error *err);
rw_status rw_band_choose(rw_chain *chain, rw_error *err);
rw_status rw_band_follow(rw_chain *chain, rw_error *err);
rw_status rw_valve_follow(rw_chain *chain, rw_error *err);
rw_status rw_work_follow(rw_chain *chain, rw_error *err);
rw_status rw_work_settle(rw_chain *chain, rw_error *err);
rw_status rw_filament_settle(rw_chain *chain, rw_error *err);
rw_status rw_protection_settle(rw_chain *chain, rw_error *err);
rw_status rw_meters_stage_choose(rw_chain *chain, rw_error *err);
rw_status rw_guards_follow(rw_chain *chain, rw_error *err);   /* guards.c of the chain: meters and trips */
rw_status rw_water_follow(rw_chain *chain, rw_error *err);

/* Series of the filament, as rw_chain_series. */
rw_status rw_filament_start_series(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err);
rw_status rw_filament_heating_series(const rw_chain *chain, int scase, int n, double *x, double *y, rw_error *err);
/* data/tables/tungsten.yaml */
rw_status rw_read_tungsten(rw_arena *arena, const rw_chain_base *base, rw_tungsten *out, rw_error *err);

/* Fills open inputs of valve and filament from the valve's library entry; marks what comes from memory or is invented. */
rw_status rw_take_library(rw_chain *chain, rw_error *err);
/* Of it: the points of law 'points', R1 (valve_points.c). */
rw_status rw_take_points(rw_chain *chain, rw_error *err);
rw_status rw_choose_law(rw_chain *chain, rw_error *err);

#endif
