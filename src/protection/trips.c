/* Overcurrent and grid-current trips: rule R26 and the margins on both sides. */
#include <math.h>

#include "base/numeric.h"
#include "protection/protection.h"

static void fill(double *member, double value)
{
	if (isnan(*member))
		*member = value;
}

/* So many times the greatest normal, no more than half way from it to what the part bears; at that where the normal is over it. */
static double over_trip(double factor, double greatest, double bears)
{
	double trip = factor * greatest;
	if (isnan(greatest))   /* no case was solved */
		return greatest;
	return rw_round_digits(isnan(bears) ? trip : fmin(trip, 0.5 * (fmin(greatest, bears) + bears)), 3);
}

void rw_trips_choose_times(rw_protection_in *in, double mains_frequency)
{
	if (in->grid_under < 0)
		in->grid_under = RW_GUARD_FITTED;
	if (in->phase_loss < 0)
		in->phase_loss = RW_GUARD_FITTED;
	fill(&in->grid_over_time, 0.2);
	fill(&in->fast_clearing_time, rw_round_digits(0.5 / mains_frequency, 3));
}

void rw_trips_choose(rw_protection_in *in, const rw_trip_facts *facts)
{
	fill(&in->anode_over_trip, over_trip(1.25, facts->anode_reading_greatest, facts->anode_reading_max));
	fill(&in->grid_over_trip, over_trip(1.2, facts->grid_current_greatest, facts->grid_current_max));
	if (in->grid_under != RW_GUARD_FITTED)
		return;
	fill(&in->grid_under_trip, rw_round_digits(0.5 * facts->grid_current_least, 2));
	fill(&in->grid_under_time, fmin(0.2, fmax(0.02, rw_round_digits(0.5 * (facts->bears_time - in->clearing_time), 2))));
}

void rw_trips_solve(const rw_protection_in *in, const rw_trip_facts *facts, rw_protection_set *out)
{
	out->anode_over_clearance = in->anode_over_trip / facts->anode_reading_greatest - 1.0;
	out->grid_over_clearance = in->grid_over_trip / facts->grid_current_greatest - 1.0;
	bool under = in->grid_under == RW_GUARD_FITTED;
	out->grid_under_clearance = !under ? (double)NAN : 1.0 - in->grid_under_trip / facts->grid_current_least;
	out->anode_over_reserve = 1.0 - in->anode_over_trip / facts->anode_reading_max;
	out->grid_over_reserve = 1.0 - in->grid_over_trip / facts->grid_current_max;
	out->stopped_over_share = facts->stopped_reading / in->anode_over_trip;
	out->stopped_energy = !under ? (double)NAN : facts->stopped_loss * (in->grid_under_time + in->clearing_time);
}
