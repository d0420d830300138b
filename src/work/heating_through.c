#include <math.h>

#include "base/numeric.h"
#include "work/heating_internal.h"

static const double stefan_boltzmann = 5.670374419e-8;   /* W/(m2 K4), CODATA 2018 */
static const double zero_celsius = 273.15;                /* K */
static const double temperature_most = 5000.0;            /* K: end of what tables of materials may hold */

rw_status rw__heating_bounds(const rw__bound *list, int n, rw_error *err)
{
	for (int i = 0; i < n; i++) {
		const rw__bound *b = &list[i];
		if (isfinite(b->value) && (b->open ? b->value > b->least : b->value >= b->least))
			continue;
		(void)RW_RAISE(err, RW_E_RANGE, b->key, "a %s of '%.6g%s' is outside the model of heating", b->key, b->value, b->unit);
		rw_error_expected(err, "a finite value %s %.6g%s", b->open ? "above" : "of at least", b->least, b->unit);
		return RW_E_RANGE;
	}
	return RW_OK;
}

rw_status rw__heating_section(double radius, double bore, rw_error *err)
{
	const rw__bound list[] = {{"radius", " m", radius, 0.0, true}, {"bore", " m", bore, 0.0, false}};
	RW_TRY(rw__heating_bounds(list, 2, err));
	if (bore < radius)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "bore", "a bore of radius '%.6g mm' leaves no wall", 1e3 * bore);
	rw_error_expected(err, "less than %.6g mm", 1e3 * radius);
	return RW_E_RANGE;
}

double rw__heating_melting(const rw_material *material)
{
	return isnan(material->melting_temperature) ? temperature_most : material->melting_temperature;
}

static rw_status conductivity_of(void *material, double temperature, double *value, rw_error *err)
{
	return rw_material_at(material, RW_CONDUCTIVITY, temperature, value, err);
}

rw_status rw__heating_properties(const rw_material *material, double start, double target, rw__heated *out, rw_error *err)
{
	rw_material copy = *material;             /* the integrator takes its context without const */
	double heat, sum, error;
	if (isnan(material->density)) {
		(void)RW_RAISE(err, RW_E_MISSING, "density", "the material '%s' has no density", material->name);
		rw_error_expected(err, "a material whose entry has it");
		return RW_E_MISSING;
	}
	RW_TRY(rw_material_heat(material, start, target, &heat, err));
	RW_TRY(rw_integrate(conductivity_of, &copy, start, target, 0.0, 1e-7, &sum, &error, err));
	double conductivity = sum / (target - start);
	*out = (rw__heated){heat, conductivity, conductivity * (target - start) / (material->density * heat)};
	return RW_OK;
}

/* What both fluxes ask of their surroundings. */
static rw_status loss_check(double emissivity, double surface, double ambient, double convection, rw_error *err)
{
	const rw__bound list[] = {
		{"emissivity", "", emissivity, 0.0, false}, {"surface", " K", surface, 0.0, false}, {"ambient", " K", ambient, 0.0, false},
		{"convection", " W/(m2 K)", convection, 0.0, false},
	};
	RW_TRY(rw__heating_bounds(list, sizeof list / sizeof *list, err));
	if (emissivity <= 1.0)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "emissivity", "an emissivity of '%.6g' is more than black", emissivity);
	rw_error_expected(err, "0 to 1");
	return RW_E_RANGE;
}

rw_status rw_heat_loss_flux(double emissivity, double surface, double ambient, double convection, double *flux, rw_error *err)
{
	RW_TRY(loss_check(emissivity, surface, ambient, convection, err));
	*flux = emissivity * stefan_boltzmann * (pow(surface, 4.0) - pow(ambient, 4.0)) + convection * (surface - ambient);
	return RW_OK;
}

/* T = start + rise y^p, y the part of the time: the mean of y^(kp) is 1/(1 + kp), T^4 by the binomial theorem. */
rw_status rw_heating_loss_mean(double emissivity, double start, double end, double exponent, double ambient, double convection,
    double *flux, rw_error *err)
{
	static const double binomial[] = {1.0, 4.0, 6.0, 4.0, 1.0};
	const rw__bound list[] = {{"start", " K", start, 0.0, false}, {"exponent", "", exponent, 0.0, true}};
	RW_TRY(rw__heating_bounds(list, 2, err));
	RW_TRY(loss_check(emissivity, end, ambient, convection, err));
	double fourth = 0.0, mean = start + (end - start) / (1.0 + exponent);
	for (int k = 0; k <= 4; k++)
		fourth += binomial[k] * pow(start, 4 - k) * pow(end - start, k) / (1.0 + k * exponent);
	*flux = emissivity * stefan_boltzmann * (fourth - pow(ambient, 4.0)) + convection * (mean - ambient);
	return RW_OK;
}

rw_status rw_heating_cooling_time(double heat_per_area, double emissivity, double from, double to, double ambient, double *time,
    rw_error *err)
{
	const rw__bound list[] = {
		{"heat_per_area", " J/(m2 K)", heat_per_area, 0.0, true}, {"emissivity", "", emissivity, 0.0, true},
		{"ambient", " K", ambient, 0.0, true}, {"to", " K", to, ambient, true}, {"from", " K", from, to, true},
	};
	RW_TRY(rw__heating_bounds(list, sizeof list / sizeof *list, err));
	RW_TRY(loss_check(emissivity, from, ambient, 0.0, err));
	double logs = log((ambient + to) / (ambient + from) * ((from - ambient) / (to - ambient)));
	double f = (logs + 2.0 * (atan(to / ambient) - atan(from / ambient))) / (4.0 * pow(ambient, 3.0));
	*time = heat_per_area / (emissivity * stefan_boltzmann) * f;
	return RW_OK;
}

static rw_status through_check(const rw_through_job *job, rw_error *err)
{
	const rw__bound list[] = {
		{"length", " m", job->length, 0.0, true}, {"start", " K", job->start, 0.0, true},
		{"target", " K", job->target, job->start, true}, {"time", " s", job->time, 0.0, true},
	};
	RW_TRY(rw__heating_section(job->radius, job->bore, err));
	return rw__heating_bounds(list, sizeof list / sizeof *list, err);
}

/* Flux and difference go as 1/time, so that the least time follows from the one at hand. */
static rw_status too_short(double time, double least, double temperature, const char *what, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_RANGE, "time", "in '%.4g s' the %s '%.1f degC'", time, what, temperature - zero_celsius);
	rw_error_expected(err, "at least %.4g s", least);
	rw_error_hint(err, "a longer time or a thinner section");
	return RW_E_RANGE;
}

/* Ends of the profile about its mean: a parabola over the radius or over the wall. */
static rw_status through_ends(const rw_through_job *job, const rw_material *material, double flux, rw_through_heat *h, rw_error *err)
{
	double conductivity, wall = job->radius - job->bore, upper = job->bore > 0.0 ? 2.0 / 3.0 : 0.5;
	double melting = rw__heating_melting(material), rise = job->target - job->start;
	RW_TRY(rw_material_at(material, RW_CONDUCTIVITY, job->target, &conductivity, err));
	if (!(job->target < melting))
		return RW_RAISE(err, RW_E_RANGE, "target", "a target of '%.1f degC' is not below the melting of '%s'",
		    job->target - zero_celsius, material->name);
	h->difference = flux * wall / (2.0 * conductivity);
	h->surface_temperature = job->target + upper * h->difference;
	h->core_temperature = h->surface_temperature - h->difference;
	double least_core = job->time * (1.0 - upper) * h->difference / rise;
	double least_surface = job->time * upper * h->difference / (melting - job->target);
	if (h->core_temperature < job->start)
		return too_short(job->time, fmax(least_core, least_surface), job->start, "core would end under its start of", err);
	if (h->surface_temperature > melting)
		return too_short(job->time, least_surface, h->surface_temperature, "surface would melt: it would end at", err);
	return RW_OK;
}

rw_status rw_heating_through(const rw_through_job *job, const rw_material *material, rw_through_heat *out, rw_error *err)
{
	rw__heated heated;
	double emissivity;
	RW_TRY(through_check(job, err));
	RW_TRY(rw__heating_properties(material, job->start, job->target, &heated, err));
	rw_through_heat h = {.heat = heated.heat, .area = 2.0 * M_PI * job->radius * job->length};
	h.mass = material->density * M_PI * (job->radius - job->bore) * (job->radius + job->bore) * job->length;
	h.energy = h.mass * h.heat;
	h.flux = h.energy / (job->time * h.area);
	RW_TRY(through_ends(job, material, h.flux, &h, err));
	RW_TRY(rw_material_at(material, RW_EMISSIVITY, h.surface_temperature, &emissivity, err));
	RW_TRY(rw_heating_loss_mean(emissivity, job->start, h.surface_temperature, 1.0, job->ambient, job->convection, &h.loss_flux, err));
	h.surface_power = h.flux + h.loss_flux;
	h.power = h.surface_power * h.area;
	*out = h;
	return RW_OK;
}
