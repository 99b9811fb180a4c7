/* The index of the build book: each item and each wire with the numbers of the sheets that deal with it. */
#include "sheets/book_parts.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#define NUMBERS_INDENT 5.0

typedef struct entry {
    const char *name, *beside; /* "Tank pump", "pump" */
    face face;
    const int *pages; /* from 0, ascending */
    int n_pages;
} entry;

/* ---- order ---- */

static int by_mention(const void *x, const void *y)
{
    const mention *a = x, *b = y;
    if (a->is_wire != b->is_wire) return a->is_wire - b->is_wire;
    return a->index != b->index ? (a->index > b->index) - (a->index < b->index)
                                : (a->page > b->page) - (a->page < b->page);
}

/* Letters without regard to case, numbers by value: P2 before P10. */
static int compare_names(const char *a, const char *b)
{
    while (*a && *b) {
        if (isdigit((unsigned char)*a) && isdigit((unsigned char)*b)) {
            char *end_a, *end_b;
            unsigned long m = strtoul(a, &end_a, 10), n = strtoul(b, &end_b, 10);
            if (m != n) return m < n ? -1 : 1;
            a = end_a;
            b = end_b;
            continue;
        }
        int m = tolower((unsigned char)*a++), n = tolower((unsigned char)*b++);
        if (m != n) return m - n;
    }
    return (*a != 0) - (*b != 0);
}

static int by_name(const void *x, const void *y)
{
    const entry *a = x, *b = y;
    int order = compare_names(a->name, b->name);
    if (!order) order = strcmp(a->name, b->name);
    return order ? order : strcmp(a->beside, b->beside);
}

static entry entry_of(const book *b, bool is_wire, int index)
{
    if (is_wire) return (entry){b->van->wires[index].label, "", FACE_MONO_BOLD, NULL, 0};
    const item *it = &b->van->items[index];
    return (entry){it->name, strcmp(it->name, it->id) == 0 ? "" : it->id, FACE_SANS_BOLD, NULL, 0};
}

/* The items, or the wires, of the van, sorted, with their pages. */
static entry *list_entries(const book *b, bool is_wire, int n)
{
    entry *entries = ARENA_ARRAY(b->arena, entry, (size_t)n + 1);
    for (int i = 0; i < n; i++) entries[i] = entry_of(b, is_wire, i);
    int *pages = ARENA_ARRAY(b->arena, int, b->mentions.n + 1), n_pages = 0;
    for (size_t i = 0; i < b->mentions.n; i++) { /* sorted: those of one entry stand together */
        const mention *m = &b->mentions.at[i], *last = i ? m - 1 : NULL;
        if (m->is_wire != is_wire || (last && by_mention(m, last) == 0)) continue;
        entry *e = &entries[m->index];
        if (!e->n_pages) e->pages = pages + n_pages;
        e->n_pages++;
        pages[n_pages++] = m->page;
    }
    if (n) qsort(entries, (size_t)n, sizeof *entries, by_name);
    return entries;
}

/* ---- drawing ---- */

/* Name first; the numbers follow on its line where they have room, else on lines of their own. */
static void draw_entry(flow *f, const entry *e)
{
    book *b = f->book;
    const char *first = *e->beside ? arena_printf(b->arena, "%s", e->beside) : "";
    lines name = wrap(b, e->face, TEXT_SMALL, flow_width(f), e->name),
          beside = wrap(b, FACE_MONO, TEXT_SMALL, flow_width(f) - NUMBERS_INDENT, first);
    flow_room(f, (name.n + beside.n + 2) * LINE_PITCH(TEXT_SMALL));
    flow_text(f, e->face, TEXT_SMALL, 0, e->name);
    double x = fonts_width_mm(b->fonts, e->face, TEXT_SMALL, name.at[name.n - 1]) + 3;
    if (beside.n == 1 && x + beside.width_mm <= flow_width(f)) {
        scene_text(f->scene, flow_left(f) + x, f->y_mm, TEXT_SMALL, FACE_MONO, ANCHOR_START, INK_FAINT, first);
        x += beside.width_mm + 3;
    } else if (beside.n) {
        flow_text(f, FACE_MONO, TEXT_SMALL, NUMBERS_INDENT, first);
        x = NUMBERS_INDENT + fonts_width_mm(b->fonts, FACE_MONO, TEXT_SMALL, beside.at[beside.n - 1]) + 3;
    }
    for (int i = 0; i < e->n_pages; i++) {
        const char *number = arena_printf(b->arena, "%d%s", e->pages[i] + 1, i + 1 < e->n_pages ? "," : "");
        double width = fonts_width_mm(b->fonts, FACE_SANS, TEXT_SMALL, number);
        if (x + width > flow_width(f)) {
            flow_room(f, LINE_PITCH(TEXT_SMALL) + 1);
            f->y_mm += LINE_PITCH(TEXT_SMALL);
            x = NUMBERS_INDENT;
        }
        scene_text(f->scene, flow_left(f) + x, f->y_mm, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, number);
        scene_link_text(f->scene, e->pages[i] + 1);
        x += width + 1.6;
    }
    f->y_mm += 0.8;
}

static void draw_section(flow *f, const char *heading, int n_columns, const entry *entries, int n)
{
    flow_columns(f, 1);
    flow_heading(f, heading, 20);
    f->y_mm += 1;
    flow_columns(f, n_columns);
    for (int i = 0; i < n; i++) draw_entry(f, &entries[i]);
}

void index_draw(binding *k)
{
    book *b = k->book;
    if (b->mentions.n) qsort(b->mentions.at, b->mentions.n, sizeof *b->mentions.at, by_mention);
    const entry *items = list_entries(b, false, b->van->n_items), *wires = list_entries(b, true, b->van->n_wires);
    flow f = flow_start(b, "Index", "Each item and each wire, with the sheets that deal with it.");
    flow_text(&f, FACE_SANS, TEXT_SMALL, 0,
              "Items by their names, with their ids in the file; wires by their labels. The numbers are those of the "
              "sheets: drawings, connection list, sleeve labels, findings.");
    draw_section(&f, "Items", 2, items, b->van->n_items);
    draw_section(&f, "Wires", 3, wires, b->van->n_wires);
}
