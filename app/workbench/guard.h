/* Who may ask. The address is this machine's alone, but every page in the browser can send requests to it, and any program of
 * another user can. So:
 *
 * - the Host must be ours by address or as `localhost`, once: a name that was made to point here (DNS rebinding) is not;
 * - an Origin, where there is one, must be ours;
 * - what is behind /api wants the token of this sitting, 128 random bits that are in the address that was printed. */
#ifndef WORKBENCH_GUARD_H
#define WORKBENCH_GUARD_H

#include <stdbool.h>

enum { token_room = 33 };

typedef struct guard {
    int port;
    char token[token_room];
} guard;

/* False when the system gives no random bits. */
bool guard_init(guard *g, int port);

bool guard_knows_host(const guard *g, const char *host);
bool guard_knows_origin(const guard *g, const char *origin);
/* In a time that does not tell how much of it was right. */
bool guard_knows_token(const guard *g, const char *token);

#endif
