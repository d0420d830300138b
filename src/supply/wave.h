/* Periodic waves made of pieces, each a constant and a sinusoid of the mains: what currents and volts of a rectifier with smooth direct
 * current are. Means, rms, harmonics and greatest values are closed forms piece by piece: no sampling, no truncation.
 * error  rounding alone: pieces of an overlap u have coefficients 1/(1 - cos u), so about 1e-16/u^2 of the wave
 * cost   a microsecond; a sum of waves sorts its corners */
#ifndef RW_SUPPLY_WAVE_H
#define RW_SUPPLY_WAVE_H

enum { RW_PIECES_MAX = 96 };

typedef struct rw_piece { double from, to, constant, sine, cosine; } rw_piece;   /* rad; constant + sine sin t + cosine cos t */

typedef struct rw_wave {
	double   period;               /* rad: 2 pi of the mains, or a part of it; nought between its pieces */
	rw_piece piece[RW_PIECES_MAX];
	int      n, unused;
} rw_wave;

/* A wave and where it stands in a sum: gain times wave(t - shift). */
typedef struct rw_wave_part { const rw_wave *wave; double gain, shift; } rw_wave_part;

void   rw_wave_piece(rw_wave *wave, double from, double to, double constant, double sine, double cosine);   /* none when from >= to */
double rw_wave_mean(const rw_wave *wave);
double rw_wave_rms(const rw_wave *wave);                       /* with its mean */
/* Rms of the harmonic of that order of the mains, in phase with cos t and a quarter behind it. */
void   rw_wave_harmonic(const rw_wave *wave, int order, double *in_phase, double *behind);
double rw_wave_harmonic_rms(const rw_wave *wave, int order);
void   rw_wave_span(const rw_wave *wave, double *least, double *greatest);
/* Sum of up to four waves of one period. */
void   rw_wave_sum(const rw_wave_part *parts, int n, rw_wave *out);

#endif
