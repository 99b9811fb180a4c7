/* Routes that draw: scenes for the screen, sheets and the book for paper. */
#include "inside.h"
#include "loomwall/sheets.h"

#include <string.h>
#include <time.h>

/* --- scenes --- */

void route_scenes(call *c)
{
    const snapshot *of = call_readable(c);
    if (!of) return;
    char *json = NULL;
    lw_status status = lw_scenes_json(of->van, &json);
    answer_library(c, status, json);
}

/* The faces are opened once. */
static lw_status draw_scene(workbench *w, const snapshot *of, const lw_judgement *judgement, const char *id, char **svg,
                            size_t *n, char **why)
{
    pthread_mutex_lock(&w->pen);
    lw_status status = w->faces ? LW_OK : lw_faces_open(&w->faces, why);
    lw_scene_options options = {.faces = w->faces, .judgement = judgement};
    if (status == LW_OK) status = lw_scene_draw(of->van, id, &options, svg, n, why);
    pthread_mutex_unlock(&w->pen);
    return status;
}

void route_scene(call *c)
{
    const snapshot *of = call_readable(c);
    if (!of) return;
    const snapshot *judged = call_judged(c, call_now(c));
    char *svg = NULL, *why = NULL;
    size_t n = 0;
    lw_status status = draw_scene(c->workbench, of, judged ? judged->judgement : NULL, c->rest, &svg, &n, &why);
    call_keep(c, svg);
    if (call_is_good(c, status, why)) answer_bytes(c, "image/svg+xml", svg, n);
}

/* --- sheets --- */

static const char *today(arena *a)
{
    time_t now = time(NULL);
    struct tm day;
    if (!localtime_r(&now, &day)) return "";
    return arena_printf(a, "%04d-%02d-%02d", day.tm_year + 1900, day.tm_mon + 1, day.tm_mday);
}

static void free_sheets(void *sheets) { lw_sheets_free(sheets); }
static void free_judgement(void *judgement) { lw_judgement_free(judgement); }

/* That of the revision: the one that is there, or, since paper waits for nothing less, made now. Until the call ends. */
static const lw_judgement *judgement_of(call *c, const snapshot *of)
{
    if (of->judgement) return of->judgement;
    lw_judgement *judgement = NULL;
    if (!call_is_good(c, lw_judge(of->van, NULL, &judgement), NULL)) return NULL;
    arena_defer(c->arena, free_judgement, judgement);
    return judgement;
}

/* The sheets of the present van; NULL, having answered, when there are none. Until the call ends. */
static const lw_sheets *draw_sheets(call *c, const char *only)
{
    const snapshot *of = call_readable(c);
    const lw_judgement *judgement = of ? judgement_of(c, of) : NULL;
    if (!judgement) return NULL;
    lw_sheets_options options = {.only = only, .date = today(c->arena), .paper = c->paper};
    lw_sheets *sheets = NULL;
    char *why = NULL;
    lw_status status = lw_sheets_draw(judgement, &options, &sheets, &why);
    if (!call_is_good(c, status, why)) return NULL;
    arena_defer(c->arena, free_sheets, sheets);
    return sheets;
}

void route_sheets(call *c)
{
    const lw_sheets *sheets = draw_sheets(c, NULL);
    if (!sheets) return;
    sink s = sink_in(c->arena);
    sink_add(&s, "[");
    for (size_t i = 0; i < lw_sheets_count(sheets); i++) {
        lw_sheet_file f = lw_sheets_file(sheets, i);
        sink_add(&s, i == 0 ? "{\"sheet\": " : ", {\"sheet\": ");
        json_text(&s, f.sheet);
        sink_add(&s, ", \"title\": ");
        json_text(&s, f.title);
        sink_add(&s, ", \"name\": ");
        json_text(&s, f.name);
        sink_add(&s, "}");
    }
    sink_add(&s, "]");
    answer_json(c, 200, &s);
}

static const char *type_of_sheet(const char *name)
{
    const char *ending = strrchr(name, '.');
    if (ending && strcmp(ending, ".pdf") == 0) return "application/pdf";
    if (ending && strcmp(ending, ".svg") == 0) return "image/svg+xml";
    return "text/csv; charset=utf-8";
}

static const lw_sheet_file *find_file(call *c, const lw_sheets *sheets, const char *name)
{
    for (size_t i = 0; i < lw_sheets_count(sheets); i++) {
        lw_sheet_file *f = ARENA_NEW(c->arena, lw_sheet_file);
        *f = lw_sheets_file(sheets, i);
        if (strcmp(f->name, name) == 0) return f;
    }
    return NULL;
}

/* "diagram" of "diagram-2.svg" and of "diagram.pdf". */
static const char *sheet_of_file(arena *a, const char *name)
{
    size_t n = strcspn(name, "."), n_digits = n;
    while (n_digits > 0 && name[n_digits - 1] >= '0' && name[n_digits - 1] <= '9') n_digits--;
    if (n_digits < n && n_digits > 0 && name[n_digits - 1] == '-') n = n_digits - 1;
    return arena_text_n(a, name, n);
}

void route_book(call *c)
{
    const snapshot *of = call_readable(c);
    const lw_judgement *judgement = of ? judgement_of(c, of) : NULL;
    if (!judgement) return;
    lw_book_options options = {.date = today(c->arena), .paper = c->paper};
    char *bytes = NULL, *why = NULL;
    size_t n = 0;
    lw_status status = lw_book_draw(judgement, &options, &bytes, &n, &why);
    call_keep(c, bytes);
    if (call_is_good(c, status, why)) answer_bytes(c, "application/pdf", bytes, n);
}

void route_sheet(call *c)
{
    if (strcmp(c->rest, "book.pdf") == 0) {
        route_book(c);
        return;
    }
    const lw_sheets *sheets = draw_sheets(c, sheet_of_file(c->arena, c->rest));
    if (!sheets) return;
    const lw_sheet_file *f = find_file(c, sheets, c->rest);
    if (f)
        answer_bytes(c, type_of_sheet(f->name), f->bytes, f->n_bytes);
    else
        answer_error(c, 404, "there is no sheet of that name; /api/sheets lists them");
}
