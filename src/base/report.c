/* What is wrong with an input. See report.h. */
#include "base/report.h"

#include "base/print.h"
#include <assert.h>
#include <stdlib.h>

struct report {
    arena *arena;
    const char *file;
    ARRAY(report_entry) entries;
    size_t n_all;
};

report *report_create(arena *a, const char *file)
{
    report *r = ARENA_NEW(a, report);
    r->arena = a;
    r->file = arena_text(a, file);
    return r;
}

void report_error(report *r, place where, const char *wrong, const char *right)
{
    assert(*wrong && *right);
    r->n_all++;
    if (r->entries.n >= report_limit) return;
    const char *wrong_copy = arena_text(r->arena, wrong), *right_copy = arena_text(r->arena, right);
    *ARRAY_ADD(r->arena, &r->entries) = (report_entry){where, wrong_copy, right_copy};
}

bool report_is_empty(const report *r) { return r->n_all == 0; }
size_t report_count(const report *r) { return r->n_all; }
const char *report_file(const report *r) { return r->file; }

static bool is_before(place a, place b) { return a.line != b.line ? a.line < b.line : a.column < b.column; }

/* Stable, and linear when the entries come in order, as they nearly do. */
const report_entry *report_entries(report *r, size_t *n_kept)
{
    for (size_t i = 1; i < r->entries.n; i++) {
        report_entry moved = r->entries.at[i];
        size_t to = i;
        for (; to > 0 && is_before(moved.where, r->entries.at[to - 1].where); to--)
            r->entries.at[to] = r->entries.at[to - 1];
        r->entries.at[to] = moved;
    }
    *n_kept = r->entries.n;
    return r->entries.at;
}

const char *report_text(report *r, arena *a)
{
    sink s = sink_in(a);
    size_t n;
    const report_entry *entries = report_entries(r, &n);
    for (size_t i = 0; i < n; i++) {
        const report_entry *e = &entries[i];
        sink_add(&s, r->file);
        if (e->where.line) sink_printf(&s, ":%u:%u", e->where.line, e->where.column);
        sink_printf(&s, ": error: %s; %s\n", e->wrong, e->right);
    }
    if (r->n_all > n) sink_printf(&s, "%s: error: %zu more faults; mend these first\n", r->file, r->n_all - n);
    return sink_text(&s);
}
