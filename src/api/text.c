/* Texts that leave the library. See text.h. */
#include "api/text.h"

#include <stdlib.h>
#include <string.h>

typedef struct giving {
    arena *arena;
    text_maker *make;
    const void *what;
    lw_status status;
    char *text;
} giving;

static void give(void *context)
{
    giving *g = context;
    sink s = sink_in(g->arena);
    g->status = g->make(&s, g->what);
    g->text = strdup(sink_text(&s));
}

lw_status text_give(text_maker *make, const void *what, char **out)
{
    giving g = {.arena = arena_create(), .make = make, .what = what, .status = LW_OK};
    bool is_made = g.arena && arena_try(g.arena, give, &g) && g.text;
    arena_destroy(g.arena);
    if (!is_made) return LW_NO_MEMORY;
    *out = g.text;
    return g.status;
}

lw_status text_copy(const char *text, char **out)
{
    if (!out) return LW_OK;
    char *copy = strdup(text);
    if (!copy) return LW_NO_MEMORY;
    *out = copy;
    return LW_OK;
}

const char *text_suggestion(const char *word, const char *const *words, int n, const char *otherwise, arena *a)
{
    int nearest = nearest_word(word, words, n);
    return nearest < 0 ? otherwise : arena_printf(a, "did you mean `%s`?", words[nearest]);
}
