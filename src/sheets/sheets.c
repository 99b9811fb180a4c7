/* The set of sheets. See sheets.h. */
#include "sheets/sheet.h"

#include <string.h>

static const struct {
    const char *word, *title;
} sheet_kinds[N_SHEETS] = {
#define X(NAME, id, title) {id, title},
    SHEETS(X)
#undef X
};

const char *sheet_word(sheet_id id) { return sheet_kinds[id].word; }

bool sheet_of(const char *word, sheet_id *out)
{
    for (int i = 0; i < N_SHEETS; i++)
        if (strcmp(word, sheet_kinds[i].word) == 0) {
            *out = (sheet_id)i;
            return true;
        }
    return false;
}

/* Letters, digits and hyphens; anything else becomes a hyphen. */
const char *panel_word(arena *a, const char *panel)
{
    char *word = arena_text(a, panel);
    for (char *c = word; *c; c++) {
        if (*c >= 'A' && *c <= 'Z') *c = (char)(*c - 'A' + 'a');
        bool is_plain = (*c >= 'a' && *c <= 'z') || (*c >= '0' && *c <= '9');
        if (!is_plain) *c = '-';
    }
    return word;
}

static bool has_mains(const van *v)
{
    for (int i = 0; i < v->n_items; i++)
        if (item_kind(v, i)->role == ROLE_INVERTER || strcmp(item_kind(v, i)->name, "shore-charger") == 0) return true;
    return false;
}

/* Two panels whose names give one file name are told apart by number. */
static const char *unused_name(book *b, const sheet_list *list, const char *name)
{
    const char *tried = name;
    for (int n = 2;; n++) {
        bool is_taken = false;
        for (size_t i = 0; i < list->n; i++) is_taken = is_taken || strcmp(list->at[i].name, tried) == 0;
        if (!is_taken) return tried;
        tried = arena_printf(b->arena, "%s-%d", name, n);
    }
}

void add_sheet(book *b, sheet_list *list, sheet_id id, const char *name, const char *title, int first, const char *csv)
{
    name = unused_name(b, list, name);
    *ARRAY_ADD(b->arena, list) =
        (sheet){.id = id, .name = name, .title = title, .n_pages = (int)b->pages.n - first, .csv = csv};
}

/* One of the sheets that each panel has. */
static void draw_panel(book *b, sheet_list *list, sheet_id id, const char *panel,
                       void (*draw)(book *, const char *, const char *))
{
    int first = (int)b->pages.n;
    const char *title = arena_printf(b->arena, "%s: %s", sheet_kinds[id].title, panel);
    draw(b, panel, title);
    if ((int)b->pages.n == first) return;
    const char *name = arena_printf(b->arena, "%s-%s", sheet_kinds[id].word, panel_word(b->arena, panel));
    add_sheet(b, list, id, name, title, first, NULL);
}

static void draw_list(book *b, sheet_list *list, sheet_id id, const char *(*draw)(book *))
{
    int first = (int)b->pages.n;
    const char *csv = draw(b);
    add_sheet(b, list, id, sheet_kinds[id].word, sheet_kinds[id].title, first, csv);
}

book *book_start(arena *a, const fonts *f, const study *s, const sheet_options *o)
{
    book *b = ARENA_NEW(a, book);
    *b = (book){.arena = a, .fonts = f, .study = s, .van = s->van, .options = o, .has_mains = has_mains(s->van)};
    return b;
}

void draw_all_sheets(book *b, sheet_list *list)
{
    int first = (int)b->pages.n;
    diagram_draw(b);
    add_sheet(b, list, SHEET_DIAGRAM, sheet_kinds[SHEET_DIAGRAM].word, sheet_kinds[SHEET_DIAGRAM].title, first, NULL);
    for (int i = 0; i < b->van->n_panels; i++) {
        draw_panel(b, list, SHEET_FRONT, b->van->panels[i], front_draw);
        draw_panel(b, list, SHEET_PANEL, b->van->panels[i], panel_draw);
    }
    draw_list(b, list, SHEET_CONNECTIONS, connections_draw);
    draw_list(b, list, SHEET_LABELS, labels_draw);
    draw_list(b, list, SHEET_BUYING, buying_draw);
}

sheet *finish_sheets(book *b, const sheet_list *list, int *n_sheets)
{
    pages_finish(b);
    int first = 0;
    for (size_t i = 0; i < list->n; i++) { /* the pages stand still now */
        list->at[i].pages = b->pages.at + first;
        first += list->at[i].n_pages;
    }
    *n_sheets = (int)list->n;
    return list->at;
}

sheet *sheets_draw(arena *a, const fonts *f, const study *s, const sheet_options *o, int *n_sheets)
{
    book *b = book_start(a, f, s, o);
    sheet_list list = {0};
    draw_all_sheets(b, &list);
    return finish_sheets(b, &list, n_sheets);
}
