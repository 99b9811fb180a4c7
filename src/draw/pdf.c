/* The PDF writer, over Cairo and Pango. See pdf.h.
 *
 * Nothing in here takes memory from the arena while Cairo holds its own: bytes gather in a buffer of their own, which
 * is handed to the arena once the surface is gone. */
#include "draw/pdf.h"

#include <assert.h>
#include <cairo-pdf.h>
#include <math.h>
#include <pango/pangocairo.h>
#include <stdlib.h>
#include <string.h>

#define POINTS_PER_MM (72 / 25.4)

typedef struct buffer {
    unsigned char *at;
    size_t n, room;
} buffer;

static cairo_status_t gather(void *closure, const unsigned char *data, unsigned n)
{
    buffer *b = closure;
    if (b->n + n > b->room) {
        size_t room = (b->n + n) * 2;
        unsigned char *moved = realloc(b->at, room);
        if (!moved) return CAIRO_STATUS_WRITE_ERROR;
        b->at = moved;
        b->room = room;
    }
    memcpy(b->at + b->n, data, n);
    b->n += n;
    return CAIRO_STATUS_SUCCESS;
}

static void set_ink(cairo_t *cr, ink i)
{
    unsigned rgb = ink_rgb(i);
    cairo_set_source_rgb(cr, (rgb >> 16 & 255) / 255.0, (rgb >> 8 & 255) / 255.0, (rgb & 255) / 255.0);
}

static void fill_and_stroke(cairo_t *cr, const pen *p)
{
    if (p->fill != INK_NONE) {
        set_ink(cr, p->fill);
        cairo_fill_preserve(cr);
    }
    if (p->stroke != INK_NONE) {
        const double *lengths_mm;
        int n = line_dash_mm(p->dash, &lengths_mm);
        set_ink(cr, p->stroke);
        cairo_set_line_width(cr, line_width_mm(p->width));
        cairo_set_dash(cr, lengths_mm, n, 0);
        cairo_stroke_preserve(cr);
    }
    cairo_new_path(cr);
}

static void trace_points(cairo_t *cr, const shape *s)
{
    for (int i = 0; i < s->n_points; i++) {
        if (i)
            cairo_line_to(cr, s->points[i].x_mm, s->points[i].y_mm);
        else
            cairo_move_to(cr, s->points[i].x_mm, s->points[i].y_mm);
    }
    if (s->is_closed) cairo_close_path(cr);
}

static void show_text(cairo_t *cr, const scene *sc, const shape *s)
{
    PangoLayout *layout = pango_cairo_create_layout(cr);
    PangoContext *context = pango_layout_get_context(layout);
    cairo_font_options_t *o = cairo_font_options_create();
    cairo_font_options_set_hint_style(o, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(o, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context, o);
    cairo_font_options_destroy(o);
    pango_context_set_round_glyph_positions(context, FALSE);
    pango_context_set_language(context, pango_language_from_string("en"));
    PangoFontDescription *d = pango_font_description_copy(fonts_description(sc->fonts, s->face));
    pango_font_description_set_absolute_size(d, s->height_mm / CAPITAL_PER_EM * PANGO_SCALE);
    pango_layout_set_font_description(layout, d);
    pango_font_description_free(d);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    pango_layout_set_text(layout, s->text, -1);
    set_ink(cr, s->pen.fill);
    cairo_move_to(cr, text_box(s).left, s->at.y_mm);
    pango_cairo_show_layout_line(cr, pango_layout_get_line_readonly(layout, 0));
    cairo_new_path(cr);
    g_object_unref(layout);
}

static void show_shape(cairo_t *cr, const scene *sc, const shape *s)
{
    switch (s->type) {
    case SHAPE_PATH:
        trace_points(cr, s);
        fill_and_stroke(cr, &s->pen);
        break;
    case SHAPE_CIRCLE:
        cairo_arc(cr, s->at.x_mm, s->at.y_mm, s->radius_mm, 0, 2 * M_PI);
        cairo_close_path(cr);
        fill_and_stroke(cr, &s->pen);
        break;
    case SHAPE_ARC:
        cairo_arc(cr, s->at.x_mm, s->at.y_mm, s->radius_mm, s->from_deg * M_PI / 180, s->to_deg * M_PI / 180);
        fill_and_stroke(cr, &s->pen);
        break;
    case SHAPE_TEXT:
        show_text(cr, sc, s);
        break;
    case SHAPE_GROUP_OPEN:
    case SHAPE_GROUP_CLOSE:
        break;
    }
}

static int add_mark(cairo_surface_t *surface, int parent, const char *title, int page)
{
    char destination[40];
    snprintf(destination, sizeof destination, "page=%d pos=[0 0]", page);
    return cairo_pdf_surface_add_outline(surface, parent, title, destination, (cairo_pdf_outline_flags_t)0);
}

static void add_marks(cairo_surface_t *surface, const pdf_info *info)
{
    int parent = CAIRO_PDF_OUTLINE_ROOT;
    assert(info->marks || info->n_marks == 0);
    for (int i = 0; i < info->n_marks; i++) {
        const pdf_mark *m = &info->marks[i];
        int added = add_mark(surface, m->level ? parent : CAIRO_PDF_OUTLINE_ROOT, m->title, m->page);
        if (!m->level) parent = added;
    }
}

/* A name of its own for each page: Cairo drops a link by number to a page that is still to come. */
static void name_page(cairo_t *cr, int page)
{
    char attributes[40];
    snprintf(attributes, sizeof attributes, "name='sheet-%d' x=0 y=0", page);
    cairo_tag_begin(cr, CAIRO_TAG_DEST, attributes);
    cairo_tag_end(cr, CAIRO_TAG_DEST);
}

/* Cairo takes the rectangle of a link in points of the page, whatever the scale is. */
static void show_link(cairo_t *cr, const scene_link *l)
{
    char attributes[160];
    const double k = POINTS_PER_MM;
    snprintf(attributes, sizeof attributes, "rect=[%.2f %.2f %.2f %.2f] dest='sheet-%d'", l->at.left * k, l->at.top * k,
             (l->at.right - l->at.left) * k, (l->at.bottom - l->at.top) * k, l->page);
    cairo_tag_begin(cr, CAIRO_TAG_LINK, attributes);
    cairo_tag_end(cr, CAIRO_TAG_LINK);
}

static void show_page(cairo_surface_t *surface, cairo_t *cr, const scene *s, int page)
{
    cairo_pdf_surface_set_size(surface, s->width_mm * POINTS_PER_MM, s->height_mm * POINTS_PER_MM);
    cairo_identity_matrix(cr);
    cairo_scale(cr, POINTS_PER_MM, POINTS_PER_MM);
    for (size_t i = 0; i < s->shapes.n; i++) show_shape(cr, s, &s->shapes.at[i]);
    name_page(cr, page);
    for (size_t i = 0; i < s->links.n; i++) show_link(cr, &s->links.at[i]);
    cairo_show_page(cr);
}

static void set_metadata(cairo_surface_t *surface, const pdf_info *info)
{
    char stamp[40];
    snprintf(stamp, sizeof stamp, "%.10sT00:00:00Z", info->date);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, info->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, info->author);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, info->subject);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, stamp);
}

static bool write_to(buffer *b, const scene *const *pages, int n_pages, const pdf_info *info)
{
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(gather, b, pages[0]->width_mm * POINTS_PER_MM,
                                                                   pages[0]->height_mm * POINTS_PER_MM);
    set_metadata(surface, info);
    cairo_t *cr = cairo_create(surface);
    for (int i = 0; i < n_pages; i++) {
        show_page(surface, cr, pages[i], i + 1);
        if (!info->marks) add_mark(surface, CAIRO_PDF_OUTLINE_ROOT, pages[i]->title, i + 1);
    }
    add_marks(surface, info);
    bool is_good = cairo_status(cr) == CAIRO_STATUS_SUCCESS;
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    is_good = is_good && cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS;
    cairo_surface_destroy(surface);
    return is_good;
}

bool pdf_write(const scene *const *pages, int n_pages, const pdf_info *info, sink *out)
{
    assert(n_pages > 0);
    buffer b = {0};
    bool is_good = write_to(&b, pages, n_pages, info);
    arena_defer(out->arena, free, b.at);
    if (is_good) sink_add_n(out, (const char *)b.at, b.n);
    return is_good;
}
