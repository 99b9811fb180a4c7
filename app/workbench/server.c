/* The server. See server.h. */
#include "server.h"
#include "page-embedded.h"
#include "routes.h"
#include "seats.h"
#include "ticker.h"
#include "workers.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <unistd.h>

enum {
    most_connections = 128,
    most_of_address = 96, /* the loopback has many addresses; a page takes up to six connections */
    most_head = 16 * 1024,
    most_idle_s = 20,
    n_workers = 3,
    tick_ms = 250,
    beat_ticks = 60
};

struct server {
    struct workbench *workbench;
    events *events;
    guard guard;
    seats *seats;
    workers *workers;
    ticker ticker;
    int n_ticks;
    struct MHD_Daemon *daemon;
    pthread_mutex_t lock; /* of the next: when it is set no job is added any more */
    bool is_ending;
};

/* --- a request on its way --- */

/* ASKING: it is taken in. WORKING: a worker has it. ANSWERED: its answer is sent as soon as the rest of it was taken in. */
typedef enum request_state { REQUEST_ASKING, REQUEST_WORKING, REQUEST_ANSWERED } request_state;

typedef struct request {
    job job; /* first: what the workers hand back */
    server *server;
    struct MHD_Connection *connection;
    seat *seat;
    const route *route; /* NULL for one that was refused or is a file of the page */
    request_state state;
    char *body;
    size_t room;
    call call;
} request;

static const char *header(struct MHD_Connection *connection, const char *name)
{
    return MHD_lookup_connection_value(connection, MHD_HEADER_KIND, name);
}

static seat *seat_of(struct MHD_Connection *connection)
{
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    return info ? info->socket_context : NULL;
}

/* --- answers --- */

/* The page may use what is its own and nothing else; nobody may frame it, cache it, guess its types or learn its address. */
static const char *const house_rules[][2] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; "
     "connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"Cache-Control", "no-store"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
};

static enum MHD_Result send_response(request *r, struct MHD_Response *response, unsigned status, const char *type)
{
    if (!response) return MHD_NO;
    enum MHD_Result is_good = MHD_add_response_header(response, "Content-Type", type);
    for (size_t i = 0; i < sizeof house_rules / sizeof house_rules[0]; i++)
        if (!MHD_add_response_header(response, house_rules[i][0], house_rules[i][1])) is_good = MHD_NO;
    if (r->call.answer.allow && !MHD_add_response_header(response, "Allow", r->call.answer.allow)) is_good = MHD_NO;
    if (is_good) is_good = MHD_queue_response(r->connection, status, response);
    MHD_destroy_response(response);
    return is_good;
}

/* What is sent lives in the call's arena, or for ever. */
static enum MHD_Result send_answer(request *r)
{
    const answer *a = &r->call.answer;
    seat_turn_to(r->seat, SEAT_ANSWERING);
    struct MHD_Response *response = MHD_create_response_from_buffer(a->n, (void *)a->bytes, MHD_RESPMEM_PERSISTENT);
    return send_response(r, response, a->status, a->type);
}

/* An answer that is sent before the request was taken in whole would be lost in a reset connection. */
static void refuse(request *r, unsigned status, const char *words)
{
    answer_error(&r->call, status, "%s", words);
    r->state = REQUEST_ANSWERED;
}

static void answer_no_memory(call *c)
{
    static const char words[] = "{\"error\": \"there is not enough memory for this; ask again later\"}";
    answer_bytes(c, "application/json", words, sizeof words - 1);
    c->answer.status = 503;
}

static const char *type_of(const char *name)
{
    static const char *const types[][2] = {
        {".html", "text/html; charset=utf-8"},
        {".css", "text/css; charset=utf-8"},
        {".js", "text/javascript; charset=utf-8"},
        {".svg", "image/svg+xml"},
        {".json", "application/json"},
        {".ttf", "font/ttf"},
        {".woff2", "font/woff2"},
        {".txt", "text/plain; charset=utf-8"},
    };
    const char *ending = strrchr(name, '.');
    for (size_t i = 0; ending && i < sizeof types / sizeof types[0]; i++)
        if (strcmp(types[i][0], ending) == 0) return types[i][1];
    return "application/octet-stream";
}

/* A file of the page, by its whole name: there is no folder to get out of. */
static bool answer_page_file(call *c, const char *path)
{
    const char *name = strcmp(path, "/") == 0 ? "index.html" : path + 1;
    for (int i = 0; i < n_page_files; i++) {
        if (strcmp(page_files[i].name, name) != 0) continue;
        answer_bytes(c, type_of(name), page_files[i].text, page_files[i].n);
        return true;
    }
    return false;
}

static enum MHD_Result send_events(request *r)
{
    struct MHD_Response *response = events_answer(r->server->events, r->connection, seat_drop, r->seat);
    if (!response) {
        refuse(r, 503, "too many pages are open on this file; close one");
        return send_answer(r);
    }
    seat_turn_to(r->seat, SEAT_LISTENING);
    return send_response(r, response, 200, "text/event-stream");
}

/* --- the way of a request --- */

typedef struct counting {
    const char *name;
    int n;
} counting;

static enum MHD_Result count_header(void *context, enum MHD_ValueKind kind, const char *name, const char *value)
{
    (void)kind, (void)value;
    counting *c = context;
    c->n += strcasecmp(name, c->name) == 0;
    return MHD_YES;
}

static int n_headers(struct MHD_Connection *connection, const char *name)
{
    counting c = {name, 0};
    MHD_get_connection_values(connection, MHD_HEADER_KIND, count_header, &c);
    return c.n;
}

/* NULL when the request may be heard; else why not, with the status. */
static const char *why_not_heard(const request *r, const char *path, unsigned *status)
{
    struct MHD_Connection *connection = r->connection;
    const guard *g = &r->server->guard;
    *status = 403;
    if (n_headers(connection, "Host") != 1 || !guard_knows_host(g, header(connection, "Host")))
        return "this is not the host that was asked for; use the address that loomwall printed";
    const char *origin = header(connection, "Origin");
    if (n_headers(connection, "Origin") > 1 || (origin && !guard_knows_origin(g, origin)))
        return "a page from elsewhere may not ask here; use the address that loomwall printed";
    if (strncmp(path, "/api/", 5) != 0) return NULL;
    const char *site = header(connection, "Sec-Fetch-Site");
    if (site && strcmp(site, "same-origin") != 0 && strcmp(site, "none") != 0)
        return "a page from elsewhere may not ask here; use the address that loomwall printed";
    if (n_headers(connection, "X-Loomwall-Sitting") != 1 ||
        !guard_knows_token(g, header(connection, "X-Loomwall-Sitting")))
        return "the token of this sitting is missing or wrong; open the address that loomwall printed";
    return NULL;
}

/* A body whose end nobody can tell: its request is answered at once, and the library closes the connection behind it. */
static const char *why_endless(struct MHD_Connection *connection)
{
    const char *encoding = header(connection, "Transfer-Encoding");
    int n_lengths = n_headers(connection, "Content-Length"), n_encodings = n_headers(connection, "Transfer-Encoding");
    if (n_lengths + n_encodings > 1) return "the length of the body is told in two ways; tell it in one";
    if (encoding && strcasecmp(encoding, "chunked") != 0) return "the body is encoded; send it as it is, or in chunks";
    return NULL;
}

static const char too_long[] = "the body is too long; send less in one";

static bool is_json(const char *type)
{
    static const char json[] = "application/json";
    if (!type || strncasecmp(type, json, sizeof json - 1) != 0) return false;
    char next = type[sizeof json - 1];
    return next == '\0' || next == ';' || next == ' ';
}

/* Only what the path and the method say. */
static void find_route(request *r, const char *method, const char *path)
{
    const char *allow = NULL;
    r->route = route_find(method, path, &r->call.rest, &allow);
    if (!r->route && !allow && answer_page_file(&r->call, path)) {
        r->state = REQUEST_ANSWERED;
        if (strcmp(method, "GET") == 0) return;
        allow = "GET";
    }
    if (!r->route && !allow) refuse(r, 404, "there is nothing of that name; start at /");
    if (r->route || !allow) return;
    refuse(r, 405, "that can't be asked so; see which methods are allowed");
    r->call.answer.allow = allow;
}

static void begin(request *r, const char *method, const char *path)
{
    unsigned status;
    const char *why = why_not_heard(r, path, &status);
    if (why) {
        refuse(r, status, why);
        return;
    }
    find_route(r, method, path);
    if (!r->route) return;
    const char *length = header(r->connection, "Content-Length");
    if (strcmp(method, "GET") != 0 && !is_json(header(r->connection, "Content-Type")))
        refuse(r, 415, "the body is not application/json; send it as that");
    else if (length && strtoull(length, NULL, 10) > r->route->most_body)
        refuse(r, 413, too_long);
    r->call.paper = MHD_lookup_connection_value(r->connection, MHD_GET_ARGUMENT_KIND, "paper");
}

/* What follows an answer that is known already is thrown away. */
static enum MHD_Result take_body(request *r, const char *part, size_t *n)
{
    size_t taken = *n, have = r->call.n_body;
    *n = 0;
    if (r->state == REQUEST_ASKING && taken > r->route->most_body - have) refuse(r, 413, too_long);
    if (r->state != REQUEST_ASKING) return MHD_YES;
    if (have + taken + 1 > r->room) {
        size_t room = 2 * (have + taken) + 1;
        char *grown = realloc(r->body, room);
        if (!grown) return MHD_NO;
        r->body = grown;
        r->room = room;
    }
    memcpy(r->body + have, part, taken);
    r->call.n_body = have + taken;
    r->body[r->call.n_body] = '\0';
    return MHD_YES;
}

static void run_route(void *context)
{
    request *r = context;
    r->route->run(&r->call);
}

static void work(job *job)
{
    request *r = (request *)job;
    if (!arena_try(r->call.arena, run_route, r)) answer_no_memory(&r->call);
    r->state = REQUEST_ANSWERED;
    MHD_resume_connection(r->connection);
}

/* From here the call and its arena are the worker's. */
static enum MHD_Result hand_over(request *r)
{
    server *s = r->server;
    r->call.body = r->body ? r->body : "";
    r->job.run = work;
    seat_turn_to(r->seat, SEAT_WORKING);
    pthread_mutex_lock(&s->lock);
    bool is_ending = s->is_ending;
    if (!is_ending) {
        r->state = REQUEST_WORKING;
        MHD_suspend_connection(r->connection);
        workers_add(s->workers, &r->job);
    }
    pthread_mutex_unlock(&s->lock);
    return is_ending ? MHD_NO : MHD_YES;
}

static request *request_create(server *s, struct MHD_Connection *connection)
{
    request *r = calloc(1, sizeof *r);
    if (!r) return NULL;
    r->server = s;
    r->connection = connection;
    r->seat = seat_of(connection);
    r->call = (call){.workbench = s->workbench, .arena = arena_create(), .rest = ""};
    if (r->call.arena) return r;
    free(r);
    return NULL;
}

typedef struct hearing {
    request *request;
    bool is_first;
    const char *method, *path, *part;
    size_t *n;
    bool is_ready; /* for a worker */
    enum MHD_Result result;
} hearing;

static void go_on(hearing *h)
{
    request *r = h->request;
    if (r->state == REQUEST_ANSWERED)
        h->result = send_answer(r);
    else if (r->state == REQUEST_ASKING && !r->route->run)
        h->result = send_events(r);
    else
        h->is_ready = r->state == REQUEST_ASKING;
}

static void run_hearing(void *context)
{
    hearing *h = context;
    request *r = h->request;
    const char *why = h->is_first ? why_endless(r->connection) : NULL;
    h->result = MHD_YES;
    if (why) {
        refuse(r, 400, why);
        h->result = send_answer(r);
        return;
    }
    if (h->is_first)
        begin(r, h->method, h->path);
    else if (*h->n > 0)
        h->result = take_body(r, h->part, h->n);
    else
        go_on(h);
}

/* Called by the library: once with the head of the request, then with each part of the body, then without one; and again when
 * a worker is done. */
static enum MHD_Result hear(void *context, struct MHD_Connection *connection, const char *path, const char *method,
                            const char *version, const char *part, size_t *n, void **kept)
{
    (void)version;
    bool is_first = !*kept;
    if (is_first) *kept = request_create(context, connection);
    if (!*kept) return MHD_NO;
    hearing h = {*kept, is_first, method, path, part, n, false, MHD_NO};
    if (!arena_try(h.request->call.arena, run_hearing, &h)) return MHD_NO;
    return h.is_ready ? hand_over(h.request) : h.result;
}

static void finish(void *context, struct MHD_Connection *connection, void **kept, enum MHD_RequestTerminationCode how)
{
    (void)context, (void)connection, (void)how;
    request *r = *kept;
    if (!r) return;
    seat_turn_to(r->seat, SEAT_ASKING);
    arena_destroy(r->call.arena);
    free(r->body);
    free(r);
    *kept = NULL;
}

/* --- connections --- */

static void come_or_go(void *context, struct MHD_Connection *connection, void **seat,
                       enum MHD_ConnectionNotificationCode what)
{
    server *s = context;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        seat_leave(*seat);
        return;
    }
    const union MHD_ConnectionInfo *info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    *seat = seat_take(s->seats, info->connect_fd);
}

/* Names are compared as they come: none of ours needs an escape. */
static size_t leave_escaped(void *context, struct MHD_Connection *connection, char *text)
{
    (void)context, (void)connection;
    return strlen(text);
}

static void tick(void *context)
{
    server *s = context;
    seats_clear(s->seats);
    if (++s->n_ticks % beat_ticks == 0) events_beat(s->events);
}

/* --- life --- */

/* A socket that listens on the loopback address, or -1. *port becomes the one that it got. */
static int listen_on(int *port)
{
    int listener = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_port = htons((uint16_t)*port)};
    at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t n = sizeof at;
    int is_on = 1;
    setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &is_on, sizeof is_on);
    if (listener >= 0 && bind(listener, (struct sockaddr *)&at, n) == 0 && listen(listener, most_connections) == 0 &&
        getsockname(listener, (struct sockaddr *)&at, &n) == 0) {
        *port = ntohs(at.sin_port);
        return listener;
    }
    int why = errno;
    if (listener >= 0) close(listener);
    errno = why;
    return -1;
}

static bool serve(server *s, int listener)
{
    s->daemon = MHD_start_daemon(MHD_USE_AUTO_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME, 0, NULL, NULL, hear, s,
                                 MHD_OPTION_LISTEN_SOCKET, listener, MHD_OPTION_NOTIFY_COMPLETED, finish, s,
                                 MHD_OPTION_NOTIFY_CONNECTION, come_or_go, s, MHD_OPTION_UNESCAPE_CALLBACK,
                                 leave_escaped, s, MHD_OPTION_CONNECTION_LIMIT, (unsigned)most_connections,
                                 MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)most_of_address,
                                 MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)most_head, MHD_OPTION_CONNECTION_TIMEOUT,
                                 (unsigned)most_idle_s, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_END);
    if (s->daemon) return true;
    if (errno == 0) errno = ENOMEM;
    close(listener);
    return false;
}

server *server_start(struct workbench *w, events *e, int port)
{
    server *s = calloc(1, sizeof *s);
    if (!s) return NULL;
    pthread_mutex_init(&s->lock, NULL);
    s->workbench = w;
    s->events = e;
    s->seats = seats_create();
    s->workers = workers_create(n_workers);
    s->ticker = (ticker){.every_ms = tick_ms, .listener = -1, .run = tick, .context = s};
    errno = 0;
    int listener = listen_on(&port);
    bool is_up = s->seats && s->workers && listener >= 0 && guard_init(&s->guard, port) && serve(s, listener);
    if (is_up && ticker_start(&s->ticker)) return s;
    int why = errno ? errno : ENOMEM;
    server_stop(s);
    errno = why;
    return NULL;
}

const guard *server_guard(const server *s) { return &s->guard; }

/* A connection must not be suspended when the library stops: so first nobody suspends any more, then all are woken. */
void server_stop(server *s)
{
    if (!s) return;
    pthread_mutex_lock(&s->lock);
    s->is_ending = true;
    pthread_mutex_unlock(&s->lock);
    ticker_stop(&s->ticker);
    workers_destroy(s->workers);
    events_end(s->events);
    if (s->daemon) MHD_stop_daemon(s->daemon);
    seats_destroy(s->seats);
    pthread_mutex_destroy(&s->lock);
    free(s);
}
