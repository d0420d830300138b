/* What the files of the tank room share. */
#ifndef RW_TANK_TANK_INTERNAL_H
#define RW_TANK_TANK_INTERNAL_H

#include "tank/tank.h"

/* Inductor and feedback part of a chosen tank, set right on the network itself: the frequency wanted, the grid's share wanted; then
 * rounded. given: the tank as the file has it; what stands in it stays. errs RW_E_NOSOLVE */
RW_MUST_USE rw_status rw__tank_fit(const rw_tank_in *given, rw_tank_in *tank, const rw_tank_valve *valve, const rw_tank_want *want,
    double ratio,
                                   rw_work *work, rw_error *err);

#endif
