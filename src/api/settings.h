/* Switch positions as people write them: "pump-switch=on", "bench-dimmer=40%". */
#ifndef API_SETTINGS_H
#define API_SETTINGS_H

#include "base/print.h"
#include "model/van.h"

/* The position of every item: its first, unless one of the settings says otherwise. Each fault adds a line to `wrong`,
 * and what is returned then is of no use. */
position *settings_read(arena *a, const van *v, const char *const *set, size_t n_set, sink *wrong);

/* Adds the line "WHAT; RIGHT". */
void settings_refuse(sink *wrong, const char *what, const char *right);

#endif
