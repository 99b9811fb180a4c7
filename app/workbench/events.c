/* What the pages are told without asking. See events.h. */
#include "events.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { most_pages = 32, most_queued = 64, most_message = 160 };

/* One page that listens. All under the lock of the events. */
typedef struct page {
    struct page *next;
    events *events;
    struct MHD_Connection *connection;
    void (*drop)(void *seat);
    void *seat;
    char queue[most_queued][most_message];
    int first, n;  /* of the queue */
    size_t n_sent; /* bytes of its first message */
    bool is_waiting, is_dropped;
} page;

struct events {
    pthread_mutex_t lock;
    page *pages;
    int n_pages;
    bool is_over;
};

events *events_create(void)
{
    events *e = calloc(1, sizeof *e);
    if (e) pthread_mutex_init(&e->lock, NULL);
    return e;
}

void events_destroy(events *e)
{
    if (!e) return;
    pthread_mutex_destroy(&e->lock);
    free(e);
}

static void wake(page *p)
{
    if (!p->is_waiting) return;
    p->is_waiting = false;
    MHD_resume_connection(p->connection);
}

static void add(page *p, const char *message)
{
    if (p->is_dropped) return;
    if (p->n == most_queued) {
        p->is_dropped = true;
        p->drop(p->seat);
        return;
    }
    snprintf(p->queue[(p->first + p->n) % most_queued], most_message, "%s", message);
    p->n++;
    wake(p);
}

static size_t take(page *p, char *out, size_t room)
{
    size_t n = 0;
    while (p->n > 0 && n < room) {
        const char *message = p->queue[p->first] + p->n_sent;
        size_t length = strlen(message), part = length < room - n ? length : room - n;
        memcpy(out + n, message, part);
        n += part;
        p->n_sent += part;
        if (part < length) break;
        p->n_sent = 0;
        p->first = (p->first + 1) % most_queued;
        p->n--;
    }
    return n;
}

/* Called by the server's thread, whenever the connection takes more. */
static ssize_t give(void *context, uint64_t position, char *out, size_t room)
{
    (void)position;
    page *p = context;
    pthread_mutex_lock(&p->events->lock);
    ssize_t n = (ssize_t)take(p, out, room);
    if (n == 0 && (p->events->is_over || p->is_dropped)) {
        n = MHD_CONTENT_READER_END_OF_STREAM;
    } else if (n == 0) {
        p->is_waiting = true;
        MHD_suspend_connection(p->connection);
    }
    pthread_mutex_unlock(&p->events->lock);
    return n;
}

static void forget(void *context)
{
    page *p = context;
    events *e = p->events;
    pthread_mutex_lock(&e->lock);
    for (page **at = &e->pages; *at; at = &(*at)->next) {
        if (*at != p) continue;
        *at = p->next;
        e->n_pages--;
        break;
    }
    pthread_mutex_unlock(&e->lock);
    free(p);
}

struct MHD_Response *events_answer(events *e, struct MHD_Connection *connection, void (*drop)(void *seat), void *seat)
{
    page *p = calloc(1, sizeof *p);
    if (!p) return NULL;
    p->events = e;
    p->connection = connection;
    p->drop = drop;
    p->seat = seat;
    pthread_mutex_lock(&e->lock);
    bool has_room = e->n_pages < most_pages;
    if (has_room) {
        p->next = e->pages;
        e->pages = p;
        e->n_pages++;
        add(p, ": welcome\n\n");
    }
    pthread_mutex_unlock(&e->lock);
    struct MHD_Response *response =
        has_room ? MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 1024, give, p, forget) : NULL;
    if (!response && has_room) forget(p);
    if (!has_room) free(p);
    return response;
}

static void add_to_all(events *e, const char *message)
{
    pthread_mutex_lock(&e->lock);
    for (page *p = e->pages; p; p = p->next) add(p, message);
    pthread_mutex_unlock(&e->lock);
}

void events_tell(events *e, const char *name, const char *data)
{
    char message[most_message];
    snprintf(message, sizeof message, "event: %s\ndata: %s\n\n", name, data);
    add_to_all(e, message);
}

void events_beat(events *e) { add_to_all(e, ": still here\n\n"); }

void events_end(events *e)
{
    pthread_mutex_lock(&e->lock);
    e->is_over = true;
    for (page *p = e->pages; p; p = p->next) wake(p);
    pthread_mutex_unlock(&e->lock);
}
