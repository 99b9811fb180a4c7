/* Sheets as files in memory. See loomwall/sheets.h. Each sheet is one PDF, an SVG a page, and a CSV where it is a list;
 * the whole set is one more PDF, the book. */
#include "loomwall/sheets.h"
#include "api/handles.h"
#include "api/text.h"
#include "draw/pdf.h"
#include "draw/svg.h"
#include "sheets/sheets.h"

#include <string.h>

struct lw_sheets {
    arena *arena;
    ARRAY(lw_sheet_file) files;
};

typedef struct drawing {
    arena *arena;
    const lw_judgement *judgement;
    const lw_sheets_options *options;
    const char *why; /* it is refused */
    lw_sheets *result;
} drawing;

/* `name` is that of the file, without its ending. */
static void add_file(drawing *d, const sheet *s, const char *name, const char *ending, const sink *content)
{
    *ARRAY_ADD(d->arena, &d->result->files) = (lw_sheet_file){
        .sheet = s->name,
        .title = s->title,
        .name = arena_printf(d->arena, "%s.%s", name, ending),
        .bytes = sink_text(content),
        .n_bytes = content->n,
    };
}

static void add_pdf(drawing *d, const sheet *s, const scene *const *pages, int n_pages)
{
    pdf_info info = {
        .title = s->title, .author = "", .subject = lw_van_name(d->judgement->van), .date = d->options->date};
    sink content = sink_in(d->arena);
    if (pdf_write(pages, n_pages, &info, &content)) {
        add_file(d, s, s->name, "pdf", &content);
    } else {
        d->why = arena_printf(d->arena, "the PDF of `%s` could not be made", s->name);
    }
}

static void add_sheet(drawing *d, const sheet *s)
{
    add_pdf(d, s, (const scene *const *)s->pages, s->n_pages);
    for (int page = 0; page < s->n_pages; page++) {
        const char *name = s->n_pages == 1 ? s->name : arena_printf(d->arena, "%s-%d", s->name, page + 1);
        sink content = sink_in(d->arena);
        svg_write(s->pages[page], &content);
        add_file(d, s, name, "svg", &content);
    }
    if (!s->csv) return;
    sink content = sink_in(d->arena);
    sink_add(&content, s->csv);
    add_file(d, s, s->name, "csv", &content);
}

static void add_book(drawing *d, const sheet *sheets, int n_sheets)
{
    static const sheet book = {.name = "book", .title = "All sheets"};
    ARRAY(const scene *) pages = {0};
    for (int i = 0; i < n_sheets; i++) {
        for (int page = 0; page < sheets[i].n_pages; page++) *ARRAY_ADD(d->arena, &pages) = sheets[i].pages[page];
    }
    if (pages.n > 0) add_pdf(d, &book, pages.at, (int)pages.n);
}

/* `only` names a kind of sheet ("panel") or one sheet ("panel-sampling-wall"). */
static bool is_wanted(const drawing *d, const sheet *s)
{
    const char *only = d->options->only;
    return !only || strcmp(only, s->name) == 0 || strcmp(only, sheet_word(s->id)) == 0;
}

static void refuse_unknown(drawing *d, const sheet *sheets, int n_sheets)
{
    const char **names = ARENA_ARRAY(d->arena, const char *, (size_t)n_sheets);
    sink all = sink_in(d->arena);
    for (int i = 0; i < n_sheets; i++) {
        names[i] = sheets[i].name;
        sink_printf(&all, "%s`%s`", i == 0 ? "there are " : ", ", names[i]);
    }
    d->why = arena_printf(d->arena, "there is no sheet `%s`; %s", d->options->only,
                          text_suggestion(d->options->only, names, n_sheets, sink_text(&all), d->arena));
}

static void draw_all(drawing *d, const fonts *f)
{
    const van *v = d->judgement->van->van;
    const char *slash = strrchr(v->file, '/');
    sheet_options options = {
        .file = slash ? slash + 1 : v->file,
        .date = d->options->date ? d->options->date : "",
        .revision = v->revision[0] ? v->revision : d->judgement->van->fingerprint,
    };
    int n_sheets;
    const sheet *sheets = sheets_draw(d->arena, f, d->judgement->judgement->study, &options, &n_sheets);
    for (int i = 0; i < n_sheets; i++) {
        if (is_wanted(d, &sheets[i])) add_sheet(d, &sheets[i]);
    }
    if (d->result->files.n == 0) refuse_unknown(d, sheets, n_sheets);
    if (!d->options->only) add_book(d, sheets, n_sheets);
}

static void draw_it(void *context)
{
    drawing *d = context;
    d->result = ARENA_NEW(d->arena, lw_sheets);
    d->result->arena = d->arena;
    const char *missing = "";
    const fonts *f = fonts_open(d->arena, &missing);
    if (f) {
        draw_all(d, f);
    } else {
        d->why = arena_printf(d->arena, "the font %s is not on this machine; install it (Debian: fonts-b612)", missing);
    }
}

lw_status lw_sheets_draw(const lw_judgement *judgement, const lw_sheets_options *options, lw_sheets **sheets,
                         char **why)
{
    drawing d = {.arena = arena_create(), .judgement = judgement, .options = options};
    if (!d.arena || !arena_try(d.arena, draw_it, &d)) {
        arena_destroy(d.arena);
        return LW_NO_MEMORY;
    }
    if (!d.why) {
        *sheets = d.result;
        return LW_OK;
    }
    lw_status status = text_copy(d.why, why);
    arena_destroy(d.arena);
    return status == LW_OK ? LW_REFUSED : status;
}

void lw_sheets_free(lw_sheets *sheets)
{
    if (sheets) arena_destroy(sheets->arena);
}

size_t lw_sheets_count(const lw_sheets *sheets) { return sheets->files.n; }

lw_sheet_file lw_sheets_file(const lw_sheets *sheets, size_t i) { return sheets->files.at[i]; }
