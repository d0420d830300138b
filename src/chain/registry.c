/* The rooms of the program in the order of the line, mains to work, and where each takes part in the solve. */
#include "chain/duty.h"
#include "chain/faults.h"
#include "chain/followers.h"
#include "chain/line.h"
#include "chain/settings.h"

static const rw_stage stages[] = {
    {.room = &rw_generator_room, .choose = rw_band_choose, .follow = rw_band_follow},
    {.room = &rw_site_room, .choose = rw_site_choose},
    {.room = &rw_cases_room, .choose = rw_cases_choose},
    {.room = &rw_case_room},
    {.room = &rw_mains_room},
    {.room = &rw_supply_room, .settle = rw_supply_settle},
    {.room = &rw_filament_room, .choose = rw_filament_stage_choose, .settle = rw_filament_settle},
    {.room = &rw_valve_room, .follow = rw_valve_follow},
    {.room = &rw_oscillator_room, .choose = rw_line_choose, .settle = rw_oscillator_settle, .rate = rw_line_rate},   /* chooses and rates supply to work together */
    {.room = &rw_tank_room, .settle = rw_tank_settle},
    {.room = &rw_output_room},
    {.room = &rw_leads_room},
    {.room = &rw_coil_room},
    {.room = &rw_work_room, .settle = rw_work_settle, .follow = rw_work_follow},
    {.room = &rw_settings_room},
    {.room = &rw_water_room, .follow = rw_water_follow},
    {.room = &rw_protection_room, .settle = rw_protection_settle},
    {.room = &rw_fault_room, .choose = rw_fault_stage_choose, .follow = rw_fault_follow},
    {.room = &rw_meters_room, .choose = rw_meters_stage_choose, .follow = rw_guards_follow},   /* sizes the trips too: they see what the meters do */
    {.room = &rw_duty_room, .choose = rw_duty_stage_choose, .follow = rw_duty_follow},   /* sizes the mains side too */
    {.room = &rw_load_fault_room, .follow = rw_load_fault_follow},
};

enum { N_STAGES = sizeof stages / sizeof stages[0] };

static const rw_room *const rooms[N_STAGES] = {
    &rw_generator_room, &rw_site_room, &rw_cases_room, &rw_case_room, &rw_mains_room, &rw_supply_room, &rw_filament_room, &rw_valve_room, &rw_oscillator_room,
    &rw_tank_room, &rw_output_room, &rw_leads_room, &rw_coil_room, &rw_work_room, &rw_settings_room, &rw_water_room, &rw_protection_room,
    &rw_fault_room, &rw_meters_room, &rw_duty_room, &rw_load_fault_room,
};

static const rw_registry registry = {rooms, N_STAGES};
const rw_stages rw_all_stages = {stages, N_STAGES, &registry};
