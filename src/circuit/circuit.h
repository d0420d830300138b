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

/* A load as a small passive ladder with n pairs, fitted from f_lo to f_hi; impedance positive real, so that it can stand in any network.
 * R-L, a coil with its work: r0 + j w l0 in series with pairs r[k] parallel to j w l[k].
 * R-C, plates with a dielectric: r0 + 1/(j w c0) in series with pairs r[k] parallel to c[k].
 * Both parts change with the current as a power of it: Re z (i/i_ref)^di_dr, Im z likewise with di_dl; so neither ever vanishes, and the slope
 * at i_ref is the first order.
 * Elements of the other kind are not read. */
typedef enum rw_port_kind { RW_PORT_RL, RW_PORT_RC } rw_port_kind;

typedef struct rw_load_port {
	double r0, l0, c0;                        /* ohm, H, F */
	double r[RW_LADDER_MAX], l[RW_LADDER_MAX], c[RW_LADDER_MAX];   /* ohm, H, F */
	double f_lo, f_hi;                        /* Hz */
	double i_ref, di_dr, di_dl;               /* A rms, 1, 1 */
	double error;                             /* of the fit, relative to each of R and X, 1 */
	int32_t n, kind;                          /* pairs; rw_port_kind */
} rw_load_port;

/* in   current_rms A; below zero: no dependence on it; not read where both slopes are zero
 * errs RW_E_RANGE outside f_lo .. f_hi, naming the span; no current where it is followed; no passive ladder */
RW_MUST_USE rw_status rw_load_port_impedance(const rw_load_port *port, double frequency, double current_rms, double complex *z,
                                             rw_error *err);

/* The ladder of fewest pairs that gives resistance and reactance at the samples to wanted_error, each relative to itself: the resistance
 * may be a fiftieth of the impedance and is what heat is computed from. Where no number of pairs reaches that: the best, fewer pairs where
 * more do not better it by a hundredth; compare out->error with what is wanted. Between the samples nothing is looked at: for smooth loads
 * and 13 samples the error there is up to a tenth more.
 * No passive network has a resistance (a loss) but for the fall of inductance (permittivity) with frequency that belongs to it: samples
 * that leave it out, as of a loss tangent of 0.05 with a constant permittivity over half to ten times f, are missed by some per cent.
 * in   frequency [n] Hz, rising; z [n] ohm; wanted_error 1, 0: the best there is
 *      n samples carry n - 1 pairs at most. Resistance zero at all samples: no loss, r0 = 0 and one reactance
 * out  no dependence on current; f_lo, f_hi the first and last sample; error greatest at the samples
 * errs RW_E_RANGE bad inputs, a sample of no resistance among others that have one, of no reactance or of the other kind's;
 *      RW_E_NOSOLVE no start led anywhere; RW_E_MEMORY
 * src  Levenberg-Marquardt (GSL, Nonlinear Least-Squares Fitting) on the logarithms of all elements, so that none can be negative
 * cost about 0.2 ms for 13 samples to 0.3 %, 0.7 ms where that is hard; heap while it runs; the same bits on any thread */
RW_MUST_USE rw_status rw_load_port_fit(rw_port_kind kind, int n, const double *frequency, const double complex *z, double wanted_error,
                                       rw_load_port *out, rw_error *err);

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
