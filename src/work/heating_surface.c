#include <math.h>

#include "base/numeric.h"
#include "work/heating_internal.h"

enum { DOUBLINGS_MAX = 120 };

static const double zero_celsius = 273.15;   /* K */

typedef struct hardening { const rw_surface_job *job; rw_heating_body body; rw__heated heated; } hardening;

static rw_status rise_at(const hardening *h, double time, double depth, double *rise, rw_error *err)
{
	return rw_heating_rise(&h->body, h->heated.conductivity, h->heated.diffusivity, h->job->skin_depth, time, depth, rise, err);
}

/* Above zero where the surface ends below surface_max: no quotient, since the depth may have no rise to speak of. */
static rw_status margin(void *context, double time, double *y, rw_error *err)
{
	const hardening *h = context;
	double at_depth, at_surface;
	RW_TRY(rise_at(h, time, h->job->depth, &at_depth, err));
	RW_TRY(rise_at(h, time, 0.0, &at_surface, err));
	*y = (at_depth * (h->job->surface_max - h->job->start) - at_surface * (h->job->target - h->job->start)) / at_surface;
	return RW_OK;
}

/* The least time that keeps to surface_max. Heat that spreads by 1/20 of the depth is where it was absorbed: the search begins there. */
static rw_status least_time(hardening *h, double *time, rw_error *err)
{
	double high = h->job->depth * h->job->depth / (400.0 * h->heated.diffusivity), y;
	rw_root root;
	RW_TRY(margin(h, high, &y, err));
	if (y >= 0.0) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "time",
		    "the skin depth of '%.4g mm' alone heats to '%.4g mm': the surface keeps under '%.1f degC' in any time",
		    1e3 * h->job->skin_depth, 1e3 * h->job->depth, h->job->surface_max - zero_celsius);
		rw_error_expected(err, "a time given, a greater depth, a lower surface_max or a higher frequency");
		rw_error_hint(err, "%.3g s is the least time tried", high);
		return RW_E_NOSOLVE;
	}
	for (int i = 0; i < DOUBLINGS_MAX && y < 0.0; i++) {
		high *= 2.0;
		RW_TRY(margin(h, high, &y, err));
	}
	RW_TRY(rw_root_find(margin, h, 0.5 * high, high, 0.0, 1e-12, &root, err));
	*time = root.x;
	return RW_OK;
}

static rw_status job_check(const rw_surface_job *job, const rw_material *material, rw_error *err)
{
	double melting = rw__heating_melting(material), wall = job->radius - job->bore;
	const rw__bound list[] = {
		{"length", " m", job->length, 0.0, true}, {"depth", " m", job->depth, 0.0, true},
		{"skin_depth", " m", job->skin_depth, 0.0, false}, {"start", " K", job->start, 0.0, true},
		{"target", " K", job->target, job->start, true}, {"surface_max", " K", job->surface_max, job->target, true},
		{"time", " s", isnan(job->time) ? 1.0 : job->time, 0.0, true},
	};
	RW_TRY(rw__heating_section(job->radius, job->bore, err));
	RW_TRY(rw__heating_bounds(list, sizeof list / sizeof *list, err));
	if (!(job->depth < wall)) {
		(void)RW_RAISE(err, RW_E_RANGE, "depth", "a depth of '%.6g mm' is not a layer of the section", 1e3 * job->depth);
		rw_error_expected(err, "less than %.6g mm", 1e3 * wall);
		return RW_E_RANGE;
	}
	if (job->surface_max < melting)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_RANGE, "surface_max", "a surface_max of '%.1f degC' lets '%s' melt", job->surface_max - zero_celsius,
	    material->name);
	rw_error_expected(err, "less than %.1f degC", melting - zero_celsius);
	return RW_E_RANGE;
}

/* temperature: beyond all sense, and infinite at last, where no heat reaches the depth */
static rw_status surface_melts(hardening *h, double time, double temperature, rw_error *err)
{
	double least, depth = 1e3 * h->job->depth;
	if (temperature < 1e5)
		(void)RW_RAISE(err, RW_E_RANGE, "time", "in '%.4g s' the surface would melt: it would need '%.1f degC' for '%.4g mm'", time,
		    temperature - zero_celsius, depth);
	else
		(void)RW_RAISE(err, RW_E_RANGE, "time", "in '%.4g s' no heat comes to '%.4g mm'", time, depth);
	if (least_time(h, &least, NULL) != RW_OK)
		return RW_E_RANGE;
	rw_error_expected(err, "at least %.4g s", least);
	rw_error_hint(err, "%.4g s keeps the surface to '%.1f degC'", least, h->job->surface_max - zero_celsius);
	return RW_E_RANGE;
}

static rw_status conduct(hardening *h, const rw_material *material, rw_surface_heat *s, rw_error *err)
{
	const rw_surface_job *job = h->job;
	double at_depth, at_surface, at_core;
	s->time = job->time;
	if (isnan(job->time))
		RW_TRY(least_time(h, &s->time, err));
	RW_TRY(rise_at(h, s->time, job->depth, &at_depth, err));
	RW_TRY(rise_at(h, s->time, 0.0, &at_surface, err));
	RW_TRY(rise_at(h, s->time, job->radius - job->bore, &at_core, err));
	s->flux = (job->target - job->start) / at_depth;
	s->surface_temperature = job->start + s->flux * at_surface;
	s->core_temperature = job->start + s->flux * at_core;
	s->energy = s->flux * s->time;
	if (s->surface_temperature <= rw__heating_melting(material))
		return RW_OK;
	return surface_melts(h, s->time, s->surface_temperature, err);
}

rw_status rw_heating_surface(const rw_surface_job *job, const rw_material *material, rw_surface_heat *out, rw_error *err)
{
	hardening h = {.job = job, .body = {job->radius, job->bore}};
	double emissivity;
	RW_TRY(job_check(job, material, err));
	RW_TRY(rw__heating_properties(material, job->start, job->target, &h.heated, err));
	rw_surface_heat s = {.conductivity = h.heated.conductivity, .diffusivity = h.heated.diffusivity};
	RW_TRY(conduct(&h, material, &s, err));
	RW_TRY(rw_material_at(material, RW_EMISSIVITY, s.surface_temperature, &emissivity, err));
	RW_TRY(rw_heating_loss_mean(emissivity, job->start, s.surface_temperature, 0.5, job->ambient, job->convection, &s.loss_flux, err));
	s.surface_power = s.flux + s.loss_flux;
	s.area = 2.0 * M_PI * job->radius * job->length;
	s.power = s.surface_power * s.area;
	*out = s;
	return RW_OK;
}

rw_status rw_heating_scan(const rw_surface_heat *single, double radius, double length, double power_available, double zone_min,
    rw_scan *out, rw_error *err)
{
	const rw__bound list[] = {
		{"time", " s", single->time, 0.0, true}, {"surface_power", " W/m2", single->surface_power, 0.0, true},
		{"radius", " m", radius, 0.0, true}, {"length", " m", length, 0.0, true}, {"power", " W", power_available, 0.0, true},
		{"zone_min", " m", zone_min, 0.0, false},
	};
	RW_TRY(rw__heating_bounds(list, sizeof list / sizeof *list, err));
	double per_metre = single->surface_power * 2.0 * M_PI * radius;
	double allowed = power_available / per_metre, least = fmin(zone_min, length);
	if (allowed < least) {
		(void)RW_RAISE(err, RW_E_NOSOLVE, "power",
		    "a power of '%.4g kW' heats a zone of '%.4g mm' only: even a narrow zone wants more",
		    1e-3 * power_available, 1e3 * allowed);
		rw_error_expected(err, "at least %.4g kW for %.4g mm", 1e-3 * per_metre * least, 1e3 * least);
		rw_error_hint(err, "a longer time, a lesser depth or more power");
		return RW_E_NOSOLVE;
	}
	rw_scan s = {.zone = fmin(allowed, length), .fits = allowed >= length};
	s.speed = s.zone / single->time;
	s.time = (length + s.zone) / s.speed;
	s.power = s.zone * per_metre;
	*out = s;
	return RW_OK;
}
