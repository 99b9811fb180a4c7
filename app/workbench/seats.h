/* Connections against the clock. The library's own time-out is of idleness alone, which a request fed a byte at a time never
 * reaches; so each connection has a seat with a time by which its request must be in, or its answer out, and the socket of one
 * that is late is shut down. */
#ifndef WORKBENCH_SEATS_H
#define WORKBENCH_SEATS_H

#include <pthread.h>
#include <stdbool.h>

typedef struct seats seats;
typedef struct seat seat;

/* ASKING: until the request is in, from the start of the connection or the end of its last answer. WORKING: as long as we
 * need ourselves. ANSWERING: until the answer is out. LISTENING: for events; without end. */
typedef enum seat_state { SEAT_ASKING, SEAT_WORKING, SEAT_ANSWERING, SEAT_LISTENING } seat_state;

seats *seats_create(void);
void seats_destroy(seats *s);

/* NULL when there is no memory: the connection is shut down at once. */
seat *seat_take(seats *s, int socket);
void seat_leave(seat *s);
void seat_turn_to(seat *s, seat_state state);
/* Shuts the socket down. */
void seat_drop(void *seat);

/* Shuts down what is late. To be called a few times a second. */
void seats_clear(seats *s);

#endif
