/* Binds the build book. See book.h. */
#include "sheets/book.h"
#include "sheets/book_parts.h"

#define CONTENTS_HEAD 14.0
#define CONTENTS_PITCH 8.0

/* A sheet of the book that is none of the set. */
static void add_part(binding *k, const char *title, int first)
{
    add_sheet(k->book, &k->sheets, N_SHEETS, "", title, first, NULL);
}

static void draw_part(binding *k, const char *title, void (*draw)(binding *))
{
    int first = (int)k->book->pages.n;
    draw(k);
    add_part(k, title, first);
}

/* ---- contents ---- */

static paper_size contents_paper(const book *b)
{
    paper_size size;
    paper_step(b, 0, false, &size);
    return size;
}

static int contents_lines(const book *b)
{
    area in = page_area(b, contents_paper(b));
    return (int)((in.bottom - in.top - CONTENTS_HEAD) / CONTENTS_PITCH);
}

int contents_page_count(const book *b, int n_sheets)
{
    int lines = contents_lines(b);
    return (n_sheets + lines - 1) / lines;
}

void contents_reserve(binding *k, int n_pages)
{
    int first = (int)k->book->pages.n;
    for (int i = 0; i < n_pages; i++)
        page_add(k->book, contents_paper(k->book), "Contents", "The sheets of this book and their numbers.");
    add_part(k, "Contents", first);
}

static void draw_contents_line(binding *k, scene *s, area in, double y, const sheet *of, int first)
{
    book *b = k->book;
    const char *numbers = of->n_pages == 1 ? arena_printf(b->arena, "%d", first + 1)
                                           : arena_printf(b->arena, "%d to %d", first + 1, first + of->n_pages);
    double room = fonts_width_mm(b->fonts, FACE_SANS, TEXT_NORMAL, numbers) + 4, right = in.right - room;
    const char *title = fitted(b, FACE_SANS, TEXT_NORMAL, right - in.left - 2, of->title);
    scene_text(s, in.left, y, TEXT_NORMAL, FACE_SANS, ANCHOR_START, INK_INK, title);
    scene_link_text(s, first + 1);
    double end = in.left + fonts_width_mm(b->fonts, FACE_SANS, TEXT_NORMAL, title) + 2;
    pen dots = {INK_FAINT, INK_NONE, LINE_NORMAL, DASH_DOTTED};
    if (end < right) scene_line(s, dots, end, y, right, y);
    scene_text(s, in.right, y, TEXT_NORMAL, FACE_SANS, ANCHOR_END, INK_INK, numbers);
    scene_link_text(s, first + 1);
}

void contents_fill(binding *k)
{
    area in = page_area(k->book, contents_paper(k->book));
    int lines = contents_lines(k->book), first = 0, page = 0;
    for (size_t i = 0; i < k->sheets.n; i++) /* the contents are the third part */
        if (i < 2) page += k->sheets.at[i].n_pages;
    for (int i = 0; i < (int)k->sheets.n; i++) {
        scene *s = k->book->pages.at[page + i / lines];
        if (i % lines == 0) {
            scene_text(s, in.left, in.top + TEXT_LARGE + 1, TEXT_LARGE, FACE_SANS_BOLD, ANCHOR_START, INK_INK,
                       "Contents");
            scene_text(s, in.right, in.top + TEXT_LARGE + 1, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_FAINT, "sheet");
        }
        draw_contents_line(k, s, in, in.top + CONTENTS_HEAD + (i % lines) * CONTENTS_PITCH + TEXT_NORMAL,
                           &k->sheets.at[i], first);
        first += k->sheets.at[i].n_pages;
    }
}

/* ---- the whole ---- */

static void tell_awaited(binding *k)
{
    for (size_t i = 0; i < k->awaited.n; i++) {
        const awaited *at = &k->awaited.at[i];
        int page = k->finding_page[at->finding] + 1;
        scene_text(at->scene, at->x_mm, at->y_mm, TEXT_SMALL, FACE_SANS, ANCHOR_END, INK_INK,
                   arena_printf(k->book->arena, "sheet %d", page));
        scene_link_text(at->scene, page);
    }
}

static binding bind(arena *a, const fonts *f, const judgement *j, const sheet_options *o, int n_contents)
{
    binding k = {.book = book_start(a, f, j->study, o), .judgement = j};
    k.book->is_one_size = true;
    k.finding_page = ARENA_ARRAY(a, int, (size_t)j->n_findings + 1);
    draw_part(&k, "Cover", cover_draw);
    draw_part(&k, "Cautions", book_cautions_draw);
    contents_reserve(&k, n_contents);
    draw_all_sheets(k.book, &k.sheets);
    draw_part(&k, "Findings and decisions", findings_draw);
    draw_part(&k, "Index", index_draw);
    return k;
}

static const pdf_mark *list_marks(arena *a, const sheet *sheets, int n, int *n_marks)
{
    ARRAY(pdf_mark) marks = {0};
    int page = 1;
    for (int i = 0; i < n; i++) {
        *ARRAY_ADD(a, &marks) = (pdf_mark){sheets[i].title, page, 0};
        for (int p = 0; sheets[i].n_pages > 1 && p < sheets[i].n_pages; p++)
            *ARRAY_ADD(a, &marks) = (pdf_mark){arena_printf(a, "sheet %d", page + p), page + p, 1};
        page += sheets[i].n_pages;
    }
    *n_marks = (int)marks.n;
    return marks.at;
}

build_book book_draw(arena *a, const fonts *f, const judgement *j, const sheet_options *o)
{
    int n_contents = 1, needed = 1;
    binding k;
    do { /* pages are numbered as they are drawn, so the contents must have their room before */
        n_contents = needed;
        k = bind(a, f, j, o, n_contents);
        needed = contents_page_count(k.book, (int)k.sheets.n);
    } while (needed != n_contents);
    contents_fill(&k);
    tell_awaited(&k);
    int n_sheets;
    const sheet *sheets = finish_sheets(k.book, &k.sheets, &n_sheets);
    build_book out = {.pages = k.book->pages.at, .n_pages = (int)k.book->pages.n};
    out.marks = list_marks(a, sheets, n_sheets, &out.n_marks);
    return out;
}
