/* What the valve's ratings say together, and what rules grant valves that age or share. */
#include <math.h>

#include "valve/valve.h"

/* Rule R20. */
static const double spread_perveance = 0.10, spread_mu = 0.05, derating = 0.9, margin = 0.3;   /* where several share */
static const double worn_perveance = 0.9, worn_emission = 0.7;

static void fill(double *member, double rule)
{
	if (isnan(*member))
		*member = rule;
}

void rw_valve_choose(rw_valve_in *in, int sides)
{
	if (in->law < 0)
		in->law = RW_LAW_DIVIDED;
	if (in->parallel < 0)
		in->parallel = 1;
	bool several = sides * in->parallel > 1;
	fill(&in->spread_perveance, several ? spread_perveance : 0.0);
	fill(&in->spread_mu, several ? spread_mu : 0.0);
	fill(&in->parallel_derating, several ? derating : 1.0);
	fill(&in->grid_margin, several ? margin : 0.0);
	fill(&in->worn_perveance, worn_perveance);
	fill(&in->worn_emission, worn_emission);
}

static rw_status go_together(const char *there, const char *missing, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_VALUE, there, "it says nothing without '%s'", missing);
	rw_error_expected(err, "'frequency_max', 'frequency_max_derated' and 'derated_share', all three");
	rw_error_hint(err, "add 'valve.%s', or leave this out", missing);
	return RW_E_VALUE;
}

rw_status rw_valve_check(const rw_valve_in *in, rw_error *err)
{
	bool upper = !isnan(in->frequency_max_derated), share = !isnan(in->derated_share);
	if (upper && !share)
		return go_together("valve.frequency_max_derated", "derated_share", err);
	if (share && !upper)
		return go_together("valve.derated_share", "frequency_max_derated", err);
	if (upper && isnan(in->frequency_max))
		return go_together("valve.frequency_max_derated", "frequency_max", err);
	if (upper && in->frequency_max_derated <= in->frequency_max) {
		(void)RW_RAISE(err, RW_E_VALUE, "valve.frequency_max_derated", "%.4g MHz is not above the frequency of full ratings, %.4g MHz",
		    in->frequency_max_derated / 1e6, in->frequency_max / 1e6);
		rw_error_expected(err, "a frequency above 'frequency_max'");
		rw_error_hint(err, "leave it out when the valve is rated to one frequency only");
		return RW_E_VALUE;
	}
	if (in->water_flow_filament > in->water_flow_min) {
		(void)RW_RAISE(err, RW_E_VALUE, "valve.water_flow_filament", "more water with the filament alone than at full dissipation");
		rw_error_expected(err, "at most 'water_flow_min', %.4g L/min", in->water_flow_min * 6e4);
		rw_error_hint(err, "check the two against the valve's sheet");
		return RW_E_VALUE;
	}
	return RW_OK;
}

bool rw_valve_derates(const rw_valve_in *in) { return !isnan(in->frequency_max_derated) && !isnan(in->derated_share); }

double rw_valve_derating(const rw_valve_in *in, double frequency)
{
	if (!rw_valve_derates(in))
		return 1.0;
	double over = (frequency - in->frequency_max) / (in->frequency_max_derated - in->frequency_max);
	return 1.0 - (1.0 - in->derated_share) * fmin(fmax(over, 0.0), 1.0);
}
