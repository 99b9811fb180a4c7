/* Memory by lifetime: everything that belongs to one van, or one study, is taken from one arena and goes with it.
 *
 * Running out of memory is not passed up call by call. Whoever opens a lifetime runs its work through `arena_try`;
 * when a take fails anywhere below, control returns there at once and `arena_try` says false. What other libraries
 * allocated on the way is released because it was registered with `arena_defer`, which runs when the arena goes.
 *
 * In a debug build (LOOMWALL_SINGLE_BLOCKS) every take is a malloc of its own, so that sanitizers see each block. */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stdbool.h>
#include <stddef.h>

typedef struct arena arena;

/* An empty arena, or NULL if there is no memory for it. */
arena *arena_create(void);

/* Runs what was deferred, last first, then frees everything. Accepts NULL. */
void arena_destroy(arena *a);

/* Room for `n` objects of `size` bytes, zeroed and aligned for any type. Never NULL: on failure (or if n * size
 * overflows) control leaves to the innermost arena_try on this arena; without one, the process aborts. */
void *arena_take(arena *a, size_t n, size_t size) __attribute__((returns_nonnull));

/* Runs `release(what)` when the arena is destroyed. If there is no memory to note it, releases at once and leaves. */
void arena_defer(arena *a, void (*release)(void *), void *what);

/* Leaves to the innermost arena_try, as a failed take does: memory ran out elsewhere, or the work is no longer wanted. */
_Noreturn void arena_leave(arena *a);

/* Runs work(context); false if memory ran out inside it. Calls nest. `work` must own nothing but what it deferred. */
bool arena_try(arena *a, void (*work)(void *), void *context);

/* Copies of text, ended with NUL. */
char *arena_text(arena *a, const char *text);
char *arena_text_n(arena *a, const char *text, size_t n);
/* printf into the arena. Locale is "C" throughout the program. */
char *arena_printf(arena *a, const char *format, ...) __attribute__((format(printf, 2, 3)));

#define ARENA_ARRAY(a, type, n) ((type *)arena_take((a), (n), sizeof(type)))
#define ARENA_NEW(a, type) ((type *)arena_take((a), 1, sizeof(type)))

/* A growable array in an arena: `ARRAY(double) xs = {0}; *ARRAY_ADD(a, &xs) = 1.0;` Elements move when it grows. */
#define ARRAY(type)                                                                                                    \
    struct {                                                                                                           \
        type *at;                                                                                                      \
        size_t n, room;                                                                                                \
    }
#define ARRAY_ADD(a, array)                                                                                            \
    ((array)->at = arena_grow((a), (array)->at, (array)->n, &(array)->room, sizeof *(array)->at),                      \
     &(array)->at[(array)->n++])
/* Room for one more after `n`; the new tail is zeroed. */
void *arena_grow(arena *a, void *at, size_t n, size_t *room, size_t size) __attribute__((returns_nonnull));

#endif
