/* Constants of nature that more than one room needs. */
#ifndef RW_BASE_CONSTANTS_H
#define RW_BASE_CONSTANTS_H

#define RW_MU0 1.25663706127e-6      /* H/m, magnetic constant; CODATA 2022 */

#endif
