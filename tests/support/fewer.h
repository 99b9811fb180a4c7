/* How many random cases to run. Under sanitizers, and with a second compiler, a part of them shows what is to be seen
 * there; LOOMWALL_FEWER=4 in the environment asks for every fourth. Without it all run, as in `make test`. */
#ifndef LOOMWALL_FEWER_H
#define LOOMWALL_FEWER_H
#include <stdlib.h>

static inline int fewer(int n)
{
    const char *asked = getenv("LOOMWALL_FEWER");
    int share = asked ? atoi(asked) : 1;
    return share > 1 && n > share ? n / share : n;
}

#endif
