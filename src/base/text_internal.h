/* Shared inside the base room only. */
#ifndef RW_BASE_TEXT_INTERNAL_H
#define RW_BASE_TEXT_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>

enum { RW__DIGITS_MAX = 17 };

/* |x| rounded to n significant decimal digits (1..17), as d[0].d[1]d[2]... times 10 to the power returned. x finite.
 * out  digits [n], zero-ended */
int rw__text_digits(double x, int n, char digits[RW__DIGITS_MAX + 1]);

/* The number that sign, digits and power (as above) say. */
double rw__text_value(bool negative, const char *digits, int power);

/* Fewest digits that read back as exactly x. */
int rw__text_shortest_digits(double x, char digits[RW__DIGITS_MAX + 1]);

/* Sign, digits and power as text: plain where -5 <= power < 15, else "1.5e-7". Closing zeros behind the point are dropped. room >= 32 */
void rw__text_plain(char *out, size_t room, bool negative, const char *digits, int power);
bool rw__text_is_plain(int power);

#endif
