/* What hangs together: islands of nodes, loads that wiring feeds, loops without resistance. By union-find, no numbers.
 *
 * An island is a set of nodes that some path joins: wiring, closed contacts, sources, and loads or diodes too, since
 * even an off load passes what a voltmeter needs. Wiring alone (conductors, closed contacts, fusibles, sources, diodes,
 * outputs of transfers) decides whether a load is fed; a lamp, coil or load by resistance counts as wiring when it could pass
 * a watt or more to what stands behind it, as a heater could. The two ends of a transfer do not join: it passes power only. */
#ifndef CIRCUIT_TOPOLOGY_H
#define CIRCUIT_TOPOLOGY_H

#include "circuit/network.h"

/* How an element joins its ends. */
typedef enum join { JOIN_NEVER, JOIN_WIRING, JOIN_IDEAL /* wiring without resistance */, JOIN_SOFT } join;
typedef struct link {
    int a, b;
    unsigned char join;
    bool is_switched; /* joins only while closed */
    bool is_feeding;  /* soft, but could pass feeding_W */
} link;

typedef struct topology {
    const network *net;
    link *links; /* one an element; then one an element for the output of a TRANSFER */
    int n_links, n_ideal;
    int *transfers; /* link n_elements + k is the output of element transfers[k] */
    int n_transfers;
    /* Found once: lumps of nodes that wiring joins however the contacts stand, and what can join lumps. */
    int *lump, *first_of_lump; /* of each node; they are numbered by their first node */
    int n_lumps;
    int *ideals, *switched, n_switched; /* links */
    int *soft, n_soft;                  /* links between two lumps */
    /* The answer of topology_find. */
    int *island; /* of each node; 0 holds the reference, the rest are numbered by their first node */
    int *ground; /* of each island: the node that its voltages are against */
    int n_islands;
    bool *is_fed;                                /* of each element: wiring joins its ends */
    int loop_element;                            /* an element that closes a loop without resistance, or -1 */
    int *parent, *ideal_parent, *island_of_lump; /* scratch */
} topology;

topology *topology_create(arena *a, const network *net);

/* Fills the answer. is_closed: one an element, for contacts and choppers. */
void topology_find(topology *t, const unsigned char *is_closed);

/* All nodes of the loop's element are joined without resistance by these others too: the elements on that way, in
 * `elements` (room for n_elements), their number returned. For explanations. */
int topology_loop(const topology *t, const unsigned char *is_closed, int closing, int *elements);

/* Which contacts are closed and choppers on in a set of positions: contacts as their item stands, items with a coil at
 * rest; choppers on unless their duty is 0. */
void contacts_in(const network *net, const position *positions, unsigned char *is_closed);

#endif
