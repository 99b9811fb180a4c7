/* Connections against the clock. See seats.h. */
#include "seats.h"

#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>

static const double most_asking_s = 10, most_answering_s = 30;

struct seat {
    seat *next;
    seats *seats;
    int socket;
    seat_state state;
    double since_s;
};

struct seats {
    pthread_mutex_t lock;
    seat *first;
};

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

seats *seats_create(void)
{
    seats *s = calloc(1, sizeof *s);
    if (s) pthread_mutex_init(&s->lock, NULL);
    return s;
}

void seats_destroy(seats *s)
{
    if (!s) return;
    pthread_mutex_destroy(&s->lock);
    free(s);
}

seat *seat_take(seats *s, int socket)
{
    seat *taken = calloc(1, sizeof *taken);
    if (!taken) {
        shutdown(socket, SHUT_RDWR);
        return NULL;
    }
    *taken = (seat){NULL, s, socket, SEAT_ASKING, now_s()};
    pthread_mutex_lock(&s->lock);
    taken->next = s->first;
    s->first = taken;
    pthread_mutex_unlock(&s->lock);
    return taken;
}

void seat_leave(seat *left)
{
    if (!left) return;
    pthread_mutex_lock(&left->seats->lock);
    seat **at = &left->seats->first;
    while (*at != left) at = &(*at)->next;
    *at = left->next;
    pthread_mutex_unlock(&left->seats->lock);
    free(left);
}

void seat_turn_to(seat *s, seat_state state)
{
    if (!s) return;
    pthread_mutex_lock(&s->seats->lock);
    s->state = state;
    s->since_s = now_s();
    pthread_mutex_unlock(&s->seats->lock);
}

void seat_drop(void *dropped)
{
    seat *s = dropped;
    if (s) shutdown(s->socket, SHUT_RDWR);
}

static bool is_late(const seat *s, double now)
{
    double most_s = s->state == SEAT_ASKING ? most_asking_s : s->state == SEAT_ANSWERING ? most_answering_s : now;
    return now - s->since_s > most_s;
}

void seats_clear(seats *s)
{
    double now = now_s();
    pthread_mutex_lock(&s->lock);
    for (seat *each = s->first; each; each = each->next)
        if (is_late(each, now)) shutdown(each->socket, SHUT_RDWR);
    pthread_mutex_unlock(&s->lock);
}
