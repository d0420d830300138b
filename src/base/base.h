/* Making the room ready. */
#ifndef RW_BASE_BASE_H
#define RW_BASE_BASE_H

/* Once, first thing in main and in every test program's main, before any thread: the numeric library's error handler, which would
 * end the process, is switched off for the whole process; its codes are checked instead. May be called again. */
void rw_base_init(void);

#endif
