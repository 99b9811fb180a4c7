/* What can be asked, one table. */
#ifndef WORKBENCH_ROUTES_H
#define WORKBENCH_ROUTES_H

#include "call.h"

typedef struct route {
    const char *method, *path; /* a path that ends in `/` takes whatever follows it */
    size_t most_body;
    void (*run)(call *c); /* NULL: the stream of events */
} route;

/* NULL when there is no such path; then *allow is NULL, or what methods it has. */
const route *route_find(const char *method, const char *path, const char **rest, const char **allow);

#endif
