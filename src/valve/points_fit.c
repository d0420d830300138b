/* Fit of the divided law to points. Unknowns: logarithms of perveance, mu (unless held) and division (unless no grid current is among the
 * points), so that they stay positive. Each residual is the error of a current over that current and a twentieth of the greatest of its kind:
 * relative for the large ones, and the points about cut-off do not rule. Levenberg-Marquardt from straight lines through ia^(2/3). */
#include <gsl/gsl_multifit_nlinear.h>

#include "valve/valve_internal.h"

enum { POINTS_MAX = 4096, STEPS_MAX = 200 };
static const double floor_share = 0.05;

typedef struct fitting {
	const rw_valve_point *points;
	int n;
	double mu_held;              /* NAN: found */
	bool with_grid;
	double anode_most, grid_most;
} fitting;

static rw_valve_law law_at(const fitting *f, const gsl_vector *x)
{
	rw_valve_law law = {.law = RW_LAW_DIVIDED, .perveance = exp(gsl_vector_get(x, 0)), .mu = f->mu_held, .division = 2.4, .emission = (double)INFINITY};
	size_t k = 1;
	if (isnan(law.mu))
		law.mu = exp(gsl_vector_get(x, k++));
	if (f->with_grid)
		law.division = exp(gsl_vector_get(x, k));
	return law;
}

static int residuals(const gsl_vector *x, void *context, gsl_vector *out)
{
	const fitting *f = context;
	rw_valve_law law = law_at(f, x);
	for (int i = 0; i < f->n; i++) {
		const rw_valve_point *p = &f->points[i];
		double ia, ig;
		rw_valve_currents(&law, p->anode_voltage, p->grid_voltage, &ia, &ig);
		gsl_vector_set(out, (size_t)i, (ia - p->anode_current) / (p->anode_current + floor_share * f->anode_most));
		if (f->with_grid)
			gsl_vector_set(out, (size_t)(f->n + i), (ig - p->grid_current) / (p->grid_current + floor_share * f->grid_most));
	}
	return GSL_SUCCESS;
}

/* ia^(2/3) = a vg + b va where no grid current flows: P = a^1.5, mu = a/b. */
static void start(const fitting *f, double *perveance, double *mu)
{
	double gg = 0.0, ga = 0.0, aa = 0.0, gw = 0.0, aw = 0.0;
	for (int i = 0; i < f->n; i++) {
		const rw_valve_point *p = &f->points[i];
		if (p->grid_voltage > 0.0 || !(p->anode_current > 0.0))
			continue;
		double w = pow(p->anode_current, 2.0 / 3.0);
		gg += p->grid_voltage * p->grid_voltage;
		ga += p->grid_voltage * p->anode_voltage;
		aa += p->anode_voltage * p->anode_voltage;
		gw += p->grid_voltage * w;
		aw += p->anode_voltage * w;
	}
	double det = gg * aa - ga * ga, a = (gw * aa - aw * ga) / det, b = (aw * gg - gw * ga) / det;
	bool good = det > 1e-9 * gg * aa && a > 0.0 && b > 0.0;
	*mu = !isnan(f->mu_held) ? f->mu_held : good ? fmin(fmax(a / b, 1.5), 500.0) : 20.0;
	rw_valve_law unit = {.law = RW_LAW_DIVIDED, .perveance = 1.0, .mu = *mu, .division = 2.4, .emission = (double)INFINITY};
	double sum = 0.0, of_unit = 0.0;
	for (int i = 0; i < f->n; i++) {
		double ia, ig;
		rw_valve_currents(&unit, f->points[i].anode_voltage, f->points[i].grid_voltage, &ia, &ig);
		sum += f->points[i].anode_current;
		of_unit += ia;
	}
	*perveance = of_unit > 0.0 ? sum / of_unit : 1e-3;
}

static rw_status survey(fitting *f, rw_error *err)
{
	if (f->n < 2 || f->n > POINTS_MAX)
		return RW_RAISE(err, RW_E_RANGE, "valve.points", "%d points, not 2 to %d", f->n, (int)POINTS_MAX);
	if (!isnan(f->mu_held) && !(f->mu_held > 0.0 && isfinite(f->mu_held)))
		return RW_RAISE(err, RW_E_RANGE, "mu", "the amplification factor %g is not positive", f->mu_held);
	for (int i = 0; i < f->n; i++) {
		const rw_valve_point *p = &f->points[i];
		if (!(p->anode_current >= 0.0 && p->grid_current >= 0.0 && isfinite(p->anode_current + p->grid_current + p->anode_voltage + p->grid_voltage)))
			return RW_RAISE(err, RW_E_RANGE, "valve.points", "point %d has a current that is negative or not a number", i + 1);
		f->anode_most = fmax(f->anode_most, p->anode_current);
		f->grid_most = fmax(f->grid_most, p->grid_current);
	}
	if (!(f->anode_most > 0.0))
		return RW_RAISE(err, RW_E_RANGE, "valve.points", "no anode current flows in the points");
	f->with_grid = f->grid_most > 0.0;
	return RW_OK;
}

static void tell_errors(const fitting *f, const rw_valve_law *law, rw_points_fit *fit)
{
	double anode = 0.0, grid = 0.0;
	for (int i = 0; i < f->n; i++) {
		const rw_valve_point *p = &f->points[i];
		double ia, ig;
		rw_valve_currents(law, p->anode_voltage, p->grid_voltage, &ia, &ig);
		double a = (ia - p->anode_current) / f->anode_most, g = f->with_grid ? (ig - p->grid_current) / f->grid_most : 0.0;
		anode += a * a;
		grid += g * g;
		if (fabs(a) > fabs(fit->anode_error_most))
			fit->anode_error_most = a, fit->anode_worst = i;
		if (fabs(g) > fabs(fit->grid_error_most))
			fit->grid_error_most = g, fit->grid_worst = i;
	}
	fit->anode_error_rms = sqrt(anode / f->n);
	fit->grid_error_rms = sqrt(grid / f->n);
}

static rw_status not_found(const char *what, rw_error *err)
{
	(void)RW_RAISE(err, RW_E_NOSOLVE, "valve.points", "the law does not settle on the points: %s", what);
	rw_error_expected(err, "points at several anode and grid volts where current flows");
	rw_error_hint(err, "look for a slip in the rows, or in the units of the columns");
	return RW_E_NOSOLVE;
}

rw_status rw_valve_fit_points(const rw_valve_point *points, int n, double mu_held, rw_points_fit *out, rw_error *err)
{
	fitting f = {.points = points, .n = n, .mu_held = mu_held};
	RW_TRY(survey(&f, err));
	size_t unknowns = 1U + (isnan(mu_held) ? 1U : 0U) + (f.with_grid ? 1U : 0U), rows = (size_t)n * (f.with_grid ? 2U : 1U);
	gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
	gsl_multifit_nlinear_workspace *space = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, rows, unknowns);
	if (!space)
		return RW_RAISE(err, RW_E_MEMORY, "valve.points", "memory ran out");
	gsl_multifit_nlinear_fdf problem = {.f = residuals, .n = rows, .p = unknowns, .params = &f};
	double perveance, mu, first[3];
	start(&f, &perveance, &mu);
	size_t k = 0;
	first[k++] = log(perveance);
	if (isnan(mu_held))
		first[k++] = log(mu);
	first[k] = log(2.4);
	gsl_vector_view x = gsl_vector_view_array(first, unknowns);
	int info = 0, status = gsl_multifit_nlinear_init(&x.vector, &problem, space);
	if (status == GSL_SUCCESS)
		status = gsl_multifit_nlinear_driver(STEPS_MAX, 1e-9, 1e-9, 0.0, NULL, NULL, &info, space);
	rw_valve_law law = law_at(&f, gsl_multifit_nlinear_position(space));
	gsl_multifit_nlinear_free(space);
	if (status != GSL_SUCCESS && status != GSL_ENOPROG)   /* no progress: the least is reached as closely as numbers hold it */
		return not_found("no convergence", err);
	if (!(isfinite(law.perveance) && law.perveance > 0.0 && law.mu > 1.0 && law.mu < 1e4 && law.division > 1e-3 && law.division < 1e4))
		return not_found("its figures run away", err);
	rw_points_fit fit = {.perveance = law.perveance, .mu = law.mu, .division = f.with_grid ? law.division : (double)NAN};
	tell_errors(&f, &law, &fit);
	*out = fit;
	return RW_OK;
}
