/* Memory by lifetime. See arena.h. */
#include "base/arena.h"

#include <assert.h>
#include <setjmp.h>
#include <stdalign.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#ifndef LOOMWALL_SINGLE_BLOCKS
#define LOOMWALL_SINGLE_BLOCKS 0
#endif

typedef struct block {
    struct block *next;
    alignas(max_align_t) unsigned char bytes[];
} block;

typedef struct deferred {
    struct deferred *next;
    void (*release)(void *);
    void *what;
} deferred;

typedef struct guard {
    jmp_buf leave;
    struct guard *outer;
} guard;

struct arena {
    block *blocks;
    deferred *deferred;
    guard *guard;
    unsigned char *free; /* rest of the newest shared block */
    size_t n_free;
    size_t shared; /* bytes of the newest shared block */
};

/* Shared blocks double as an arena grows: large ones come zeroed from the system, and seldom. */
enum { first_shared = 64 * 1024, last_shared = 1024 * 1024, takers_of_one = 8 };

arena *arena_create(void) { return calloc(1, sizeof(arena)); }

void arena_destroy(arena *a)
{
    if (!a) return;
    for (deferred *d = a->deferred; d; d = d->next) d->release(d->what);
    for (block *b = a->blocks, *next; b; b = next) {
        next = b->next;
        free(b);
    }
    free(a);
}

_Noreturn void arena_leave(arena *a)
{
    if (!a->guard) {
        fputs("loomwall: out of memory\n", stderr);
        abort();
    }
    longjmp(a->guard->leave, 1);
}

static unsigned char *new_block(arena *a, size_t n_bytes)
{
    block *b = n_bytes > SIZE_MAX - sizeof(block) ? NULL : calloc(1, sizeof(block) + n_bytes);
    if (!b) arena_leave(a);
    b->next = a->blocks;
    a->blocks = b;
    return b->bytes;
}

void *arena_take(arena *a, size_t n, size_t size)
{
    size_t align = alignof(max_align_t);
    if (size && n > (SIZE_MAX - align) / size) arena_leave(a);
    size_t n_bytes = (n * size + align - 1) / align * align;
    if (n_bytes == 0) n_bytes = align;
    const size_t next = a->shared == 0 ? first_shared : a->shared < last_shared ? 2 * a->shared : a->shared;
    if (LOOMWALL_SINGLE_BLOCKS || n_bytes > next / takers_of_one) return new_block(a, n_bytes);
    if (n_bytes > a->n_free) {
        a->free = new_block(a, next);
        a->n_free = a->shared = next;
    }
    void *taken = a->free;
    a->free += n_bytes;
    a->n_free -= n_bytes;
    return taken;
}

void arena_defer(arena *a, void (*release)(void *), void *what)
{
    block *held = malloc(sizeof(block) + sizeof(deferred));
    if (!held) {
        release(what);
        arena_leave(a);
    }
    held->next = a->blocks;
    a->blocks = held;
    deferred *d = (deferred *)held->bytes;
    *d = (deferred){a->deferred, release, what};
    a->deferred = d;
}

bool arena_try(arena *a, void (*work)(void *), void *context)
{
    guard g = {.outer = a->guard};
    a->guard = &g;
    bool is_done = false;
    if (setjmp(g.leave) == 0) {
        work(context);
        a->guard = g.outer;
        is_done = true;
    } else {
        a->guard = a->guard->outer;
    }
    return is_done;
}

char *arena_text_n(arena *a, const char *text, size_t n)
{
    char *copy = arena_take(a, n + 1, 1);
    if (n) memcpy(copy, text, n);
    return copy;
}

char *arena_text(arena *a, const char *text) { return arena_text_n(a, text, strlen(text)); }

char *arena_printf(arena *a, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    va_end(args);
    assert(n >= 0);
    char *text = arena_take(a, (size_t)n + 1, 1);
    vsnprintf(text, (size_t)n + 1, format, again);
    va_end(again);
    return text;
}

void *arena_grow(arena *a, void *at, size_t n, size_t *room, size_t size)
{
    if (n < *room) return at;
    size_t more = *room ? *room * 2 : 8;
    void *moved = arena_take(a, more, size);
    if (n) memcpy(moved, at, n * size);
    *room = more;
    return moved;
}
