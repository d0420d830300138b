/* Small linear networks as plain data, reduced to their ports at one frequency.
 * Nodes are 0 (earth) .. n_nodes - 1. Losses that follow the frequency are attributes of their part: an inductor's 1/Q, a capacitor's
 * loss tangent. Model: nodal analysis with the currents of all parts as unknowns, so that coupling up to and including 1 is exact, and
 * neither a milliohm nor a picofarad drowns its neighbours.
 * src  modified nodal analysis, any text on circuit simulation; checked against closed forms in tests/unit/test_circuit.c */
#ifndef RW_CIRCUIT_CIRCUIT_H
#define RW_CIRCUIT_CIRCUIT_H

#include <complex.h>

#include "base/work.h"

enum { RW_PARTS_MAX = 48, RW_NODES_MAX = 32, RW_PORTS_MAX = 4, RW_LADDER_MAX = 4 };

/* A load as a small passive ladder: r0 + j w l0 in series with n pairs r[k] parallel to j w l[k]; fitted from f_lo to f_hi.
 * Resistance and inductance also change with the current: r0 (1 + di_dr (i - i_ref)/i_ref), l0 likewise, to first order. */
typedef struct rw_load_port {
	int32_t n, unused;
	double r0, l0;                            /* ohm, H */
	double r[RW_LADDER_MAX], l[RW_LADDER_MAX];/* ohm, H */
	double f_lo, f_hi;                        /* Hz */
	double i_ref, di_dr, di_dl;               /* A rms, 1, 1 */
	double error;                             /* of the fit, relative to |Z|, 1 */
} rw_load_port;

/* errs RW_E_RANGE outside f_lo .. f_hi, naming the span */
RW_MUST_USE rw_status rw_load_port_impedance(const rw_load_port *port, double frequency, double current_rms, double complex *z, rw_error *err);

typedef enum rw_part_kind { RW_PART_R, RW_PART_L, RW_PART_C, RW_PART_Z } rw_part_kind;

typedef struct rw_part_of_net {
	int32_t kind, a, b, unused;   /* between nodes a and b; voltage from a to b, current from a to b */
	double  value;                /* ohm, H, F; Z: resistance, ohm */
	double  second;               /* L: 1/Q; C: loss tangent; Z: reactance at the frequency in hand, ohm */
} rw_part_of_net;

typedef struct rw_coupling { int32_t first, second; double mutual; } rw_coupling;   /* indices of two inductors; H; positive: both currents a to b aid */
typedef struct rw_port { int32_t a, b; } rw_port;

typedef struct rw_net {
	int32_t n_nodes, n_parts, n_couplings, n_ports;
	rw_part_of_net part[RW_PARTS_MAX];
	rw_coupling    coupling[RW_PARTS_MAX];
	rw_port        port[RW_PORTS_MAX];
} rw_net;

/* Builders return the index of the new part, or -1 when the net is full (rw_net_check then fails). */
void rw_net_start(rw_net *net, int n_nodes);
int  rw_net_add(rw_net *net, rw_part_kind kind, int a, int b, double value, double second);
void rw_net_couple(rw_net *net, int first, int second, double mutual);
int  rw_net_port(rw_net *net, int a, int b);

/* Nodes in range, values positive, couplings between inductors with M^2 <= L1 L2 (1 + 1e-9). errs RW_E_RANGE naming the part's number */
RW_MUST_USE rw_status rw_net_check(const rw_net *net, rw_error *err);

/* Admittance matrix of the ports: i = Y v, currents into the port at its node a.
 * out  y [n_ports x n_ports], row by row; unchanged on error
 * errs RW_E_NOSOLVE when the network is singular at this frequency; RW_E_RANGE from rw_net_check
 * cost one dense complex factorisation of size nodes + parts + ports; scratch from work; the same bits on any thread */
RW_MUST_USE rw_status rw_net_admittance(const rw_net *net, double frequency, rw_work *work, double complex *y, rw_error *err);

typedef struct rw_stress {
	double complex voltage, current;   /* peak phasors, V, A */
	double loss;                       /* W: Re(v i*)/2, coupling included */
	double reactive;                   /* var: |v||i|/2 of the part */
} rw_stress;

/* Stresses of every part for port volts (peak phasors) v [n_ports] or, for a port whose open is true, no current drawn.
 * out  stress [n_parts], port_current [n_ports], port_voltage [n_ports] (each may be NULL) */
RW_MUST_USE rw_status rw_net_stress(const rw_net *net, double frequency, const double complex *v, const bool *open, rw_work *work,
                                    rw_stress *stress, double complex *port_voltage, double complex *port_current, rw_error *err);

/* Frequencies in [low, high] where Im of the driving-point admittance of a port, the others open, is zero with a rise of susceptance
 * (parallel resonance), found by a scan of n_scan steps (logarithmic) and bracketing. The net may depend on frequency: rebuild is called
 * with each frequency before use (may be NULL). out frequency [room], *n how many (may exceed room). Of two resonances within about two
 * steps of the scan, both may be missed. */
typedef rw_status (*rw_net_rebuild)(void *context, double frequency, rw_net *net, rw_error *err);
RW_MUST_USE rw_status rw_net_resonances(rw_net *net, int port, double low, double high, int n_scan, rw_net_rebuild rebuild, void *context,
                                        rw_work *work, double *frequency, int room, int *n, rw_error *err);

#endif
