#include "supply/wave.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>

#define PI 3.14159265358979323846

static const double complex j = (double complex)I;

void rw_wave_piece(rw_wave *wave, double from, double to, double constant, double sine, double cosine)
{
	if (from < to && wave->n < RW_PIECES_MAX)
		wave->piece[wave->n++] = (rw_piece){from, to, constant, sine, cosine};
}

double rw_wave_mean(const rw_wave *wave)
{
	double sum = 0.0;
	for (int k = 0; k < wave->n; k++) {
		const rw_piece *p = &wave->piece[k];
		sum += p->constant * (p->to - p->from) - p->sine * (cos(p->to) - cos(p->from)) + p->cosine * (sin(p->to) - sin(p->from));
	}
	return sum / wave->period;
}

/* Over a piece of length v, about its middle: squares of the sine, (v - sin v)/2, and of the cosine less its mean,
 * v/2 + sin(v)/2 - 2(1 - cos v)/v; by their series while the differences would drown in rounding. */
static void squares(double v, double *sine, double *cosine)
{
	*sine = 0.5 * (v - sin(v));
	*cosine = 0.5 * v + 0.5 * sin(v) - 2.0 * (1.0 - cos(v)) / v;
	if (v > 0.6)
		return;
	double term = v;
	*sine = *cosine = 0.0;
	for (int m = 1; m <= 9; m++) {
		term *= -v * v / (2.0 * m * (2.0 * m + 1.0));
		*sine -= 0.5 * term;
		*cosine += term * (m - 1.0) / (2.0 * m + 2.0);
	}
}

static double square_of(const rw_piece *p)
{
	double length = p->to - p->from, mid = 0.5 * (p->from + p->to), s2, c2;
	double even = p->sine * sin(mid) + p->cosine * cos(mid), odd = p->sine * cos(mid) - p->cosine * sin(mid);
	double level = p->constant + even * 2.0 * sin(0.5 * length) / length;
	squares(length, &s2, &c2);
	return level * level * length + even * even * c2 + odd * odd * s2;
}

double rw_wave_rms(const rw_wave *wave)
{
	double sum = 0.0;
	for (int k = 0; k < wave->n; k++)
		sum += square_of(&wave->piece[k]);
	return sqrt(fmax(sum, 0.0) / wave->period);
}

/* Integral of exp(j m t). */
static double complex swing(int m, double from, double to)
{
	if (m == 0)
		return to - from;
	double half = 0.5 * (to - from), mid = 0.5 * (from + to);
	return cexp(j * (m * mid)) * (2.0 * sin(m * half) / m);
}

void rw_wave_harmonic(const rw_wave *wave, int order, double *in_phase, double *behind)
{
	double complex sum = 0.0;
	for (int k = 0; k < wave->n; k++) {
		const rw_piece *p = &wave->piece[k];
		double complex up = swing(1 - order, p->from, p->to), down = swing(-1 - order, p->from, p->to);
		sum += p->constant * swing(-order, p->from, p->to) + 0.5 * p->cosine * (up + down) - 0.5 * j * p->sine * (up - down);
	}
	sum *= sqrt(2.0) / wave->period;
	*in_phase = creal(sum);
	*behind = -cimag(sum);
}

double rw_wave_harmonic_rms(const rw_wave *wave, int order)
{
	double a, b;
	rw_wave_harmonic(wave, order, &a, &b);
	return hypot(a, b);
}

static void widen(double value, double *least, double *greatest)
{
	*least = fmin(*least, value);
	*greatest = fmax(*greatest, value);
}

void rw_wave_span(const rw_wave *wave, double *least, double *greatest)
{
	*least = INFINITY;
	*greatest = -INFINITY;
	for (int k = 0; k < wave->n; k++) {
		const rw_piece *p = &wave->piece[k];
		widen(p->constant + p->sine * sin(p->from) + p->cosine * cos(p->from), least, greatest);
		widen(p->constant + p->sine * sin(p->to) + p->cosine * cos(p->to), least, greatest);
		double top = atan2(p->sine, p->cosine), reach = hypot(p->sine, p->cosine);   /* reach cos(t - top) */
		for (int turn = (int)ceil((p->from - top) / PI); top + turn * PI < p->to; turn++)
			widen(p->constant + (turn % 2 ? -reach : reach), least, greatest);
	}
	if (wave->n == 0)
		*least = *greatest = 0.0;
}

static int by_size(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;
	return (x > y) - (x < y);
}

/* Into [0, period). */
static double fold(double t, double period)
{
	double x = fmod(t, period);
	if (x < 0.0)
		x += period;
	return x < period ? x : 0.0;
}

/* What a part adds over the piece around t. */
static void add_at(const rw_wave_part *part, double t, rw_piece *sum)
{
	const rw_wave *w = part->wave;
	for (int k = 0; k < w->n; k++) {
		const rw_piece *p = &w->piece[k];
		double turns = ceil((p->from + part->shift - t) / w->period), at = t + turns * w->period;   /* at >= from + shift, by less than a period */
		if (at >= p->to + part->shift)
			continue;
		double back = part->shift - turns * w->period, c = cos(back), s = sin(back);   /* wave(t - back) */
		sum->constant += part->gain * p->constant;
		sum->sine += part->gain * (p->sine * c + p->cosine * s);
		sum->cosine += part->gain * (p->cosine * c - p->sine * s);
	}
}

enum { PARTS_MAX = 4 };

void rw_wave_sum(const rw_wave_part *parts, int n, rw_wave *out)
{
	double corner[2 * PARTS_MAX * RW_PIECES_MAX + 2], period = parts[0].wave->period;
	int corners = 0;
	for (int k = 0; k < n && k < PARTS_MAX; k++)
		for (int i = 0; i < parts[k].wave->n; i++) {
			corner[corners++] = fold(parts[k].wave->piece[i].from + parts[k].shift, period);
			corner[corners++] = fold(parts[k].wave->piece[i].to + parts[k].shift, period);
		}
	corner[corners++] = 0.0;
	corner[corners++] = period;
	qsort(corner, (size_t)corners, sizeof *corner, by_size);
	out->period = period;
	out->n = 0;
	for (int i = 0; i + 1 < corners; i++) {
		if (corner[i + 1] - corner[i] <= 1e-13)   /* the same corner, folded twice */
			continue;
		rw_piece sum = {.from = corner[i], .to = corner[i + 1]};
		for (int k = 0; k < n && k < PARTS_MAX; k++)
			add_at(&parts[k], 0.5 * (sum.from + sum.to), &sum);
		rw_wave_piece(out, sum.from, sum.to, sum.constant, sum.sine, sum.cosine);
	}
}
