/* The van, its report, and what needs neither. See loomwall/van.h and loomwall/status.h. */
#include "loomwall/van.h"
#include "api/handles.h"
#include "api/text.h"
#include "read/read.h"

#include <stdint.h>
#include <stdlib.h>

struct lw_report {
    arena *arena;
    const report_entry *entries;
    size_t n;
    const char *text;
};

const char *lw_status_text(lw_status status)
{
    switch (status) {
#define X(NAME, text)                                                                                                  \
    case LW_##NAME:                                                                                                    \
        return text;
        LW_STATUSES(X)
#undef X
    }
    return "";
}

const char *lw_version(void) { return LOOMWALL_VERSION; }

void lw_free(char *text) { free(text); }

typedef struct reading {
    arena *arena;
    const char *file, *text;
    size_t n_bytes;
    lw_van *van;       /* NULL when refused */
    lw_report *report; /* then */
} reading;

static lw_report *keep_report(arena *a, report *r)
{
    lw_report *kept = ARENA_NEW(a, lw_report);
    kept->arena = a;
    kept->entries = report_entries(r, &kept->n);
    kept->text = report_text(r, a);
    return kept;
}

/* 64-bit FNV-1a, folded to eight hexadecimal digits. */
static const char *fingerprint(arena *a, const char *text, size_t n_bytes)
{
    uint64_t hash = 14695981039346656037U;
    for (size_t i = 0; i < n_bytes; i++) hash = (hash ^ (unsigned char)text[i]) * 1099511628211U;
    return arena_printf(a, "%08x", (unsigned)(hash ^ hash >> 32));
}

static void read_it(void *context)
{
    reading *r = context;
    report *faults = report_create(r->arena, r->file);
    const van *v = read_van(r->arena, arena_text(r->arena, r->file), r->text, r->n_bytes, faults);
    if (v) {
        lw_van *handle = ARENA_NEW(r->arena, lw_van);
        *handle = (lw_van){r->arena, v, arena_text_n(r->arena, r->text, r->n_bytes), r->n_bytes,
                           fingerprint(r->arena, r->text, r->n_bytes)};
        r->van = handle;
    } else {
        r->report = keep_report(r->arena, faults);
    }
}

lw_status lw_van_read(const char *file, const char *text, size_t n_bytes, lw_van **van, lw_report **report)
{
    reading r = {.arena = arena_create(), .file = file, .text = text, .n_bytes = n_bytes};
    if (!r.arena || !arena_try(r.arena, read_it, &r)) {
        arena_destroy(r.arena);
        return LW_NO_MEMORY;
    }
    if (r.van) {
        *van = r.van;
        return LW_OK;
    }
    if (report) {
        *report = r.report;
    } else {
        arena_destroy(r.arena);
    }
    return LW_REFUSED;
}

void lw_van_free(lw_van *van)
{
    if (van) arena_destroy(van->arena);
}

const char *lw_van_text(const lw_van *van, size_t *n_bytes)
{
    *n_bytes = van->n_bytes;
    return van->text;
}

const char *lw_van_name(const lw_van *van) { return van->van->name; }
size_t lw_van_n_items(const lw_van *van) { return (size_t)van->van->n_items; }
size_t lw_van_n_wires(const lw_van *van) { return (size_t)van->van->n_wires; }

size_t lw_report_count(const lw_report *report) { return report->n; }

lw_fault lw_report_fault(const lw_report *report, size_t i)
{
    const report_entry *e = &report->entries[i];
    return (lw_fault){e->where.line, e->where.column, e->wrong, e->right};
}

const char *lw_report_text(const lw_report *report) { return report->text; }

void lw_report_free(lw_report *report)
{
    if (report) arena_destroy(report->arena);
}
