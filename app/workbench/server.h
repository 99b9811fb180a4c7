/* The server: sockets, limits, and who may ask; what is asked goes to the routes, on a worker's thread. It listens on the
 * loopback address alone. */
#ifndef WORKBENCH_SERVER_H
#define WORKBENCH_SERVER_H

#include "events.h"
#include "guard.h"

typedef struct server server;
struct workbench;

/* Listens on the port; 0 for any. NULL, with the reason in errno. */
server *server_start(struct workbench *w, events *e, int port);
const guard *server_guard(const server *s);
/* Answers what it has, ends every stream, and closes. */
void server_stop(server *s);

#endif
