/* Building a scene. See scene.h. */
#include "draw/scene.h"

#include <assert.h>
#include <string.h>

double line_width_mm(line_width w)
{
    static const double widths_mm[] = {
#define X(NAME, mm, word) mm,
        LINE_WIDTHS(X)
#undef X
    };
    return widths_mm[w];
}

int line_dash_mm(line_dash d, const double **lengths_mm)
{
    static const struct {
        int n;
        double lengths_mm[4];
    } dashes[] = {
#define X(NAME, word, n, lengths) {n, lengths},
        LINE_DASHES(X)
#undef X
    };
    *lengths_mm = dashes[d].lengths_mm;
    return dashes[d].n;
}

unsigned ink_rgb(ink i)
{
    static const unsigned rgb[] = {
#define X(NAME, word, light, dark) light,
        INKS(X)
#undef X
    };
    return rgb[i];
}

scene *scene_create(arena *a, const fonts *f, double width_mm, double height_mm, const char *title, const char *says)
{
    scene *s = ARENA_NEW(a, scene);
    s->arena = a;
    s->fonts = f;
    s->width_mm = width_mm;
    s->height_mm = height_mm;
    s->title = arena_text(a, title);
    s->says = arena_text(a, says);
    return s;
}

static shape *add(scene *s, shape_type type)
{
    shape *added = ARRAY_ADD(s->arena, &s->shapes);
    added->type = type;
    return added;
}

static const char *copy(scene *s, const char *text) { return text ? arena_text(s->arena, text) : NULL; }

void scene_open(scene *s, const char *id, const char *role, const char *title)
{
    shape *g = add(s, SHAPE_GROUP_OPEN);
    g->id = copy(s, id);
    g->role = copy(s, role);
    g->title = copy(s, title);
}

void scene_close(scene *s) { add(s, SHAPE_GROUP_CLOSE); }

void scene_mark(scene *s, const char *role)
{
    assert(s->shapes.n && s->shapes.at[s->shapes.n - 1].type < SHAPE_GROUP_OPEN);
    s->shapes.at[s->shapes.n - 1].role = copy(s, role);
}

void scene_polyline(scene *s, pen p, const point *points, int n, bool is_closed)
{
    point *kept = ARENA_ARRAY(s->arena, point, n);
    memcpy(kept, points, (size_t)n * sizeof *points);
    shape *path = add(s, SHAPE_PATH);
    path->points = kept;
    path->n_points = n;
    path->is_closed = is_closed;
    path->pen = p;
}

void scene_line(scene *s, pen p, double x1_mm, double y1_mm, double x2_mm, double y2_mm)
{
    scene_polyline(s, p, (point[]){{x1_mm, y1_mm}, {x2_mm, y2_mm}}, 2, false);
}

void scene_rect(scene *s, pen p, double x_mm, double y_mm, double width_mm, double height_mm)
{
    const point corners[] = {
        {x_mm, y_mm}, {x_mm + width_mm, y_mm}, {x_mm + width_mm, y_mm + height_mm}, {x_mm, y_mm + height_mm}};
    scene_polyline(s, p, corners, 4, true);
}

void scene_circle(scene *s, pen p, double x_mm, double y_mm, double radius_mm)
{
    shape *c = add(s, SHAPE_CIRCLE);
    c->at = (point){x_mm, y_mm};
    c->radius_mm = radius_mm;
    c->pen = p;
}

void scene_arc(scene *s, pen p, double x_mm, double y_mm, double radius_mm, double from_deg, double to_deg)
{
    assert(to_deg >= from_deg);
    shape *c = add(s, SHAPE_ARC);
    c->at = (point){x_mm, y_mm};
    c->radius_mm = radius_mm;
    c->from_deg = from_deg;
    c->to_deg = to_deg;
    c->pen = p;
}

void scene_text(scene *s, double x_mm, double y_mm, double height_mm, face f, anchor where, ink colour,
                const char *text)
{
    assert(height_mm >= TEXT_SMALL);
    if (!*text) return;
    shape *t = add(s, SHAPE_TEXT);
    t->at = (point){x_mm, y_mm};
    t->height_mm = height_mm;
    t->face = f;
    t->anchor = where;
    t->text = copy(s, text);
    t->text_width_mm = fonts_width_mm(s->fonts, f, height_mm, text);
    t->pen = (pen){.stroke = INK_NONE, .fill = colour};
}

static point moved_away(point p, point about, double factor)
{
    return (point){about.x_mm + (p.x_mm - about.x_mm) * factor, about.y_mm + (p.y_mm - about.y_mm) * factor};
}

void scene_link_text(scene *s, int page)
{
    assert(s->shapes.n && s->shapes.at[s->shapes.n - 1].type == SHAPE_TEXT);
    *ARRAY_ADD(s->arena, &s->links) = (scene_link){text_box(&s->shapes.at[s->shapes.n - 1]), page};
}

void scene_enlarge(scene *s, point about, double factor)
{
    for (size_t i = 0; i < s->shapes.n; i++) {
        shape *at = &s->shapes.at[i];
        for (int k = 0; k < at->n_points; k++) at->points[k] = moved_away(at->points[k], about, factor);
        at->at = moved_away(at->at, about, factor);
        at->radius_mm *= factor;
        at->height_mm *= factor;
        at->text_width_mm *= factor;
    }
    for (size_t i = 0; i < s->links.n; i++) {
        box *at = &s->links.at[i].at;
        point first = moved_away((point){at->left, at->top}, about, factor),
              last = moved_away((point){at->right, at->bottom}, about, factor);
        *at = (box){first.x_mm, first.y_mm, last.x_mm, last.y_mm};
    }
}

static bool is_plain(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '.';
}

const char *scene_id(arena *a, const char *prefix, const char *name)
{
    sink out = sink_in(a);
    sink_printf(&out, "%s-", prefix);
    for (const char *c = name; *c; c++) {
        if (is_plain(*c))
            sink_add_n(&out, c, 1);
        else
            sink_printf(&out, "_%02x_", (unsigned char)*c);
    }
    return sink_text(&out);
}

box text_box(const shape *t)
{
    double share = t->anchor == ANCHOR_START ? 0 : t->anchor == ANCHOR_MIDDLE ? 0.5 : 1;
    double left = t->at.x_mm - share * t->text_width_mm;
    return (box){left, t->at.y_mm - t->height_mm, left + t->text_width_mm, t->at.y_mm + TEXT_DESCENT * t->height_mm};
}
