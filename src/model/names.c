/* Names to indices. Open addressing with linear probing, at most half full. */
#include "model/names.h"

#include <stdint.h>
#include <string.h>

typedef struct slot {
    const char *name; /* NULL: free */
    uint64_t hash;
    int index;
} slot;

struct names {
    arena *arena;
    slot *slots;
    size_t n_slots; /* a power of two */
    size_t n;
};

enum { first_slots = 16 };

/* FNV-1a, 64 bits, with the high bits folded in because the table uses the low ones. */
static uint64_t hash_of(const char *name)
{
    uint64_t h = 14695981039346656037u;
    for (; *name; name++) h = (h ^ (unsigned char)*name) * 1099511628211u;
    return h ^ (h >> 32);
}

static slot *slot_of(const names *n, const char *name, uint64_t hash)
{
    size_t i = hash & (n->n_slots - 1);
    while (n->slots[i].name && (n->slots[i].hash != hash || strcmp(n->slots[i].name, name) != 0))
        i = (i + 1) & (n->n_slots - 1);
    return &n->slots[i];
}

names *names_create(arena *a)
{
    names *n = ARENA_NEW(a, names);
    n->arena = a;
    n->n_slots = first_slots;
    n->slots = ARENA_ARRAY(a, slot, first_slots);
    return n;
}

static void grow(names *n)
{
    slot *old = n->slots;
    size_t n_old = n->n_slots;
    n->slots = ARENA_ARRAY(n->arena, slot, n_old * 2);
    n->n_slots = n_old * 2;
    for (size_t i = 0; i < n_old; i++)
        if (old[i].name) *slot_of(n, old[i].name, old[i].hash) = old[i];
}

bool names_add(names *n, const char *name, int index)
{
    if (2 * (n->n + 1) > n->n_slots) grow(n);
    uint64_t hash = hash_of(name);
    slot *s = slot_of(n, name, hash);
    if (s->name) return false;
    *s = (slot){name, hash, index};
    n->n++;
    return true;
}

int names_find(const names *n, const char *name)
{
    const slot *s = slot_of(n, name, hash_of(name));
    return s->name ? s->index : -1;
}
