#include "chain/load.h"

#include <complex.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/numeric.h"
#include "chain/line.h"

static const double two_pi = 6.283185307179586476925287;
static const double span_low = 0.5, span_high = 10.0;   /* of the wanted frequency */
static const double port_error = 1e-3;
enum { SAMPLES = RW_LOAD_SAMPLES, CURRENT_TURNS = 12 };

bool rw_load_follows_current(const rw_load *load) { return !load->table && (load->port.di_dr != 0.0 || load->port.di_dl != 0.0); }

void rw_load_span(const rw_load *load, double *low, double *high)
{
	if (load->table) {
		rw_impedance_span(load->table, low, high);
		return;
	}
	bool fixed = load->port.f_hi == 0.0;
	*low = fixed ? 1e3 : load->port.f_lo;
	*high = fixed ? 1e9 : load->port.f_hi;
}

rw_status rw_load_impedance(const rw_load *load, double frequency, double current_rms, rw_impedance *out, rw_error *err)
{
	double complex z;
	if (load->table)
		return rw_impedance_at(load->table, frequency, out, err);
	if (load->port.f_hi == 0.0) {
		*out = (rw_impedance){load->resistance, two_pi * frequency * load->inductance, load->inductance};
		return RW_OK;
	}
	RW_TRY(rw_load_port_impedance(&load->port, frequency, current_rms, &z, err));
	*out = (rw_impedance){creal(z), cimag(z), cimag(z) / (two_pi * frequency)};
	return RW_OK;
}

rw_status rw_load_own(const rw_load *load, double frequency, double *own, rw_error *err)
{
	rw_impedance z;
	*own = 0.0;
	if (load->port.f_hi == 0.0)
		return RW_OK;
	RW_TRY(rw_load_impedance(load, frequency, -1.0, &z, err));   /* at the reference current, where the parts are known */
	double x = log(frequency / load->port.f_lo) / log(load->port.f_hi / load->port.f_lo) * (SAMPLES - 1);
	int k = (int)fmin(fmax(floor(x), 0.0), SAMPLES - 2);
	*own = z.resistance * (load->own_share[k] + (load->own_share[k + 1] - load->own_share[k]) * (x - k));
	return RW_OK;
}

/* Library. */
static const char *text_of(const void *entry, const char *key)
{
	const rw_fact *fact = rw_entry_fact(entry, key);
	return fact ? fact->value : NULL;
}

/* Figures of a material from memory: what rests on the material is unverified. */
static void mark_material(rw_chain *chain, int job, const char *key, const rw_entry *entry)
{
	rw_view view = rw_chain_view(chain, job, RW_NO_CASE);
	rw_slot slot;
	if (rw_slot_find(&view, key, RW_NO_ELEMENT, &slot, NULL) != RW_OK)
		return;
	rw_origin *origin = rw_slot_origin(chain->full, slot);
	for (int i = 0; i < entry->n_facts; i++)
		origin->unverified = origin->unverified || entry->facts[i].unverified;
	origin->source = entry->facts[0].source;
}

static rw_status entry_of(rw_chain *chain, int job, const char *key, const char *name, const rw_entry **entry, rw_error *err)
{
	rw_status status = rw_library_entry(chain->base->library, chain->arena, "materials", name, entry, err);
	if (status == RW_E_KEY && err && err->line == 0)
		snprintf(err->key, sizeof err->key, "%s", key);
	RW_TRY(status);
	mark_material(chain, job, key, *entry);
	return RW_OK;
}

static rw_status read_dielectric(rw_chain *chain, int job, const char *key, const char *name, rw_dielectric *out, rw_error *err)
{
	const rw_entry *entry;
	RW_TRY(entry_of(chain, job, key, name, &entry, err));
	rw_status status = rw_dielectric_read(chain->base->units, name, text_of, entry, out, err);
	if (status != RW_OK && err)
		snprintf(err->key, sizeof err->key, "%s", key);
	return status;
}

static rw_status read_stuff(rw_chain *chain, int job, const rw_work_in *work, rw_work_stuff *stuff, rw_error *err)
{
	const rw_entry *entry;
	if (work->kind == RW_WORK_BAR || work->kind == RW_WORK_TUBE) {
		RW_TRY(entry_of(chain, job, "work.material", work->material, &entry, err));
		rw_status status = rw_material_read(chain->arena, chain->base->units, work->material, text_of, entry, &stuff->material, err);
		if (status != RW_OK && err)
			snprintf(err->key, sizeof err->key, "work.material");
		return status;
	}
	if (work->kind != RW_WORK_DIELECTRIC)
		return RW_OK;
	RW_TRY(read_dielectric(chain, job, "work.material", work->material, &stuff->wet, err));
	stuff->dry = stuff->wet;
	return work->material_dry[0] ? read_dielectric(chain, job, "work.material_dry", work->material_dry, &stuff->dry, err) : RW_OK;
}

static rw_status fit_together(const rw_work_in *work, const rw_coil_in *coil, rw_error *err)
{
	static const int32_t wanted[] = {RW_COIL_MEASURED, RW_COIL_TURNS, RW_COIL_TURNS, RW_COIL_PLATES, RW_COIL_MEASURED};
	static const char *const words[] = {"measured", "turns", "plates"}, *const works[] = {"measured", "bar", "tube", "dielectric", "dummy"};
	int32_t need = wanted[work->kind < 0 ? 0 : work->kind], has = coil->kind < 0 ? 0 : coil->kind;
	if (has == need)
		return RW_OK;
	(void)RW_RAISE(err, RW_E_VALUE, "coil.kind", "work of kind '%s' and a coil of kind '%s' do not belong together", works[work->kind < 0 ? 0 : work->kind],
	    words[has]);
	rw_error_expected(err, "'kind: %s' in the coil", words[need]);
	rw_error_hint(err, need == RW_COIL_MEASURED ? "take the coil's part out, or say what the work is with 'kind:' in the work" :
	    "write 'kind: %s' and the dimensions below 'coil:'", words[need]);
	return RW_E_VALUE;
}

static rw_status choose_job(rw_chain *chain, int job, rw_job_loads *loads, rw_error *err)
{
	const rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	rw_work_in *work = rw_chain_in(chain, "work", job);
	rw_coil_in *coil = rw_chain_in(chain, "coil", job);
	int r = rw_registry_find(chain->base->stages->registry, "work");
	RW_TRY(fit_together(work, coil, err));
	RW_TRY(read_stuff(chain, job, work, &loads->stuff, err));
	rw_room_blank(&rw_work_room, NULL, &loads->set, NULL);
	RW_TRY(rw_work_choose(work, &loads->stuff, generator->frequency, &loads->set, err));
	RW_TRY(rw_coil_choose(coil, work->kind == RW_WORK_BAR || work->kind == RW_WORK_TUBE ? work->diameter : (double)NAN, err));
	if (work->kind == RW_WORK_DIELECTRIC)
		loads->set.power_density = work->heat_power / (coil->plate_length * coil->plate_width * work->thickness);
	if (work->kind != RW_WORK_MEASURED)
		rw_work_propose(work, &loads->stuff, &loads->set, chain->full->part[r][job].names[0], work->loads, &work->n_loads);
	loads->n = work->n_loads;
	loads->empty = -1;
	for (int k = 0; k < loads->n; k++)
		if (strcmp(rw_line_load_name(chain, job, k), work->empty) == 0)
			loads->empty = k;
	return RW_OK;
}

rw_status rw_loads_choose(rw_chain *chain, rw_error *err)
{
	chain->loads = RW_ARENA_NEW(chain->arena, rw_job_loads, chain->full->n_jobs);
	if (!chain->loads)
		return RW_RAISE(err, RW_E_MEMORY, "", "memory ran out");
	for (int j = 0; j < chain->full->n_jobs; j++) {
		chain->job_at_fault = j;
		RW_TRY(choose_job(chain, j, &chain->loads[j], err));
	}
	rw_chain_mark_filled(chain, "work", NULL);
	rw_chain_mark_filled(chain, "coil", NULL);
	return RW_OK;
}

/* A coil of turns in one state. */
typedef struct turned {
	const rw_medhurst *medhurst;
	const rw_material *material;
	rw_coil_turns turns;
	rw_coil_body body;
	double temperature;
	bool empty, magnetic;
} turned;

static rw_status permeability_at(void *context, double field_rms, double *permeability, rw_error *err)
{
	const turned *t = context;
	rw_status status = rw_material_permeability(t->material, t->temperature, field_rms, permeability, err);
	if (status == RW_E_RANGE)
		rw_error_hint(err, "the state takes the heat wanted only in so strong a field: less heat, a longer time, or a larger surface");
	return status;
}

static rw_status turned_impedance(turned *t, double frequency, double current, double complex *z, double *reflected, rw_error *err)
{
	if (t->empty) {
		rw_coil_impedance empty;
		RW_TRY(rw_coil_empty(&t->turns, t->medhurst, frequency, &empty, err));
		*z = empty.resistance + (double complex)I * empty.reactance;
		*reflected = 0.0;
		return RW_OK;
	}
	rw_coil_magnetic_result magnetic;
	rw_coil_loaded_result loaded;
	if (t->magnetic) {
		RW_TRY(rw_coil_magnetic(&t->turns, &t->body, permeability_at, t, t->medhurst, frequency, current, &magnetic, err));
		loaded = magnetic.loaded;
		t->body.permeability = magnetic.permeability;
	} else {
		RW_TRY(rw_coil_loaded(&t->turns, &t->body, t->medhurst, frequency, &loaded, err));
	}
	*z = loaded.resistance + (double complex)I * loaded.reactance;
	*reflected = loaded.resistance_reflected;
	return RW_OK;
}

/* Current at which a state takes the heat wanted, at the wanted frequency. */
static rw_status current_for_heat(turned *t, double frequency, double heat, double *current, rw_error *err)
{
	double i = 100.0, reflected;
	double complex z;
	for (int turn = 0; turn < (t->magnetic ? CURRENT_TURNS : 1); turn++) {
		RW_TRY(turned_impedance(t, frequency, i, &z, &reflected, err));
		double next = sqrt(heat / reflected);
		bool settled = fabs(next - i) < 1e-3 * next;
		i = next;
		if (settled)
			break;
	}
	*current = i;
	return RW_OK;
}

/* Shares by which R and X change with the current, from a tenth to either side. */
static rw_status slopes(turned *t, double frequency, rw_load_port *port, rw_error *err)
{
	double complex low, here, high;
	double reflected;
	RW_TRY(turned_impedance(t, frequency, 0.9 * port->i_ref, &low, &reflected, err));
	RW_TRY(turned_impedance(t, frequency, port->i_ref, &here, &reflected, err));
	RW_TRY(turned_impedance(t, frequency, 1.1 * port->i_ref, &high, &reflected, err));
	port->di_dr = creal(high - low) / (0.2 * creal(here));
	port->di_dl = cimag(high - low) / (0.2 * cimag(here));
	return RW_OK;
}

static void sample_frequencies(double wanted, double frequency[SAMPLES])
{
	for (int i = 0; i < SAMPLES; i++)
		frequency[i] = wanted * span_low * pow(span_high / span_low, (double)i / (SAMPLES - 1));
}

static rw_status make_turned(turned *t, double wanted, double heat, rw_load *load, rw_error *err)
{
	double frequency[SAMPLES], current = 1.0, reflected;
	double complex z[SAMPLES];
	if (!t->empty)
		RW_TRY(current_for_heat(t, wanted, heat, &current, err));
	sample_frequencies(wanted, frequency);
	for (int i = 0; i < SAMPLES; i++) {
		RW_TRY(turned_impedance(t, frequency[i], current, &z[i], &reflected, err));
		load->own_share[i] = 1.0 - reflected / creal(z[i]);
	}
	RW_TRY(rw_load_port_fit(RW_PORT_RL, SAMPLES, frequency, z, port_error, &load->port, err));
	load->port.i_ref = current;
	return t->magnetic && !t->empty ? slopes(t, wanted, &load->port, err) : RW_OK;
}

static rw_status turned_state(const rw_chain *chain, int job, int k, turned *t, rw_error *err)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	const rw_coil_in *coil = rw_chain_in(chain, "coil", job);
	const rw_material *material = &chain->loads[job].stuff.material;
	*t = (turned){
	    .medhurst = &chain->base->medhurst, .material = material, .temperature = work->loads[k].temperature, .empty = k == chain->loads[job].empty,
	    .turns = rw_coil_turns_of(coil),
	    .body = {.radius = 0.5 * work->diameter, .bore = work->kind == RW_WORK_TUBE ? 0.5 * work->bore : 0.0, .length = work->part_length,
	        .permeability = 1.0},
	};
	if (t->empty)
		return RW_OK;
	rw_status status = rw_material_at(material, RW_RESISTIVITY, t->temperature, &t->body.resistivity, err);
	if (status == RW_E_RANGE && err) {
		snprintf(err->key, sizeof err->key, "work.loads.%s.temperature", rw_line_load_name(chain, job, k));
		rw_error_hint(err, "another temperature, or a material whose tables reach it");
	}
	RW_TRY(status);
	t->magnetic = t->temperature < material->curie_temperature;   /* false without a Curie point */
	return t->magnetic ? RW_OK : rw_material_permeability(material, t->temperature, 1e5, &t->body.permeability, err);
}

static rw_status make_plates(const rw_chain *chain, int job, int k, double wanted, rw_load *load, rw_error *err)
{
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	const rw_coil_in *coil = rw_chain_in(chain, "coil", job);
	double frequency[SAMPLES];
	double complex z[SAMPLES];
	rw_plates plates;
	rw_work_plates(work, &work->loads[k], k == chain->loads[job].empty, coil->plate_length * coil->plate_width, &plates);
	const rw_permittivity stuff = plates.layer[0].permittivity;
	/* The figures hold at the wanted frequency. A loss tangent that stays belongs to a permittivity that falls as f^(-2 delta/pi): no passive
	 * network, and no stuff, has the one without the other. */
	double fall = 2.0 / M_PI * atan2(stuff.loss, stuff.real);
	sample_frequencies(wanted, frequency);
	for (int i = 0; i < SAMPLES; i++) {
		rw_plates_load at;
		double share = pow(frequency[i] / wanted, -fall);
		plates.layer[0].permittivity = (rw_permittivity){fmax(1.0, stuff.real * share), stuff.loss * share};
		RW_TRY(rw_plates_load_of(&plates, frequency[i], &at, err));
		z[i] = 1.0 / (at.conductance + (double complex)I * two_pi * frequency[i] * at.capacitance);
	}
	return rw_load_port_fit(RW_PORT_RC, SAMPLES, frequency, z, port_error, &load->port, err);
}

static rw_status make_state(rw_chain *chain, int job, int k, rw_error *err)
{
	const rw_generator_in *generator = rw_chain_in(chain, "generator", 0);
	const rw_work_in *work = rw_chain_in(chain, "work", job);
	rw_load *load = &chain->loads[job].load[k];
	turned t;
	switch (work->kind) {
	case RW_WORK_MEASURED:
		load->table = rw_design_table(chain->full, work->loads[k].impedance);
		return RW_OK;
	case RW_WORK_DUMMY:
		load->resistance = work->dummy_resistance;
		load->inductance = work->dummy_inductance;
		return RW_OK;
	case RW_WORK_DIELECTRIC: return make_plates(chain, job, k, generator->frequency, load, err);
	default:
		RW_TRY(turned_state(chain, job, k, &t, err));
		RW_TRY(make_turned(&t, generator->frequency, work->heat_power, load, err));
		load->body = t.empty ? (rw_coil_body){0} : t.body;
		return RW_OK;
	}
}

/* The closed forms know no file: their own keys of the part are the work's, all else is the state's. */
static void blame_state(const rw_chain *chain, int job, int k, rw_error *err)
{
	if (!err || strncmp(err->key, "work.", 5) == 0)
		return;
	if (strcmp(err->key, "part_length") == 0)
		snprintf(err->key, sizeof err->key, "work.part_length");
	else
		snprintf(err->key, sizeof err->key, "work.loads.%s", rw_line_load_name(chain, job, k));
}

rw_status rw_loads_make(rw_chain *chain, rw_error *err)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		chain->job_at_fault = j;
		for (int k = 0; k < chain->loads[j].n; k++) {
			rw_status status = make_state(chain, j, k, err);
			if (status != RW_OK)
				blame_state(chain, j, k, err);
			RW_TRY(status);
		}
	}
	return RW_OK;
}

void rw_loads_dummy(rw_chain *chain, double resistance, double inductance, double heat_power)
{
	for (int j = 0; j < chain->full->n_jobs; j++) {
		rw_work_in *work = rw_chain_in(chain, "work", j);
		if (work->kind != RW_WORK_DUMMY)
			continue;
		work->dummy_resistance = isnan(work->dummy_resistance) ? rw_round_digits(resistance, 3) : work->dummy_resistance;
		work->dummy_inductance = isnan(work->dummy_inductance) ? rw_round_digits(inductance, 3) : work->dummy_inductance;
		work->heat_power = isnan(work->heat_power) ? heat_power : work->heat_power;
		for (int k = 0; k < chain->loads[j].n; k++) {
			chain->loads[j].load[k].resistance = work->dummy_resistance;
			chain->loads[j].load[k].inductance = work->dummy_inductance;
		}
	}
}
