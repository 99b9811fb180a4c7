/* A kind as JSON. */
#ifndef API_KINDS_H
#define API_KINDS_H

#include "base/print.h"
#include "model/kind.h"

/* One object: kind, says, terminals, positions, dial, parameters. */
void json_kind(sink *s, const kind *k);

#endif
