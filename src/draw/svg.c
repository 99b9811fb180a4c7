/* The SVG writer. See svg.h. Coordinates are millimetres, rounded to a hundredth. */
#include "draw/svg.h"

#include <math.h>
#include <string.h>

static const char *const ink_words[] = {
#define X(NAME, word, light, dark) word,
    INKS(X)
#undef X
};
static const char *const width_words[] = {
#define X(NAME, mm, word) word,
    LINE_WIDTHS(X)
#undef X
};
static const char *const dash_words[] = {
#define X(NAME, word, n, lengths) word,
    LINE_DASHES(X)
#undef X
};
static const char *const face_words[] = {
#define X(NAME, family, weight, generic) #NAME,
    FACES(X)
#undef X
};

/* What stands for a character that XML can't hold as it is; NULL for any other. Control characters, which XML 1.0 can't hold at
 * all, show as U+FFFD. */
static const char *escape_of(unsigned char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    default:
        return c < 0x20 || c == 0x7f ? "\xEF\xBF\xBD" : NULL;
    }
}

static void add_escaped(sink *out, const char *text)
{
    for (const char *c = text; *c;) {
        size_t n = 0;
        while (c[n] && !escape_of((unsigned char)c[n])) n++;
        sink_add_n(out, c, n);
        c += n;
        if (*c) sink_add(out, escape_of((unsigned char)*c++));
    }
}

/* Half of what a scene costs would be numbers, if each went the way of any number. */
static void add_mm(sink *out, double mm)
{
    char text[24], *at = text + sizeof text;
    long hundredths = lround(mm * 100);
    unsigned long left = hundredths < 0 ? -(unsigned long)hundredths : (unsigned long)hundredths;
    unsigned long part = left % 100;
    if (part % 10) *--at = (char)('0' + part % 10);
    if (part) *--at = (char)('0' + part / 10), *--at = '.';
    left /= 100;
    do *--at = (char)('0' + left % 10);
    while (left /= 10);
    if (hundredths < 0) *--at = '-';
    sink_add_n(out, at, (size_t)(text + sizeof text - at));
}

static void add_attribute(sink *out, const char *name, double mm)
{
    sink_add(out, " ");
    sink_add(out, name);
    sink_add(out, "=\"");
    add_mm(out, mm);
    sink_add(out, "\"");
}

static void add_point(sink *out, const char *before, double x_mm, double y_mm)
{
    sink_add(out, before);
    add_mm(out, x_mm);
    sink_add(out, " ");
    add_mm(out, y_mm);
}

static void add_word(sink *out, const char *before, const char *word)
{
    sink_add(out, before);
    sink_add(out, word);
}

static void add_pen_class(sink *out, const shape *s)
{
    const pen *p = &s->pen;
    add_word(out, " class=\"s-", p->stroke == INK_NONE ? "none" : ink_words[p->stroke]);
    add_word(out, " f-", p->fill == INK_NONE ? "none" : ink_words[p->fill]);
    add_word(out, " w-", width_words[p->width]);
    if (p->dash != DASH_NONE) add_word(out, " d-", dash_words[p->dash]);
    if (s->role) add_word(out, " ", s->role);
    sink_add(out, "\"");
}

static void add_inks(sink *out, const unsigned *rgb)
{
    for (int i = 0; i < N_INKS; i++)
        sink_printf(out, ".sheet .s-%s{stroke:#%06x}.sheet .f-%s{fill:#%06x}", ink_words[i], rgb[i], ink_words[i],
                    rgb[i]);
    sink_add(out, "\n");
}

static const unsigned light[] = {
#define X(NAME, word, light, dark) light,
    INKS(X)
#undef X
};
static const unsigned dark[] = {
#define X(NAME, word, light, dark) dark,
    INKS(X)
#undef X
};

/* Lines, faces: what every theme shares. */
static void add_shapes_style(sink *out)
{
    sink_add(out, ".sheet path,.sheet circle{stroke-linecap:butt;stroke-linejoin:miter}\n"
                  ".sheet text{stroke:none;white-space:pre}\n.sheet .s-none{stroke:none}.sheet .f-none{fill:none}\n");
    for (int i = 0; i < N_LINE_WIDTHS; i++) {
        sink_printf(out, ".sheet .w-%s{stroke-width:", width_words[i]);
        add_mm(out, line_width_mm((line_width)i));
        sink_add(out, "}");
    }
    for (int i = 1; i < N_LINE_DASHES; i++) {
        const double *lengths_mm;
        int n = line_dash_mm((line_dash)i, &lengths_mm);
        sink_printf(out, ".sheet .d-%s{stroke-dasharray:", dash_words[i]);
        for (int k = 0; k < n; k++) {
            if (k) sink_add(out, " ");
            add_mm(out, lengths_mm[k]);
        }
        sink_add(out, "}");
    }
    sink_add(out, "\n");
#define X(NAME, family, weight, generic)                                                                               \
    sink_add(out, ".sheet .t-" #NAME "{font-family:\"" family "\"," generic ";font-weight:" #weight "}");
    FACES(X)
#undef X
    sink_add(out, "\n");
}

static void add_style(sink *out)
{
    sink_add(out, "<style>\n");
    add_shapes_style(out);
    add_inks(out, light);
    sink_add(out, "@media screen and (prefers-color-scheme:dark){\n");
    add_inks(out, dark);
    sink_add(out, "}\n</style>\n");
}

static void add_ink_variables(sink *out, const char *selector, const unsigned *rgb)
{
    sink_printf(out, "%s{", selector);
    for (int i = 0; i < N_INKS; i++) sink_printf(out, "--ink-%s:#%06x;", ink_words[i], rgb[i]);
    sink_add(out, "}\n");
}

/* Viewers that know no variables take the colours of the sheets. */
void svg_style_screen(sink *out)
{
    add_shapes_style(out);
    add_inks(out, light);
    add_ink_variables(out, ".sheet", light);
    sink_add(out, "@media screen and (prefers-color-scheme:dark){");
    add_ink_variables(out, ".sheet", dark);
    sink_add(out, "}\n");
    add_ink_variables(out, ":root[data-theme=light] .sheet", light);
    sink_add(out, "@media screen{");
    add_ink_variables(out, ":root[data-theme=dark] .sheet", dark);
    sink_add(out, "}\n");
    for (int i = 0; i < N_INKS; i++)
        sink_printf(out, ".sheet .s-%s{stroke:var(--ink-%s)}.sheet .f-%s{fill:var(--ink-%s)}", ink_words[i],
                    ink_words[i], ink_words[i], ink_words[i]);
    sink_add(out, "\n.sheet .hit{fill:none;pointer-events:all}\n.sheet .rays{display:none}\n"
                  ".sheet .position{display:none}.sheet .position.rest{display:inline}\n");
}

static void add_screen_style(sink *out)
{
    sink_add(out, "<style>\n");
    svg_style_screen(out);
    sink_add(out, "</style>\n");
}

static void add_path(sink *out, const shape *s)
{
    sink_add(out, "<path");
    add_pen_class(out, s);
    sink_add(out, " d=\"");
    for (int i = 0; i < s->n_points; i++) add_point(out, i ? "L" : "M", s->points[i].x_mm, s->points[i].y_mm);
    sink_add(out, s->is_closed ? "Z\"/>\n" : "\"/>\n");
}

static void add_circle(sink *out, const shape *s)
{
    sink_add(out, "<circle");
    add_pen_class(out, s);
    add_attribute(out, "cx", s->at.x_mm);
    add_attribute(out, "cy", s->at.y_mm);
    add_attribute(out, "r", s->radius_mm);
    sink_add(out, "/>\n");
}

static void add_arc(sink *out, const shape *s)
{
    double from = s->from_deg * M_PI / 180, to = s->to_deg * M_PI / 180, r = s->radius_mm;
    sink_add(out, "<path");
    add_pen_class(out, s);
    add_point(out, " d=\"M", s->at.x_mm + r * cos(from), s->at.y_mm + r * sin(from));
    add_point(out, "A", r, r);
    sink_printf(out, " 0 %d 1", s->to_deg - s->from_deg > 180);
    add_point(out, " ", s->at.x_mm + r * cos(to), s->at.y_mm + r * sin(to));
    sink_add(out, "\"/>\n");
}

static void add_text(sink *out, const shape *s)
{
    static const char *const anchors[] = {"start", "middle", "end"};
    add_word(out, "<text class=\"t-", face_words[s->face]);
    add_word(out, " f-", ink_words[s->pen.fill]);
    if (s->role) add_word(out, " ", s->role);
    sink_add(out, "\"");
    add_attribute(out, "x", s->at.x_mm);
    add_attribute(out, "y", s->at.y_mm);
    add_attribute(out, "font-size", s->height_mm / CAPITAL_PER_EM);
    if (s->anchor != ANCHOR_START) sink_printf(out, " text-anchor=\"%s\"", anchors[s->anchor]);
    /* Holds the place that was measured even where the viewer lacks the face. */
    add_attribute(out, "textLength", s->text_width_mm);
    sink_add(out, " lengthAdjust=\"spacingAndGlyphs\">");
    add_escaped(out, s->text);
    sink_add(out, "</text>\n");
}

static void add_group(sink *out, const shape *s)
{
    sink_add(out, "<g");
    if (s->id) {
        sink_add(out, " id=\"");
        add_escaped(out, s->id);
        sink_add(out, "\"");
    }
    if (s->role) {
        sink_add(out, " class=\"");
        add_escaped(out, s->role);
        sink_add(out, "\"");
    }
    sink_add(out, ">\n");
    if (s->title) {
        sink_add(out, "<title>");
        add_escaped(out, s->title);
        sink_add(out, "</title>\n");
    }
}

static void add_head(sink *out, const scene *s)
{
    sink_add(out,
             "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" "
             "class=\"sheet\" role=\"");
    sink_add(out, s->is_screen ? "graphics-document" : "img");
    sink_add(out, "\" width=\"");
    add_mm(out, s->width_mm);
    sink_add(out, "mm\" height=\"");
    add_mm(out, s->height_mm);
    add_point(out, "mm\" viewBox=\"0 0 ", s->width_mm, s->height_mm);
    sink_add(out, "\">\n<title>");
    add_escaped(out, s->title);
    sink_add(out, "</title>\n<desc>");
    add_escaped(out, s->says);
    sink_add(out, "</desc>\n");
}

void svg_write(const scene *s, sink *out)
{
    add_head(out, s);
    (s->is_screen ? add_screen_style : add_style)(out);
    sink_add(out, "<rect class=\"s-none f-paper\"");
    add_attribute(out, "width", s->width_mm);
    add_attribute(out, "height", s->height_mm);
    sink_add(out, "/>\n");
    for (size_t i = 0; i < s->shapes.n; i++) {
        const shape *one = &s->shapes.at[i];
        switch (one->type) {
        case SHAPE_PATH:
            add_path(out, one);
            break;
        case SHAPE_CIRCLE:
            add_circle(out, one);
            break;
        case SHAPE_ARC:
            add_arc(out, one);
            break;
        case SHAPE_TEXT:
            add_text(out, one);
            break;
        case SHAPE_GROUP_OPEN:
            add_group(out, one);
            break;
        case SHAPE_GROUP_CLOSE:
            sink_add(out, "</g>\n");
            break;
        }
    }
    sink_add(out, "</svg>\n");
}
