/* What `loomwall kinds --json` prints beside the kinds: enough to make a form for each item and wire. See catalogue.h. */
#include "api/catalogue.h"
#include "api/kinds.h"
#include "api/text.h"
#include "judge/judge.h"
#include "read/keys.h"
#include "ref/device.h"

#include <math.h>
#include <string.h>

/* --- keys --- */

static const char *holds_word(holds h)
{
    static const char *const words[] = {
#define X(NAME, says) #NAME,
        HOLDS(X)
#undef X
    };
    return words[h];
}

static const char *lower(arena *a, const char *word)
{
    char *low = arena_text(a, word);
    for (char *c = low; *c; c++)
        if (*c >= 'A' && *c <= 'Z') *c = (char)(*c - 'A' + 'a');
    return low;
}

static int word_count(const char *const *words)
{
    int n = 0;
    while (words && words[n]) n++;
    return n;
}

static void json_range(sink *s, const key_rule *k)
{
    bool has_range = k->holds == HOLDS_QUANTITY || k->holds == HOLDS_COUNT;
    dimension d = k->holds == HOLDS_QUANTITY ? k->dimension : DIMENSION_NUMBER;
    sink_add(s, ", \"least\": ");
    json_bound(s, has_range ? k->least : -HUGE_VAL, d);
    sink_add(s, ", \"most\": ");
    json_bound(s, has_range ? k->most : HUGE_VAL, d);
}

static void json_key(sink *s, const key_rule *k)
{
    bool has_unit = k->holds == HOLDS_QUANTITY || k->holds == HOLDS_SIZE;
    dimension d = k->holds == HOLDS_SIZE ? DIMENSION_AREA : k->dimension;
    sink_add(s, "{\"key\": ");
    json_text(s, k->name);
    sink_add(s, ", \"says\": ");
    json_text(s, k->says);
    sink_add(s, ", \"holds\": ");
    json_text(s, lower(s->arena, holds_word(k->holds)));
    sink_add(s, ",\n   \"dimension\": ");
    json_text_or_null(s, has_unit ? dimension_name(d) : NULL);
    sink_add(s, ", \"units\": ");
    json_units(s, &d, has_unit ? 1 : 0);
    sink_add(s, ", \"choices\": ");
    json_words(s, k->words, word_count(k->words));
    json_range(s, k);
    sink_add(s, ", \"takes_auto\": ");
    json_truth(s, k->takes_auto);
    sink_add(s, ", \"is_required\": ");
    json_truth(s, k->is_required);
    sink_add(s, "}");
}

static void json_keys(sink *s, const char *name, const key_table *t)
{
    bool is_first = true;
    sink_printf(s, ",\n\"%s\": [", name);
    for (int i = 0; i < t->n; i++) {
        if (t->rules[i].holds == HOLDS_LATER) continue;
        sink_add(s, is_first ? "\n  " : ",\n  ");
        is_first = false;
        json_key(s, &t->rules[i]);
    }
    sink_add(s, "]");
}

/* --- sizes, colours, ratings --- */

static size_series series_of(practice p) { return p == PRACTICE_NORTH_AMERICA ? SIZE_AWG : SIZE_METRIC; }

static void json_sizes(sink *s)
{
    sink_add(s, ",\n\"sizes\": {");
    for (int p = 0; practice_words[p]; p++) {
        int n;
        const conductor_size *sizes = conductor_series(series_of((practice)p), &n);
        sink_printf(s, "%s\"%s\": [", p == 0 ? "\n  " : ",\n  ", practice_words[p]);
        for (int i = 0; i < n; i++) {
            sink_add(s, i == 0 ? "" : ", ");
            json_text(s, conductor_size_text(sizes[i]));
        }
        sink_add(s, "]");
    }
    sink_add(s, "}");
}

static const char *const colour_uses[] = {"feed", "return", "chopped", "bond", "line", "neutral", "earth"};
enum { n_colour_uses = sizeof colour_uses / sizeof *colour_uses };

typedef struct words {
    ARRAY(const char *) list;
} words;

static void add_once(arena *a, words *w, const char *word)
{
    for (size_t i = 0; i < w->list.n; i++)
        if (strcmp(w->list.at[i], word) == 0) return;
    *ARRAY_ADD(a, &w->list) = word;
}

/* "black, yellow" into its words. */
static void add_each(arena *a, words *w, const char *text)
{
    while (*text) {
        size_t length = strcspn(text, ",");
        add_once(a, w, arena_text_n(a, text, length));
        text += length + strspn(text + length, ", ");
    }
}

static void json_colours(sink *s)
{
    words all = {0};
    sink_add(s, ",\n\"colours_by_use\": {");
    for (int p = 0; practice_words[p]; p++) {
        sink_printf(s, "%s\"%s\": {", p == 0 ? "\n  " : ",\n  ", practice_words[p]);
        for (int u = 0; u < n_colour_uses; u++) {
            const char *wanted = "";
            words of_use = {0};
            colour_suits((practice)p, colour_uses[u], "", &wanted, NULL);
            add_each(s->arena, &of_use, wanted);
            add_each(s->arena, &all, wanted);
            sink_printf(s, "%s\"%s\": ", u == 0 ? "" : ", ", colour_uses[u]);
            json_words(s, of_use.list.at, (int)of_use.list.n);
        }
        sink_add(s, "}");
    }
    sink_add(s, "},\n\"colours\": ");
    json_words(s, all.list.at, (int)all.list.n);
}

static void json_ratings(sink *s)
{
    sink_add(s, ",\n\"ratings\": {");
    for (int style = 0; style < N_DEVICE_STYLES; style++) {
        int n;
        const double *ratings_A = device_ratings((device_style)style, &n, NULL);
        sink_printf(s, "%s\"%s\": [", style == 0 ? "\n  " : ",\n  ", device_style_word((device_style)style));
        for (int i = 0; i < n; i++) {
            sink_add(s, i == 0 ? "" : ", ");
            json_text(s, quantity_text(ratings_A[i], DIMENSION_CURRENT, 6, s->arena));
        }
        sink_add(s, "]");
    }
    sink_add(s, "}");
}

static void json_rule_ids(sink *s)
{
    int n;
    const rule *table = rules(&n);
    sink_add(s, ",\n\"rules\": [");
    for (int i = 0; i < n; i++) {
        sink_add(s, i == 0 ? "" : ", ");
        json_text(s, table[i].id);
    }
    sink_add(s, "]");
}

void json_catalogue(sink *s)
{
    json_keys(s, "van_keys", &top_keys);
    json_keys(s, "conditions_keys", &conditions_keys);
    json_keys(s, "item_keys", &item_keys);
    json_keys(s, "wire_keys", &wire_keys);
    json_keys(s, "decided_keys", &decided_keys);
    json_sizes(s);
    json_colours(s);
    json_ratings(s);
    json_rule_ids(s);
}
