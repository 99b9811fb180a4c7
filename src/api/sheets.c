/* Sheets as files in memory. See loomwall/sheets.h. Each sheet is one PDF, an SVG a page, and a CSV where it is a list;
 * the build book is one more PDF. */
#include "loomwall/sheets.h"
#include "api/handles.h"
#include "api/text.h"
#include "draw/pdf.h"
#include "draw/svg.h"
#include "sheets/book.h"

#include <stdlib.h>
#include <string.h>

struct lw_sheets {
    arena *arena;
    ARRAY(lw_sheet_file) files;
};

typedef struct drawing {
    arena *arena;
    const lw_judgement *judgement;
    const lw_sheets_options *options;
    bool is_book_alone;
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

/* --- the build book --- */

static bool write_book(drawing *d, const build_book *b, sink *content)
{
    const char *van = lw_van_name(d->judgement->van);
    pdf_info info = {.title = arena_printf(d->arena, "%s: build book", van),
                     .author = "",
                     .subject = van,
                     .date = d->options->date,
                     .marks = b->marks,
                     .n_marks = b->n_marks};
    bool is_written = pdf_write((const scene *const *)b->pages, b->n_pages, &info, content);
    if (!is_written) d->why = "the PDF of the build book could not be made";
    return is_written;
}

static void add_book(drawing *d, const fonts *f, const sheet_options *options)
{
    static const sheet book = {.name = "book", .title = "Build book"};
    build_book b = book_draw(d->arena, f, d->judgement->judgement, options);
    sink content = sink_in(d->arena);
    if (write_book(d, &b, &content)) add_file(d, &book, book.name, "pdf", &content);
}

/* --- what both share --- */

/* Leaves `out` as it is where no paper is asked for. */
static bool papers_of(drawing *d, paper_series *out)
{
    const char *paper = d->options->paper;
    if (!paper) return true;
    if (strcmp(paper, "a4") == 0) {
        *out = PAPERS_A4;
    } else if (strcmp(paper, "letter") == 0) {
        *out = PAPERS_LETTER;
    } else {
        d->why = arena_printf(d->arena, "there is no paper `%s`; write `a4` or `letter`", paper);
    }
    return !d->why;
}

static sheet_options sheet_options_of(const drawing *d, paper_series papers)
{
    const van *v = d->judgement->van->van;
    const char *slash = strrchr(v->file, '/');
    return (sheet_options){
        .file = slash ? slash + 1 : v->file,
        .date = d->options->date ? d->options->date : "",
        .revision = v->revision[0] ? v->revision : d->judgement->van->fingerprint,
        .papers = papers,
    };
}

static void draw_set(drawing *d, const fonts *f, const sheet_options *options)
{
    int n_sheets;
    const sheet *sheets = sheets_draw(d->arena, f, d->judgement->judgement->study, options, &n_sheets);
    for (int i = 0; i < n_sheets; i++) {
        if (is_wanted(d, &sheets[i])) add_sheet(d, &sheets[i]);
    }
    if (d->result->files.n == 0) refuse_unknown(d, sheets, n_sheets);
    if (!d->options->only) add_book(d, f, options);
}

static void draw_it(void *context)
{
    drawing *d = context;
    d->result = ARENA_NEW(d->arena, lw_sheets);
    d->result->arena = d->arena;
    paper_series papers = PAPERS_OF_PRACTICE;
    if (!papers_of(d, &papers)) return;
    const sheet_options options = sheet_options_of(d, papers);
    const char *missing = "";
    const fonts *f = fonts_open(d->arena, &missing);
    if (!f) {
        d->why = arena_printf(d->arena, "the font %s is not on this machine; install it (Debian: fonts-b612)", missing);
    } else if (d->is_book_alone) {
        add_book(d, f, &options);
    } else {
        draw_set(d, f, &options);
    }
}

/* LW_OK with `d->result` in `d->arena`, which is then the caller's. */
static lw_status run(drawing *d, char **why)
{
    d->arena = arena_create();
    if (!d->arena || !arena_try(d->arena, draw_it, d)) {
        arena_destroy(d->arena);
        return LW_NO_MEMORY;
    }
    if (!d->why) return LW_OK;
    lw_status status = text_copy(d->why, why);
    arena_destroy(d->arena);
    return status == LW_OK ? LW_REFUSED : status;
}

lw_status lw_sheets_draw(const lw_judgement *judgement, const lw_sheets_options *options, lw_sheets **sheets,
                         char **why)
{
    drawing d = {.judgement = judgement, .options = options};
    lw_status status = run(&d, why);
    if (status == LW_OK) *sheets = d.result;
    return status;
}

lw_status lw_book_draw(const lw_judgement *judgement, const lw_book_options *options, char **bytes, size_t *n_bytes,
                       char **why)
{
    const lw_sheets_options sheets = {.date = options->date, .paper = options->paper};
    drawing d = {.judgement = judgement, .options = &sheets, .is_book_alone = true};
    lw_status status = run(&d, why);
    if (status != LW_OK) return status;
    const lw_sheet_file *file = &d.result->files.at[0];
    char *copy = malloc(file->n_bytes);
    if (copy) {
        memcpy(copy, file->bytes, file->n_bytes);
        *bytes = copy;
        *n_bytes = file->n_bytes;
    }
    arena_destroy(d.arena);
    return copy ? LW_OK : LW_NO_MEMORY;
}

void lw_sheets_free(lw_sheets *sheets)
{
    if (sheets) arena_destroy(sheets->arena);
}

size_t lw_sheets_count(const lw_sheets *sheets) { return sheets->files.n; }

lw_sheet_file lw_sheets_file(const lw_sheets *sheets, size_t i) { return sheets->files.at[i]; }
