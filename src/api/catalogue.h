/* Everything that a form for a van must know: keys, conductor sizes, colours, ratings, rules. */
#ifndef API_CATALOGUE_H
#define API_CATALOGUE_H

#include "base/print.h"

/* Members of an object, a comma before each: item_keys, wire_keys, sizes, colours, ratings, rules, ... */
void json_catalogue(sink *s);

#endif
