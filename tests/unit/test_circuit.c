/* Networks against closed forms, the laws every passive network keeps, and what is refused. The load port is in test_circuit_load_port.c. */
#include "check.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "base/base.h"
#include "circuit/circuit.h"

static const double pi = 3.141592653589793238462643;
static const double complex j = (double complex)I;

#define CHECK_COMPLEX(got, want, tolerance, source) do { \
	double complex got_ = (got), want_ = (want); \
	CHECK_NEAR_SCALE(creal(got_), creal(want_), (tolerance), cabs(want_), "real part: " source); \
	CHECK_NEAR_SCALE(cimag(got_), cimag(want_), (tolerance), cabs(want_), "imaginary part: " source); \
} while (0)

static int start_work(void **state)
{
	static rw_work work;
	rw_work_init(&work);
	*state = &work;
	return 0;
}

static int end_work(void **state)
{
	rw_work_release(*state);
	return 0;
}

static double complex one_port(const rw_net *net, double frequency, rw_work *work)
{
	rw_error err;
	double complex y = 0.0;
	CHECK_OK(rw_net_admittance(net, frequency, work, &y, &err), &err);
	return y;
}

static void series_rlc(void **state)
{
	const double r = 2.385, l = 3.716e-6, c = 1.293e-9;
	rw_error err;
	rw_net net;
	rw_net_start(&net, 4);
	rw_net_add(&net, RW_PART_R, 1, 2, r, 0.0);
	rw_net_add(&net, RW_PART_L, 2, 3, l, 0.0);
	rw_net_add(&net, RW_PART_C, 3, 0, c, 0.0);
	rw_net_port(&net, 1, 0);
	const double frequency[] = {0.317e6, 2.281e6, 2.296e6, 13.94e6};
	for (int k = 0; k < 4; k++) {
		double w = 2.0 * pi * frequency[k];
		CHECK_COMPLEX(one_port(&net, frequency[k], *state), 1.0 / (r + j * (w * l - 1.0 / (w * c))), 1e-12, "series R L C");
	}
	double found = -4.732;
	int n = -3;
	CHECK_OK(rw_net_resonances(&net, 0, 0.31e6, 29.3e6, 41, NULL, NULL, *state, &found, 1, &n, &err), &err);
	assert_int_equal(n, 0);   /* its one resonance is a series resonance */
	assert_true(found == -4.732);
}

/* R of the coil in series with L: zero susceptance at w0 sqrt(1 - R^2 C/L), where the tank is L/(R C). */
static void lossy_tank(void **state)
{
	const double l = 2.173e-6, c = 1.847e-9;
	const double r[] = {0.2719, 7.318, 23.87, 31.06};   /* the last is 0.906 of sqrt(L/C) */
	for (int k = 0; k < 4; k++) {
		rw_error err;
		rw_net net;
		rw_net_start(&net, 3);
		rw_net_add(&net, RW_PART_C, 1, 0, c, 0.0);
		rw_net_add(&net, RW_PART_L, 1, 2, l, 0.0);
		rw_net_add(&net, RW_PART_R, 2, 0, r[k], 0.0);
		rw_net_port(&net, 1, 0);
		double want = sqrt(1.0 - r[k] * r[k] * c / l) / (2.0 * pi * sqrt(l * c)), f = 0.0;
		int n = 0;
		CHECK_OK(rw_net_resonances(&net, 0, 0.413e6, 9.71e6, 37, NULL, NULL, *state, &f, 1, &n, &err), &err);
		assert_int_equal(n, 1);
		CHECK_NEAR(f, want, 1e-12, "w0 sqrt(1 - R^2 C/L)");
		CHECK_NEAR(1.0 / creal(one_port(&net, f, *state)), l / (r[k] * c), 1e-11, "L/(R C)");
	}
}

static void transformer_net(rw_net *net, double l1, double l2, double k, double r)
{
	rw_net_start(net, 3);
	int first = rw_net_add(net, RW_PART_L, 1, 0, l1, 0.0), second = rw_net_add(net, RW_PART_L, 2, 0, l2, 0.0);
	rw_net_couple(net, first, second, k * sqrt(l1 * l2));
	rw_net_add(net, RW_PART_R, 2, 0, r, 0.0);
	rw_net_port(net, 1, 0);
	rw_net_port(net, 2, 0);
}

static void transformer(void **state)
{
	const double l1 = 5.274e-6, l2 = 0.4391e-6, r = 1.847, f = 0.8813e6, w = 2.0 * pi * f, v = 312.7;
	const double k[] = {0.2187, 0.9342, -0.7716, 0.999999, 1.0};
	for (int n = 0; n < 5; n++) {
		rw_error err;
		rw_net net;
		transformer_net(&net, l1, l2, k[n], r);
		double complex volts[2], amps[2];
		rw_stress stress[3];
		CHECK_OK(rw_net_stress(&net, f, (double complex[]){v, 0.0}, (bool[]){false, true}, *state, stress, volts, amps, &err), &err);
		/* with m = k sqrt(L1 L2): Z = [jw L1 (jw L2 + R) + w^2 m^2]/(jw L2 + R), written so that k = 1 cancels nothing */
		double complex z = (j * w * l1 * r - w * w * l1 * l2 * (1.0 - k[n] * k[n])) / (r + j * w * l2);
		CHECK_COMPLEX(amps[0], v / z, 1e-11, "coupled pair with a load");
		CHECK_COMPLEX(volts[1], r * j * w * k[n] * sqrt(l1 * l2) / (r + j * w * l2) * v / z, 1e-11, "volts of the load");
		assert_true(amps[1] == 0.0);
		CHECK_NEAR(stress[2].loss, 0.5 * creal(v * conj(v / z)), 1e-11, "all power goes to the load");
		CHECK_NEAR(stress[0].loss, -stress[1].loss, 1e-13, "what one winding takes the other gives");
		CHECK_NEAR(stress[0].loss, stress[2].loss, 1e-11, "the first winding takes what the load gets");
	}
}

static void coupled_resonators_net(rw_net *net, double l, double c, double k)
{
	rw_net_start(net, 3);
	for (int node = 1; node <= 2; node++) {
		rw_net_add(net, RW_PART_L, node, 0, l, 0.0);
		rw_net_add(net, RW_PART_C, node, 0, c, 0.0);
	}
	rw_net_couple(net, 0, 2, k * l);
	rw_net_port(net, 1, 0);
	rw_net_port(net, 2, 0);
}

static void coupled_resonators(void **state)
{
	const double l = 1.739e-6, c = 2.364e-9, k = 0.1837, f0 = 1.0 / (2.0 * pi * sqrt(l * c));
	rw_error err;
	rw_net net;
	coupled_resonators_net(&net, l, c, k);
	for (int port = 0; port < 2; port++) {
		double f[3] = {0.0, 0.0, -7.31};
		int n = 0;
		CHECK_OK(rw_net_resonances(&net, port, 0.3 * f0, 3.7 * f0, 50, NULL, NULL, *state, f, 3, &n, &err), &err);
		assert_int_equal(n, 2);
		CHECK_NEAR(f[0], f0 / sqrt(1.0 + k), 1e-12, "f0/sqrt(1 + k)");
		CHECK_NEAR(f[1], f0 / sqrt(1.0 - k), 1e-12, "f0/sqrt(1 - k)");
		assert_true(f[2] == -7.31);
	}
	double one[2] = {0.0, -2.916};
	int n = 0;
	CHECK_OK(rw_net_resonances(&net, 0, 0.3 * f0, 3.7 * f0, 50, NULL, NULL, *state, one, 1, &n, &err), &err);
	assert_int_equal(n, 2);   /* more than there was room for */
	CHECK_NEAR(one[0], f0 / sqrt(1.0 + k), 1e-12, "the lowest is kept");
	assert_true(one[1] == -2.916);
}

/* Symmetrical lattice: z11 = z22 = (Zb + Za)/2, z21 = (Zb - Za)/2; a port between two live nodes. */
static void lattice(void **state)
{
	const double f = 1.473e6, w = 2.0 * pi * f, ra = 17.38, la = 4.129e-6, rb = 63.91, cb = 0.8172e-9;
	rw_error err;
	rw_net net;
	rw_net_start(&net, 8);
	const int from[4] = {1, 0, 1, 0}, to[4] = {2, 3, 3, 2};
	for (int arm = 0; arm < 4; arm++) {
		rw_net_add(&net, RW_PART_R, from[arm], 4 + arm, arm < 2 ? ra : rb, 0.0);
		rw_net_add(&net, arm < 2 ? RW_PART_L : RW_PART_C, 4 + arm, to[arm], arm < 2 ? la : cb, 0.0);
	}
	rw_net_port(&net, 1, 0);
	rw_net_port(&net, 2, 3);
	double complex za = ra + j * w * la, zb = rb + 1.0 / (j * w * cb), y[4], volts[2], amps[2];
	CHECK_OK(rw_net_admittance(&net, f, *state, y, &err), &err);
	CHECK_COMPLEX(y[0], 0.5 * (1.0 / za + 1.0 / zb), 1e-12, "lattice y11");
	CHECK_COMPLEX(y[3], 0.5 * (1.0 / za + 1.0 / zb), 1e-12, "lattice y22");
	CHECK_COMPLEX(y[1], 0.5 * (1.0 / zb - 1.0 / za), 1e-12, "lattice y12");
	CHECK_COMPLEX(y[2], 0.5 * (1.0 / zb - 1.0 / za), 1e-12, "lattice y21");
	const double complex v[2] = {-83.17 + 29.4 * j, 0.0};
	CHECK_OK(rw_net_stress(&net, f, v, (bool[]){false, true}, *state, NULL, volts, amps, &err), &err);
	CHECK_COMPLEX(volts[1], v[0] * (zb - za) / (zb + za), 1e-12, "open lattice");
	CHECK_COMPLEX(amps[0], v[0] * 2.0 / (za + zb), 1e-12, "open lattice");
}

/* Maxwell's bridge at balance, Lx = R2 R3 C1 and Rx = R2 R3/R1: no volts between its middles at any frequency. */
static void bridge(void **state)
{
	const double r1 = 843.7, r2 = 71.93, r3 = 128.4, c1 = 0.4718e-9;
	const double frequency[] = {41.83e3, 0.6237e6, 7.914e6};
	rw_error err;
	rw_net net;
	rw_net_start(&net, 5);
	rw_net_add(&net, RW_PART_R, 1, 2, r1, 0.0);
	rw_net_add(&net, RW_PART_C, 1, 2, c1, 0.0);
	rw_net_add(&net, RW_PART_R, 2, 0, r2, 0.0);
	rw_net_add(&net, RW_PART_R, 1, 3, r3, 0.0);
	int l = rw_net_add(&net, RW_PART_L, 3, 4, r2 * r3 * c1, 0.0);
	rw_net_add(&net, RW_PART_R, 4, 0, r2 * r3 / r1, 0.0);
	rw_net_port(&net, 1, 0);
	rw_net_port(&net, 2, 3);
	for (int k = 0; k < 3; k++) {
		double complex volts[2], amps[2];
		const double complex v[2] = {219.3, 0.0};
		CHECK_OK(rw_net_stress(&net, frequency[k], v, (bool[]){false, true}, *state, NULL, volts, amps, &err), &err);
		CHECK_NEAR_SCALE(cabs(volts[1]), 0.0, 1e-13, 219.3, "balance");
		net.part[l].value *= 1.01;   /* and out of balance there are some */
		CHECK_OK(rw_net_stress(&net, frequency[k], v, (bool[]){false, true}, *state, NULL, volts, amps, &err), &err);
		net.part[l].value /= 1.01;
		assert_true(cabs(volts[1]) > 1e-5 * 219.3);
	}
}

static void losses_of_parts(void **state)
{
	const double f = 0.4412e6, w = 2.0 * pi * f, c = 3.318e-9, tan_delta = 7.41e-4, l = 27.19e-6, q = 238.5, r = 0.1372, x = -4.926, v = 6174.0;
	rw_error err;
	rw_net net;
	rw_net_start(&net, 2);
	rw_net_add(&net, RW_PART_C, 1, 0, c, tan_delta);
	rw_net_add(&net, RW_PART_L, 0, 1, l, 1.0 / q);   /* turned round */
	rw_net_add(&net, RW_PART_Z, 1, 0, r, x);
	rw_net_port(&net, 1, 0);
	double complex yc = w * c * (tan_delta + j), yl = 1.0 / (w * l * (1.0 / q + j)), yz = 1.0 / (r + j * x), amps, y;
	rw_stress s[3];
	CHECK_OK(rw_net_stress(&net, f, (double complex[]){v}, NULL, *state, s, NULL, &amps, &err), &err);
	CHECK_OK(rw_net_admittance(&net, f, *state, &y, &err), &err);
	CHECK_COMPLEX(y, yc + yl + yz, 1e-13, "three parts in parallel");
	CHECK_COMPLEX(amps, v * (yc + yl + yz), 1e-13, "three parts in parallel");
	CHECK_COMPLEX(s[0].current, v * yc, 1e-13, "capacitor");
	CHECK_NEAR(s[0].loss, 0.5 * v * v * w * c * tan_delta, 1e-13, "w C tan(delta) V^2/2");
	CHECK_NEAR(s[0].reactive, 0.5 * v * v * w * c * sqrt(1.0 + tan_delta * tan_delta), 1e-13, "|V||I|/2");
	CHECK_COMPLEX(s[1].voltage, -v, 1e-14, "from a to b");
	CHECK_COMPLEX(s[1].current, -v * yl, 1e-13, "inductor turned round");
	CHECK_NEAR(s[1].loss, 0.5 * v * v * creal(yl), 1e-13, "w L/Q I^2/2");
	CHECK_NEAR(s[2].loss, 0.5 * v * v * r / (r * r + x * x), 1e-13, "R I^2/2");
}

/* A tank with a coupled grid winding, open: its volts are jw M times the inductor's current, and it draws none. */
static void open_port(void **state)
{
	const double f = 0.4387e6, w = 2.0 * pi * f, l = 8.316e-6, q = 271.4, m = 0.3917e-6, c = 11.73e-9, v = 7412.0;
	rw_error err;
	rw_net net;
	rw_net_start(&net, 3);
	rw_net_add(&net, RW_PART_L, 1, 0, l, 1.0 / q);
	rw_net_add(&net, RW_PART_L, 0, 2, 0.2841e-6, 0.0);
	rw_net_add(&net, RW_PART_C, 1, 0, c, 0.0);
	rw_net_couple(&net, 0, 1, m);
	rw_net_port(&net, 1, 0);
	rw_net_port(&net, 2, 0);
	double complex il = v / (w * l * (1.0 / q + j)), volts[2], amps[2], y[4];
	rw_stress s[3];
	CHECK_OK(rw_net_stress(&net, f, (double complex[]){v, 931.0}, (bool[]){false, true}, *state, s, volts, amps, &err), &err);
	CHECK_COMPLEX(volts[0], v, 1e-15, "the driven port");
	CHECK_COMPLEX(volts[1], -j * w * m * il, 1e-13, "winding turned round: opposes");
	assert_true(amps[1] == 0.0);
	CHECK_COMPLEX(amps[0], il + j * w * c * v, 1e-11, "tank current");
	CHECK_COMPLEX(s[0].current, il, 1e-13, "inductor");
	CHECK_NEAR_SCALE(cabs(s[1].current), 0.0, 1e-15, cabs(il), "open winding");
	CHECK_OK(rw_net_admittance(&net, f, *state, y, &err), &err);
	CHECK_COMPLEX(-y[2] / y[3] * v, volts[1], 1e-11, "the same from Y: v2 = -y21/y22 v1");
}

typedef struct rng { uint64_t s; } rng;

static double uniform(rng *r, double low, double high)   /* splitmix64 */
{
	uint64_t z = r->s += 0x9e3779b97f4a7c15U;
	z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9U;
	z = (z ^ (z >> 27)) * 0x94d049bb133111ebU;
	return low + (high - low) * (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static int pick(rng *r, int n) { return (int)uniform(r, 0.0, n); }

static int random_part(rng *r, rw_net *net, int a, int b, double w)
{
	double x = pow(10.0, uniform(r, -3.0, 6.0));   /* ohm: milliohm leads to megohm strays side by side */
	double loss = pick(r, 3) ? pow(10.0, uniform(r, -5.0, -1.0)) : 0.0;
	switch (pick(r, 4)) {
	case 0:  return rw_net_add(net, RW_PART_R, a, b, x, 0.0);
	case 1:  return rw_net_add(net, RW_PART_C, a, b, 1.0 / (w * x), loss);
	case 2:  return rw_net_add(net, RW_PART_Z, a, b, loss * x, uniform(r, -1.0, 1.0) * x);
	default: return rw_net_add(net, RW_PART_L, a, b, x / w, loss);
	}
}

/* Every node hangs on one before it; then more parts anywhere; inductors coupled in pairs; ports that form no loop. */
static double random_net(rng *r, rw_net *net)
{
	double f = pow(10.0, uniform(r, 4.0, 8.0));
	int n_nodes = 5 + pick(r, 10), extra = pick(r, 14), left = -1;
	rw_net_start(net, n_nodes);
	for (int k = 1; k < n_nodes + extra; k++) {
		int a = k < n_nodes ? k : pick(r, n_nodes), b = pick(r, k < n_nodes ? k : n_nodes);
		int l = random_part(r, net, a, b, 2.0 * pi * f);
		if (net->part[l].kind != RW_PART_L)
			continue;
		if (left >= 0)
			rw_net_couple(net, left, l, uniform(r, -0.99, 0.99) * sqrt(net->part[left].value * net->part[l].value));
		left = left >= 0 ? -1 : l;
	}
	for (int p = 0, n = 1 + pick(r, 4); p < n; p++)
		rw_net_port(net, p + 1, pick(r, p + 1));
	return f;
}

/* g + shift on its diagonal, by trying its Cholesky factors: so no eigenvalue of g lies below -shift. */
static bool is_positive_definite(double *g, int n, double shift)
{
	for (int k = 0; k < n; k++) {
		g[k * n + k] += shift;
		for (int m = 0; m < k; m++)
			g[k * n + k] -= g[k * n + m] * g[k * n + m];
		if (!(g[k * n + k] > 0.0))
			return false;
		g[k * n + k] = sqrt(g[k * n + k]);
		for (int row = k + 1; row < n; row++) {
			for (int m = 0; m < k; m++)
				g[row * n + k] -= g[row * n + m] * g[k * n + m];
			g[row * n + k] /= g[k * n + k];
		}
	}
	return true;
}

static void check_reciprocal_and_passive(const double complex *y, int n)
{
	double g[RW_PORTS_MAX * RW_PORTS_MAX];
	double size = 0.0;
	for (int a = 0; a < n; a++)
		for (int b = 0; b < n; b++) {
			size = fmax(size, cabs(y[a * n + b]));
			CHECK_NEAR_SCALE(cabs(y[a * n + b] - y[b * n + a]), 0.0, 1e-12, sqrt(cabs(y[a * n + a] * y[b * n + b])), "reciprocity");
			g[a * n + b] = 0.5 * creal(y[a * n + b] + y[b * n + a]);
		}
	assert_true(is_positive_definite(g, n, 1e-13 * size));
}

static void check_energy(const rw_net *net, double f, rng *r, rw_work *work)
{
	rw_error err;
	double complex v[RW_PORTS_MAX], volts[RW_PORTS_MAX], amps[RW_PORTS_MAX];
	bool open[RW_PORTS_MAX];
	rw_stress s[RW_PARTS_MAX];
	for (int p = 0; p < net->n_ports; p++) {
		v[p] = uniform(r, -9137.0, 9137.0) + j * uniform(r, -9137.0, 9137.0);
		open[p] = p > 0 && pick(r, 2);
	}
	CHECK_OK(rw_net_stress(net, f, v, open, work, s, volts, amps, &err), &err);
	double in = 0.0, in_size = 0.0, lost = 0.0;
	for (int p = 0; p < net->n_ports; p++) {
		in += 0.5 * creal(volts[p] * conj(amps[p]));
		in_size += 0.5 * cabs(volts[p] * amps[p]);
	}
	for (int k = 0; k < net->n_parts; k++)
		lost += s[k].loss;
	CHECK_NEAR_SCALE(lost, in, 1e-12, in_size, "losses against the power of the ports, relative to their volt-amperes");
}

static void laws_of_random_nets(void **state)
{
	rng r = {20231};
	int n_coupled = 0, n_ports = 0;
	for (int round = 0; round < 200; round++) {
		rw_error err;
		rw_net net;
		double f = random_net(&r, &net);
		double complex y[RW_PORTS_MAX * RW_PORTS_MAX];
		CHECK_OK(rw_net_admittance(&net, f, *state, y, &err), &err);
		check_reciprocal_and_passive(y, net.n_ports);
		check_energy(&net, f, &r, *state);
		n_coupled += net.n_couplings;
		n_ports += net.n_ports;
	}
	assert_true(n_coupled > 100 && n_ports > 400);   /* the nets do exercise both */
}

static void check_refused(const rw_net *net, double f, rw_status want, const char *key, const char *hint, rw_work *work)
{
	rw_error err;
	double complex y[RW_PORTS_MAX * RW_PORTS_MAX], kept[RW_PORTS_MAX * RW_PORTS_MAX];
	for (int k = 0; k < RW_PORTS_MAX * RW_PORTS_MAX; k++)
		y[k] = kept[k] = 3.17 - 2.41 * j;
	rw_stress s[RW_PARTS_MAX], s_kept[RW_PARTS_MAX];
	memset(s, 0x5a, sizeof s);
	memset(s_kept, 0x5a, sizeof s_kept);
	assert_int_equal(rw_net_admittance(net, f, work, y, &err), want);
	assert_int_equal(err.status, want);
	assert_string_equal(err.key, key);
	assert_true(err.expected[0] && (!hint || strstr(err.hint, hint)));
	assert_int_equal(rw_net_stress(net, f, (double complex[RW_PORTS_MAX]){41.7, 2.9, -3.3, 8.1}, NULL, work, s, y, y, NULL), want);
	assert_memory_equal(y, kept, sizeof y);
	assert_memory_equal(s, s_kept, sizeof s);
	assert_null(work->scratch.top);
}

static void singular_is_refused(void **state)
{
	const double f = 1.317e6, w = 2.0 * pi * f, l = 2.918e-6;
	rw_net net;
	rw_net_start(&net, 5);   /* an island of two nodes */
	rw_net_add(&net, RW_PART_R, 1, 0, 48.31, 0.0);
	rw_net_add(&net, RW_PART_R, 1, 4, 8.317, 0.0);
	rw_net_add(&net, RW_PART_C, 2, 3, 1.376e-9, 3.1e-4);
	rw_net_port(&net, 1, 0);
	check_refused(&net, f, RW_E_NOSOLVE, "network", "node 2", *state);

	rw_net_start(&net, 3);   /* a port that holds its node while it is driven, and not when it is open */
	rw_net_add(&net, RW_PART_R, 1, 0, 48.31, 0.0);
	rw_net_port(&net, 1, 0);
	rw_net_port(&net, 2, 0);
	rw_error err;
	const double complex v[2] = {31.7, 4.41};
	CHECK_OK(rw_net_stress(&net, f, v, NULL, *state, NULL, NULL, NULL, &err), &err);
	assert_int_equal(rw_net_stress(&net, f, v, (bool[]){false, true}, *state, NULL, NULL, NULL, &err), RW_E_NOSOLVE);
	assert_string_equal(err.hint, "nothing connects node 2 to earth");

	rw_net_start(&net, 2);   /* two sources for one voltage */
	rw_net_add(&net, RW_PART_R, 1, 0, 48.31, 0.0);
	rw_net_port(&net, 1, 0);
	rw_net_port(&net, 0, 1);
	check_refused(&net, f, RW_E_NOSOLVE, "network", "fixed twice", *state);

	transformer_net(&net, 5.274e-6, 0.4391e-6, 1.0, 1.847);   /* the second port's volts follow from the first's */
	check_refused(&net, f, RW_E_NOSOLVE, "network", "fixed twice", *state);

	rw_net_start(&net, 3);   /* a series resonance without loss shorts the port */
	rw_net_add(&net, RW_PART_L, 1, 2, l, 0.0);
	rw_net_add(&net, RW_PART_C, 2, 0, 1.0 / (w * w * l), 0.0);
	rw_net_port(&net, 1, 0);
	check_refused(&net, f, RW_E_NOSOLVE, "network", "resonance without loss", *state);
	check_refused(&net, f * (1.0 + 3.17e-12), RW_E_NOSOLVE, "network", NULL, *state);   /* too near to it */
	double detuned = 3.17e-7, wide = w * (1.0 + detuned);
	CHECK_COMPLEX(one_port(&net, f * (1.0 + detuned), *state), 1.0 / (j * wide * l * (1.0 - 1.0 / ((1.0 + detuned) * (1.0 + detuned)))), 1e-8, "L C");
	net.part[0].second = 1e-9;   /* and with the least of losses it does not */
	CHECK_COMPLEX(one_port(&net, f, *state), 1e9 / (w * l), 1e-6, "Q/(w L)");
	check_refused(&net, -2.318e6, RW_E_RANGE, "frequency", NULL, *state);
	check_refused(&net, (double)NAN, RW_E_RANGE, "frequency", NULL, *state);
	check_refused(&net, (double)INFINITY, RW_E_RANGE, "frequency", NULL, *state);
}

static void faulty_is_refused(void **state)
{
	const struct { rw_part_kind kind; int a, b; double value, second; } bad[] = {
	    {RW_PART_R, 1, 2, 0.0, 0.0},     {RW_PART_R, 1, 2, -3.81, 0.0},  {RW_PART_R, 1, 2, (double)NAN, 0.0}, {RW_PART_L, 1, 2, 0.0, 0.0},
	    {RW_PART_C, 1, 2, -1e-9, 0.0},   {RW_PART_L, 1, 2, 1e-6, -0.01}, {RW_PART_C, 1, 2, 1e-9, -3e-4},      {RW_PART_C, 1, 2, 1e-9, (double)NAN},
	    {RW_PART_Z, 1, 2, -0.31, 4.0},   {RW_PART_Z, 1, 2, 0.3, (double)INFINITY}, {RW_PART_R, 1, 3, 2.6, 0.0}, {RW_PART_R, -1, 2, 2.6, 0.0},
	    {(rw_part_kind)7, 1, 2, 2.6, 0.0}};
	rw_net net;
	for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
		rw_net_start(&net, 3);
		rw_net_add(&net, RW_PART_R, 1, 0, 48.31, 0.0);
		rw_net_add(&net, RW_PART_R, 2, 0, 48.31, 0.0);
		rw_net_port(&net, 1, 0);
		assert_int_equal(rw_net_check(&net, NULL), RW_OK);
		rw_net_add(&net, bad[k].kind, bad[k].a, bad[k].b, bad[k].value, bad[k].second);
		check_refused(&net, 1.317e6, RW_E_RANGE, "part[2]", NULL, *state);
	}
	const struct { int first, second; double m; } pair[] = {{0, 0, 1e-9}, {0, 2, 1e-9}, {0, -1, 1e-9}, {3, 1, 1e-9}, {0, 1, 1.0000001 * 3e-6}, {0, 1, (double)NAN}};
	for (size_t k = 0; k < sizeof pair / sizeof *pair; k++) {
		rw_net_start(&net, 3);
		rw_net_add(&net, RW_PART_L, 1, 0, 2e-6, 0.0);
		rw_net_add(&net, RW_PART_L, 2, 0, 4.5e-6, 0.0);
		rw_net_add(&net, RW_PART_R, 2, 0, 4.5, 0.0);
		rw_net_port(&net, 1, 0);
		rw_net_couple(&net, pair[k].first, pair[k].second, pair[k].m);
		check_refused(&net, 1.317e6, RW_E_RANGE, "coupling[0]", NULL, *state);
	}
	rw_net_start(&net, 3);
	rw_net_add(&net, RW_PART_R, 1, 2, 4.5, 0.0);
	rw_net_port(&net, 1, 1);
	check_refused(&net, 1.317e6, RW_E_RANGE, "port[0]", NULL, *state);
	rw_net_start(&net, RW_NODES_MAX + 1);
	rw_net_port(&net, 1, 0);
	check_refused(&net, 1.317e6, RW_E_RANGE, "nodes", NULL, *state);
}

static void full_net_is_refused(void **state)
{
	rw_net net;
	rw_net_start(&net, 3);
	for (int k = 0; k < RW_PARTS_MAX; k++)
		assert_int_equal(rw_net_add(&net, RW_PART_R, 1 + k % 2, 0, 3.1 + k, 0.0), k);
	for (int k = 0; k < RW_PORTS_MAX; k++)
		assert_int_equal(rw_net_port(&net, 1, 0), k);
	assert_int_equal(rw_net_check(&net, NULL), RW_OK);
	rw_net other = net;
	for (int twice = 0; twice < 2; twice++) {
		assert_int_equal(rw_net_add(&net, RW_PART_R, 1, 0, 3.1, 0.0), -1);
		check_refused(&net, 1.317e6, RW_E_RANGE, "parts", NULL, *state);
		assert_int_equal(rw_net_port(&other, 1, 0), -1);
		assert_int_equal(rw_net_check(&other, NULL), RW_E_RANGE);
	}
}

/* The largest net there is room for: a chain of resistors, against their sum. */
static void largest_net(void **state)
{
	rw_error err;
	rw_net net;
	double sum = 0.0;
	rw_net_start(&net, RW_NODES_MAX);
	for (int k = 0; k < RW_PARTS_MAX; k++) {
		int a = k % (RW_NODES_MAX - 1);
		rw_net_add(&net, RW_PART_R, a + 1, a + 2 < RW_NODES_MAX ? a + 2 : 0, 1.37 + 0.213 * k, 0.0);
	}
	for (int k = 0; k < RW_NODES_MAX - 1; k++) {
		double first = 1.37 + 0.213 * k, second = k + RW_NODES_MAX - 1 < RW_PARTS_MAX ? 1.37 + 0.213 * (k + RW_NODES_MAX - 1) : (double)INFINITY;
		sum += 1.0 / (1.0 / first + 1.0 / second);
	}
	for (int k = 0; k < RW_PORTS_MAX; k++)
		rw_net_port(&net, 1 + k, 0);
	double complex v[RW_PORTS_MAX] = {537.1}, amps[RW_PORTS_MAX];
	CHECK_OK(rw_net_stress(&net, 0.731e6, v, (bool[]){false, true, true, true}, *state, NULL, NULL, amps, &err), &err);
	CHECK_COMPLEX(amps[0], 537.1 / sum, 1e-12, "resistors in series");
}

typedef struct calls { int n, fail_at; double lowest, highest, l, r; } calls;

/* An inductor whose inductance falls with the frequency, L = l (1 MHz/f)^(1/2). */
static rw_status falling_inductance(void *context, double f, rw_net *net, rw_error *err)
{
	calls *c = context;
	c->lowest = c->n ? fmin(c->lowest, f) : f;
	c->highest = c->n ? fmax(c->highest, f) : f;
	if (++c->n == c->fail_at)
		return RW_RAISE(err, RW_E_RANGE, "load", "the table ends");
	rw_net_start(net, 2);
	rw_net_add(net, RW_PART_C, 1, 0, 1.739e-9, 0.0);
	rw_net_add(net, RW_PART_L, 1, 0, c->l * sqrt(1e6 / f), 0.0);
	rw_net_add(net, RW_PART_R, 1, 0, c->r, 0.0);
	rw_net_port(net, 1, 0);
	return rw_net_check(net, err);
}

static void resonance_of_a_net_that_changes(void **state)
{
	rw_error err;
	rw_net net = {0};
	calls c = {.l = 6.218e-6, .r = 4417.0};
	double f = 0.0;
	int n = 0;
	CHECK_OK(rw_net_resonances(&net, 0, 0.1739e6, 6.713e6, 23, falling_inductance, &c, *state, &f, 1, &n, &err), &err);
	assert_int_equal(n, 1);
	/* 4 pi^2 f^2 l C sqrt(1 MHz/f) = 1 */
	CHECK_NEAR(f, pow(4.0 * pi * pi * 6.218e-6 * 1.739e-9 * 1e3, -2.0 / 3.0), 1e-12, "w^2 L(f) C = 1");
	assert_true(c.lowest == 0.1739e6 && c.highest == 6.713e6);   /* a table need not reach further */

	int calls_in_all = c.n;
	for (int fail_at = 1; fail_at <= calls_in_all; fail_at += 5) {
		c = (calls){.l = 6.218e-6, .r = 4417.0, .fail_at = fail_at};
		double kept = -1.318;
		n = -5;
		assert_int_equal(rw_net_resonances(&net, 0, 0.1739e6, 6.713e6, 23, falling_inductance, &c, *state, &kept, 1, &n, &err), RW_E_RANGE);
		assert_string_equal(err.key, "load");
		assert_true(kept == -1.318 && n == -5);
	}
}

static void resonance_corner_cases(void **state)
{
	const double l = 1.739e-6, c = 2.364e-9, f0 = 1.0 / (2.0 * pi * sqrt(l * c));
	rw_error err;
	rw_net net;
	double f = -1.318;
	int n = -5;
	rw_net_start(&net, 3);   /* a series resonance without loss exactly on the middle of the scan */
	rw_net_add(&net, RW_PART_L, 1, 2, l, 0.0);
	rw_net_add(&net, RW_PART_C, 2, 0, c, 0.0);
	rw_net_port(&net, 1, 0);
	CHECK_OK(rw_net_resonances(&net, 0, 0.25 * f0, 4.0 * f0, 8, NULL, NULL, *state, &f, 1, &n, &err), &err);
	assert_int_equal(n, 0);
	rw_net_add(&net, RW_PART_C, 1, 0, 0.3 * c, 0.0);   /* a parallel resonance above it, in the same step */
	CHECK_OK(rw_net_resonances(&net, 0, 0.11 * f0, 11.7 * f0, 80, NULL, NULL, *state, &f, 1, &n, &err), &err);
	assert_int_equal(n, 1);
	CHECK_NEAR(f, f0 * sqrt(1.0 + 1.0 / 0.3), 1e-12, "L with both capacitors in series");

	f = -1.318, n = -5;
	rw_net_start(&net, 2);
	rw_net_add(&net, RW_PART_R, 1, 0, 17.31, 0.0);
	rw_net_port(&net, 1, 0);
	CHECK_OK(rw_net_resonances(&net, 0, 0.31e6, 3.7e6, 40, NULL, NULL, *state, &f, 1, &n, &err), &err);
	assert_int_equal(n, 0);   /* a resistor has no susceptance anywhere */

	n = -5;
	assert_int_equal(rw_net_resonances(&net, 1, 0.31e6, 3.7e6, 40, NULL, NULL, *state, &f, 1, &n, &err), RW_E_RANGE);
	assert_string_equal(err.key, "ports");
	assert_int_equal(rw_net_resonances(&net, 0, 3.7e6, 0.31e6, 40, NULL, NULL, *state, &f, 1, &n, &err), RW_E_RANGE);
	assert_int_equal(rw_net_resonances(&net, 0, 0.0, 0.31e6, 40, NULL, NULL, *state, &f, 1, &n, &err), RW_E_RANGE);
	assert_int_equal(rw_net_resonances(&net, 0, 0.31e6, 3.7e6, 0, NULL, NULL, *state, &f, 1, &n, &err), RW_E_RANGE);
	rw_work *work = *state;
	atomic_bool cancel = true;
	work->cancel = &cancel;
	assert_int_equal(rw_net_resonances(&net, 0, 0.31e6, 3.7e6, 40, NULL, NULL, work, &f, 1, &n, &err), RW_E_CANCELLED);
	work->cancel = NULL;
	assert_true(f == -1.318 && n == -5);
}

static void *no_block(void *context, size_t bytes)
{
	int *left = context;
	return (*left)-- > 0 ? malloc(bytes) : NULL;
}

static void put_block(void *context, void *block)
{
	(void)context;
	free(block);
}

/* Every block refused once, for the largest net: an error, nothing written, nothing lost. */
static void memory_runs_out(void **state)
{
	(void)state;
	rw_net net;
	rw_net_start(&net, RW_NODES_MAX);
	for (int k = 0; k < RW_PARTS_MAX; k++)
		rw_net_add(&net, RW_PART_R, 1 + k % (RW_NODES_MAX - 1), 0, 1.37 + 0.213 * k, 0.0);
	rw_net_port(&net, 1, 0);
	int blocks = 0, n = -5;
	rw_status status = RW_E_MEMORY;
	for (; status == RW_E_MEMORY; blocks++) {
		int left = blocks;
		rw_work work;
		rw_work_init(&work);
		rw_arena_init_from(&work.scratch, (rw_block_source){no_block, put_block, &left});
		double complex y = 2.19 * j;
		status = rw_net_admittance(&net, 1.317e6, &work, &y, NULL);
		assert_true(status == RW_OK || (status == RW_E_MEMORY && y == 2.19 * j));
		left = blocks;
		double f = 0.0;
		rw_status other = rw_net_resonances(&net, 0, 1e6, 2e6, 3, NULL, NULL, &work, &f, 1, &n, NULL);
		assert_true(other == RW_OK ? n == 0 : other == RW_E_MEMORY && n == -5);
		assert_null(work.scratch.top);   /* wound back to where it was */
		rw_work_release(&work);
	}
	assert_int_equal(status, RW_OK);
	assert_true(blocks > 2);
}

enum { N_SHARED = 60 };

typedef struct share { double complex y[N_SHARED][RW_PORTS_MAX * RW_PORTS_MAX]; double f[N_SHARED][2]; int n_failed; } share;

static void *solve_many(void *context)
{
	share *s = context;
	rng r = {977};
	rw_work work;
	rw_work_init(&work);
	for (int k = 0; k < N_SHARED; k++) {
		rw_net net;
		double f = random_net(&r, &net);
		int n = 0;
		s->n_failed += rw_net_admittance(&net, f, &work, s->y[k], NULL) != RW_OK;
		coupled_resonators_net(&net, 1.739e-6 + 1e-8 * k, 2.364e-9, 0.137);
		s->n_failed += rw_net_resonances(&net, 0, 1e6, 7e6, 70, NULL, NULL, &work, s->f[k], 2, &n, NULL) != RW_OK || n != 2;
	}
	rw_work_release(&work);
	return NULL;
}

static void two_threads_are_bit_equal(void **state)
{
	(void)state;
	static share alone, first, second;
	memset(&alone, 0, sizeof alone), memset(&first, 0, sizeof first), memset(&second, 0, sizeof second);
	solve_many(&alone);
	pthread_t a, b;
	assert_int_equal(pthread_create(&a, NULL, solve_many, &first), 0);
	assert_int_equal(pthread_create(&b, NULL, solve_many, &second), 0);
	pthread_join(a, NULL);
	pthread_join(b, NULL);
	assert_int_equal(alone.n_failed, 0);
	assert_memory_equal(&alone, &first, sizeof alone);
	assert_memory_equal(&alone, &second, sizeof alone);
}

int main(void)
{
	rw_base_init();
	const struct CMUnitTest tests[] = {
	    cmocka_unit_test(series_rlc),
	    cmocka_unit_test(lossy_tank),
	    cmocka_unit_test(transformer),
	    cmocka_unit_test(coupled_resonators),
	    cmocka_unit_test(lattice),
	    cmocka_unit_test(bridge),
	    cmocka_unit_test(losses_of_parts),
	    cmocka_unit_test(open_port),
	    cmocka_unit_test(laws_of_random_nets),
	    cmocka_unit_test(singular_is_refused),
	    cmocka_unit_test(faulty_is_refused),
	    cmocka_unit_test(full_net_is_refused),
	    cmocka_unit_test(largest_net),
	    cmocka_unit_test(resonance_of_a_net_that_changes),
	    cmocka_unit_test(resonance_corner_cases),
	    cmocka_unit_test(memory_runs_out),
	    cmocka_unit_test(two_threads_are_bit_equal),
	};
	return cmocka_run_group_tests(tests, start_work, end_work);
}
