/* The table of rules, and what is printed of one. */
#include "judge/find.h"

#include <string.h>

static const rule table[] = {
#define R(name, id, gate, grade, means, matters, limits, mends)                                                        \
    {id, GATE_##gate, GRADE_##grade, means, matters, limits, mends},
    RULES(R)
#undef R
};

const rule *rules(int *n)
{
    *n = N_RULES;
    return table;
}

int rule_by_id(const char *id)
{
    for (int i = 0; i < N_RULES; i++)
        if (!strcmp(table[i].id, id)) return i;
    return -1;
}

static const char *const gate_words[] = {
#define X(NAME, word) [GATE_##NAME] = word,
    GATES(X)
#undef X
};
static const char *const grade_words[] = {
#define X(NAME, word) [GRADE_##NAME] = word,
    GRADES(X)
#undef X
};

static bool names_limit(const char *list, const char *name)
{
    const size_t n = strlen(name);
    for (const char *at = list; *at;) {
        const size_t word = strcspn(at, " ");
        if (word == n && !strncmp(at, name, n)) return true;
        at += word + (at[word] == ' ');
    }
    return false;
}

static void add_limits(sink *s, const rule *r, arena *a)
{
    bool is_for[2];
    for (int i = 0; limit_row(i, is_for); i++) {
        const limit *l = limit_row(i, is_for);
        if (!names_limit(r->limits, l->name)) continue;
        sink_printf(s, "  %s: %s (%s)\n    %s; source: %s\n",
                    is_for[0] && is_for[1] ? "both practices"
                    : is_for[0]            ? "north-america"
                                           : "europe",
                    limit_printed(l), l->name, l->says, source_text(&l->from, a));
    }
}

const char *rule_text(int index, arena *a)
{
    const rule *r = &table[index];
    sink s = sink_in(a);
    sink_printf(&s, "%s\n  gate: %s   usual grade: %s\n\n%s\n\nWhy it matters: %s\n\nWhat mends it: %s\n", r->id,
                gate_words[r->gate], grade_words[r->grade], r->means, r->matters, r->mends);
    if (*r->limits) {
        sink_add(&s, "\nLimits:\n");
        add_limits(&s, r, a);
    }
    return sink_text(&s);
}
