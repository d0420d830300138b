/* A part's heating over its load states, and what is to be said of the part. */
#include <math.h>
#include <string.h>

#include "chain/followers.h"
#include "chain/line.h"

static const double austenite = 1003.15;   /* K: about 730 degC, where carbon steel begins to austenitise; memory */
static const double dense = 3000.0, light = 20.0;   /* kg/m3 of stuff between plates; memory */

/* The loaded states of a job at one mains with one valve in rising temperature. false: one of them is not solved. */
static bool course(const rw_chain *chain, int job, int mains, int valve, double temperature[RW_LOADS_MAX], double heat[RW_LOADS_MAX], int *n)
{
	const rw_solution *s = chain->solution;
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	*n = 0;
	for (int k = 0; k < s->n_cases; k++) {
		const rw_case_name *name = &s->cases[k];
		if (name->job != job || name->mains != mains || name->valve != valve || name->load == chain->loads[job].empty)
			continue;
		if (s->why_not[k])
			return false;
		double t = work->loads[name->load].temperature;
		int at = (*n)++;
		for (; at > 0 && temperature[at - 1] > t; at--) {
			temperature[at] = temperature[at - 1];
			heat[at] = heat[at - 1];
		}
		temperature[at] = t;
		heat[at] = ((const rw_work_case *)rw_chain_case(chain, "work", k))->heat;
	}
	return *n > 0;
}

static rw_status mean_heats(rw_chain *chain, int job, rw_error *err)
{
	for (int of = 0; of < 6; of++) {
		int mains = of % 3, valve = of / 3;
		double temperature[RW_LOADS_MAX], heat[RW_LOADS_MAX], mean;
		int n;
		if (!course(chain, job, mains, valve, temperature, heat, &n))
			continue;
		rw_status status = rw_work_mean_heat(&chain->loads[job].stuff.material, temperature, heat, n, &mean, err);
		if (status == RW_E_MISSING || status == RW_E_RANGE)   /* a state past the tables of the heat capacity: no mean is told */
			continue;
		RW_TRY(status);
		for (int k = 0; k < chain->solution->n_cases; k++)
			if (chain->solution->cases[k].job == job && chain->solution->cases[k].mains == mains && chain->solution->cases[k].valve == valve &&
			    !chain->solution->why_not[k])
				((rw_work_case *)rw_chain_case(chain, "work", k))->mean_heat = mean;
	}
	return RW_OK;
}

static rw_status tell_heat(rw_chain *chain, int job, rw_error *err)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	double needed = chain->loads[job].set.heat_needed;
	if (!rw_chain_given(chain, "work.heat_power", job) || work->heat_power >= 0.99 * needed)
		return RW_OK;
	return rw_chain_note(chain, "work.heat_power", RW_NO_CASE, err, "%s: %.3g kW is given and the treatment takes %.3g kW in its time: more time, or leave "
	    "heat_power open", chain->full->job_names[job], work->heat_power / 1e3, needed / 1e3);
}

/* What no figure shows. */
static rw_status tell_part(rw_chain *chain, int job, rw_error *err)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	const rw_material *material = &chain->loads[job].stuff.material;
	const char *name = chain->full->job_names[job];
	if (work->treatment != RW_TREATMENT_SURFACE)
		return RW_OK;
	if (isnan(material->curie_temperature))
		return rw_chain_note(chain, "work.material", RW_NO_CASE, err, "%s: '%s' has no Curie point here and hardly hardens by heat: the depth is only "
		    "heated", name, work->material);
	if (work->target_temperature < austenite)
		return rw_chain_note(chain, "work.target_temperature", RW_NO_CASE, err, "%s: at %.0f degC steel does not austenitise (from about 730 degC, from "
		    "memory): the depth is only heated", name, work->target_temperature - 273.15);
	return RW_OK;
}

static rw_status tell_stuff(rw_chain *chain, int job, rw_error *err)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	const rw_coil_in *coil = rw_chain_in(chain, "coil", job);
	double density = (work->mass + work->water_mass) / (coil->plate_length * coil->plate_width * work->thickness);
	if (density >= light && density <= dense)
		return RW_OK;
	return rw_chain_note(chain, "work.mass", RW_NO_CASE, err, "%s: %.3g kg between these plates would be %.3g kg/m3: check mass, thickness and plates",
	    chain->full->job_names[job], work->mass + work->water_mass, density);
}

rw_status rw_work_follow(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		const rw_work_in *work = rw_chain_in(chain, "work", j);
		if (work->kind == RW_WORK_BAR || work->kind == RW_WORK_TUBE) {
			RW_TRY(mean_heats(chain, j, err));
			RW_TRY(tell_heat(chain, j, err));
			RW_TRY(tell_part(chain, j, err));
		} else if (work->kind == RW_WORK_DIELECTRIC) {
			RW_TRY(tell_heat(chain, j, err));
			RW_TRY(tell_stuff(chain, j, err));
		}
	}
	return RW_OK;
}
