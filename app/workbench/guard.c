/* Who may ask. See guard.h. */
#include "guard.h"

#include <stdio.h>
#include <string.h>
#include <sys/random.h>

bool guard_init(guard *g, int port)
{
    unsigned char bits[(token_room - 1) / 2];
    if (getentropy(bits, sizeof bits) != 0) return false;
    g->port = port;
    for (size_t i = 0; i < sizeof bits; i++) snprintf(g->token + 2 * i, 3, "%02x", bits[i]);
    return true;
}

static bool is_ours(const guard *g, const char *prefix, const char *said)
{
    static const char *const hosts[] = {"127.0.0.1", "localhost"};
    for (int i = 0; i < 2; i++) {
        char ours[64];
        snprintf(ours, sizeof ours, "%s%s:%d", prefix, hosts[i], g->port);
        if (strcmp(ours, said) == 0) return true;
    }
    return false;
}

bool guard_knows_host(const guard *g, const char *host) { return host && is_ours(g, "", host); }

bool guard_knows_origin(const guard *g, const char *origin) { return is_ours(g, "http://", origin); }

bool guard_knows_token(const guard *g, const char *token)
{
    if (!token || strlen(token) != sizeof g->token - 1) return false;
    unsigned char differs = 0;
    for (size_t i = 0; i < sizeof g->token - 1; i++) differs |= (unsigned char)(token[i] ^ g->token[i]);
    return differs == 0;
}
