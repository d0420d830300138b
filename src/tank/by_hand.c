/* Losses of the tank by another way than its network: branches put together in complex arithmetic, half the circuit at a time. Reactive
 * parts straight across the anode (choke, the valve's own capacitance) do not enter: the anode's volts are given. */
#include <math.h>

#include "tank/tank.h"

static const double two_pi = 6.283185307179586476925287;
static const double complex j = (double complex)I;

/* Half the circuit as impedances and admittances. */
typedef struct half {
	double w, d, n;
	rw_tank_in in;                 /* parts of the half */
	double complex anode;          /* V pk */
	double complex mesh;           /* ohm: of the secondary; 1 where there is none */
	double complex branch;         /* ohm: inductor, with load or with what the secondary reflects */
	double complex feed;           /* ohm: blocking capacitor, or bypass */
	double complex to_anode, to_cathode;   /* S: what stands between grid and anode, grid and cathode, besides the divider */
} half;

/* Peak currents and volts that make losses. */
typedef struct flows { double complex inductor, grid_inductor, capacitor_volts, divider_volts, feed; } flows;

static double complex admittance(const half *h, double capacitance) { return h->w * capacitance * (h->d + j); }
static double complex given(double w, double capacitance) { return isnan(capacitance) ? 0.0 : j * w * capacitance; }

static half half_of(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, double frequency, double anode_swing_pk)
{
	half h = {.w = two_pi * frequency, .d = in->loss_tangent, .n = rw_tank_sides(in), .in = rw_tank_half(in), .anode = anode_swing_pk,
	    .mesh = 1.0};
	double complex end = (load->resistance + j * load->reactance) / h.n, inductor = h.w * h.in.inductance * (1.0 / in->inductor_q + j);
	if (in->coupling == RW_COUPLING_SERIES) {
		h.branch = inductor + end;
	} else {
		h.mesh = end + h.w * h.in.secondary_inductance * (1.0 / in->secondary_q + j);
		if (!isnan(in->secondary_capacitance))
			h.mesh += 1.0 / admittance(&h, h.in.secondary_capacitance);
		h.branch = inductor + pow(h.w * h.in.secondary_mutual, 2.0) / h.mesh;
	}
	if (in->feed == RW_FEED_SHUNT)
		h.feed = 1.0 / admittance(&h, in->blocking_capacitance);
	else if (in->arrangement == RW_ONE_VALVE)
		h.feed = 1.0 / admittance(&h, in->bypass_capacitance);
	if (valve) {
		h.to_anode = given(h.w, valve->anode_grid);
		h.to_cathode = given(h.w, valve->grid_cathode);
	}
	if (rw_tank_has_grid_choke(in))
		h.to_cathode += 1.0 / (j * h.w * in->grid_choke_inductance);
	return h;
}

/* Grid winding: its current, drawn by the valve's capacitances only, brings an EMF into the branch and changes its impedance. */
static flows with_winding(const half *h)
{
	double complex mutual = j * h->w * h->in.grid_mutual, winding = j * h->w * h->in.grid_inductance, drawn = h->to_anode + h->to_cathode;
	double complex across = 1.0 + winding * drawn;
	double complex branch = h->branch - mutual * drawn * mutual / across;
	double complex emf = mutual * (drawn * winding * h->to_anode / across - h->to_anode) * h->anode;
	double complex capacitor = admittance(h, h->in.capacitance);
	double complex tank = (h->anode + emf * h->feed / branch) / (1.0 + (capacitor + 1.0 / branch) * h->feed);
	double complex inductor = (tank - emf) / branch;
	return (flows){.inductor = inductor, .capacitor_volts = tank, .feed = tank * capacitor + inductor};
}

/* Divider: the grid's volts by those of tank and anode, then the tank's. */
static flows with_divider(const half *h)
{
	double complex c1 = admittance(h, h->in.divider_anode_capacitance), c2 = admittance(h, h->in.divider_grid_capacitance);
	double complex branch = 1.0 / h->branch, at_grid = c2 + h->to_cathode + h->to_anode + branch;
	double complex by_tank = branch / at_grid, by_anode = h->to_anode * h->anode / at_grid;
	double complex tank = (h->anode + h->feed * branch * by_anode) / (1.0 + h->feed * (c1 + branch * (1.0 - by_tank)));
	double complex grid = by_tank * tank + by_anode;
	return (flows){.inductor = (tank - grid) * branch, .capacitor_volts = tank, .divider_volts = grid, .feed = (h->anode - tank) / h->feed};
}

/* Tapped inductor: two loop currents, anode part and grid part, by Cramer's rule. */
static flows with_tap(const half *h)
{
	double complex mutual = j * h->w * rw_tank_tap_mutual(&h->in), grid_part = h->w * h->in.grid_inductance * (1.0 / h->in.inductor_q + j);
	double complex capacitor = admittance(h, h->in.capacitance), across[2] = {h->branch + mutual, grid_part + mutual};
	double complex block = h->in.feed == RW_FEED_SHUNT ? h->feed : 0.0, bypass = h->in.feed == RW_FEED_SHUNT ? 0.0 : h->feed;
	double complex at_grid = h->to_anode + h->to_cathode;
	/* volts of the hot end and of the grid over earth, per ampere of each current */
	double complex hot[2] = {bypass + h->branch, mutual - bypass}, grid[2] = {bypass - mutual, -bypass - grid_part};
	double complex a[2] = {hot[0] + block * (1.0 + capacitor * across[0]), hot[1] + block * capacitor * across[1]};
	double complex b[2] = {capacitor * across[0] - at_grid * grid[0], 1.0 + capacitor * across[1] - at_grid * grid[1]};
	double complex right[2] = {h->anode, -h->to_anode * h->anode}, det = a[0] * b[1] - a[1] * b[0];
	double complex first = (right[0] * b[1] - a[1] * right[1]) / det, second = (a[0] * right[1] - right[0] * b[0]) / det;
	double complex volts = across[0] * first + across[1] * second;
	double complex fed = h->in.feed == RW_FEED_SHUNT ? first + capacitor * volts : first - second;
	return (flows){.inductor = first, .grid_inductor = second, .capacitor_volts = volts, .feed = fed};
}

static double square(double complex z) { return creal(z) * creal(z) + cimag(z) * cimag(z); }

rw_tank_losses rw_tank_losses_by_hand(const rw_tank_in *in, const rw_tank_valve *valve, const rw_tank_load *load, double frequency,
                                      double anode_swing_pk)
{
	half h = half_of(in, valve, load, frequency, anode_swing_pk);
	bool divider = in->feedback == RW_FEEDBACK_CAPACITIVE, secondary = in->coupling == RW_COUPLING_SECONDARY;
	flows f = divider ? with_divider(&h) : in->feedback == RW_FEEDBACK_INDUCTIVE ? with_tap(&h) : with_winding(&h);
	double complex output = secondary ? h.w * h.in.secondary_mutual * f.inductor / h.mesh : f.inductor;
	double capacitor = creal(admittance(&h, divider ? h.in.divider_anode_capacitance : h.in.capacitance)) * square(f.capacitor_volts);
	if (divider)
		capacitor += creal(admittance(&h, h.in.divider_grid_capacitance)) * square(f.divider_volts);
	double grid_part = h.w * h.in.grid_inductance / in->inductor_q;
	rw_tank_losses out = {
	    .output_rms2 = 0.5 * square(output),
	    .inductor = 0.5 * h.n * square(f.inductor) * h.w * h.in.inductance / in->inductor_q,
	    .grid_inductor = in->feedback == RW_FEEDBACK_INDUCTIVE ? 0.5 * h.n * square(f.grid_inductor) * grid_part : 0.0,
	    .capacitors = 0.5 * h.n * (capacitor + creal(h.feed) * square(f.feed)),
	};
	if (secondary) {
		out.secondary_inductor = out.output_rms2 * h.w * in->secondary_inductance / in->secondary_q;
		if (!isnan(in->secondary_capacitance))
			out.secondary_capacitor = out.output_rms2 * creal(1.0 / admittance(&h, in->secondary_capacitance));
	}
	return out;
}
