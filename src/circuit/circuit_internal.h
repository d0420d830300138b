/* Shared inside the circuit room only. */
#ifndef RW_CIRCUIT_CIRCUIT_INTERNAL_H
#define RW_CIRCUIT_CIRCUIT_INTERNAL_H

#include "circuit/circuit.h"

/* A x = b, dense and complex, for n_b right sides; by columns. The caller fills a and b, which a solution leaves scaled. */
typedef struct rw__dense {
	int n, n_b;
	double complex *a, *b, *x;       /* [n x n], [n x n_b], [n x n_b] */
	double complex *rows, *factors, *rest;   /* [n x n] and [n x n] row by row, [n] */
	double *scale_column;            /* [n], powers of two */
	size_t *row_of;                  /* [n] */
} rw__dense;

/* All zero, and in scratch until the caller rewinds it. False when memory is out. */
bool rw__dense_start(rw__dense *s, int n, int n_b, rw_arena *scratch);

/* Scaled, factored with row exchanges, refined. False when a is singular or so near to it that x is not worth showing.
 * out  x, *correction what the refinement still moved, relative to the largest unknown, 1
 * src  LU with row exchanges of the numeric library, on its own BLAS: the serial OpenBLAS 0.3.21 lets two threads write one work buffer */
bool rw__dense_solve(rw__dense *s, double *correction);

#endif
