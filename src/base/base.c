#include "base/base.h"

#include <gsl/gsl_errno.h>

void rw_base_init(void) { gsl_set_error_handler_off(); }
