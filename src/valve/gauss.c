/* Gauss-Legendre nodes: const data made by tools/gauss_nodes.py. */
#include "valve/valve_internal.h"

const rw__gauss_node *rw__gauss(int order)
{
	static const rw__gauss_node nodes[] = {
#define RW_GAUSS(order, at, weight) {at, weight},
#include "valve/gauss_nodes.def"
#undef RW_GAUSS
	};
	return nodes + (order - 4);   /* 4, 8, 16 ... stand one behind the other: those before order count order - 4 */
}
