/* Limits and colours: what a practice asks for, by name. */
#include "ref/device.h"
#include "tables.h"

#include <assert.h>
#include <pthread.h>
#include <stddef.h>
#include <string.h>

static const char *const practice_words[] = {[PRACTICE_NORTH_AMERICA] = "north-america", [PRACTICE_EUROPE] = "europe"};

static struct {
    pthread_once_t once;
    limit limits[n_limits];
} gathered = {.once = PTHREAD_ONCE_INIT};

static void gather_limits(void)
{
    for (int i = 0; i < n_limits; i++) {
        const row_limits *r = &table_limits[i];
        gathered.limits[i] = (limit){r->name, r->value, r->unit, r->says, {r->source, r->how}};
    }
}

static bool is_for(const row_limits *r, practice p)
{
    return strcmp(r->practice, "both") == 0 || strcmp(r->practice, practice_words[p]) == 0;
}

const limit *limit_of(practice p, const char *name)
{
    pthread_once(&gathered.once, gather_limits);
    for (int i = 0; i < n_limits; i++) {
        if (is_for(&table_limits[i], p) && strcmp(table_limits[i].name, name) == 0) return &gathered.limits[i];
    }
    assert(false && "names of limits are the program's own");
    return NULL;
}

const limit *limit_row(int i, bool for_practice[2])
{
    pthread_once(&gathered.once, gather_limits);
    if (i < 0 || i >= n_limits) return NULL;
    for (int p = 0; p < 2; p++) for_practice[p] = is_for(&table_limits[i], (practice)p);
    return &gathered.limits[i];
}

const char *limit_printed(const limit *l) { return table_limits[l - gathered.limits].printed; }

/* True when `word` is one of the words of a list: "black, yellow". */
static bool lists(const char *list, const char *word)
{
    size_t n = strlen(word);
    for (const char *at = list; at != NULL; at = strstr(at, ", ")) {
        if (*at == ',') at += 2;
        if (strncmp(at, word, n) == 0 && (at[n] == ',' || at[n] == '\0')) return true;
    }
    return false;
}

bool colour_suits(practice p, const char *use, const char *colour, const char **wanted, source *from)
{
    for (int i = 0; i < n_colours; i++) {
        const row_colours *r = &table_colours[i];
        if (strcmp(r->practice, practice_words[p]) != 0 || strcmp(r->use, use) != 0) continue;
        if (wanted != NULL) *wanted = r->colours;
        source_give(from, (source){r->source, r->how});
        return lists(r->colours, colour);
    }
    assert(false && "uses of conductors are the program's own");
    return false;
}
