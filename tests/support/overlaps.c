/* See overlaps.h. */
#include "overlaps.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct segment {
    point a, b;
    double half_mm;
    const char *wire; /* id of the wire's group, or NULL */
} segment;

typedef struct found {
    ARRAY(segment) segments;
    ARRAY(box) boxes;
    ARRAY(const char *) texts;
    overlaps o;
    arena *arena;
} found;

static void note(found *f, const char *what, const char *text, const char *other)
{
    if (!f->o.first[0]) snprintf(f->o.first, sizeof f->o.first, "%s: \"%s\" and \"%s\"", what, text, other);
}

static void add_segment(found *f, point a, point b, const pen *p, const char *wire)
{
    if (p->stroke == INK_NONE || p->stroke == INK_PAPER) return;
    *ARRAY_ADD(f->arena, &f->segments) = (segment){a, b, line_width_mm(p->width) / 2, wire};
}

static void add_arc(found *f, const shape *s, double from_deg, double to_deg)
{
    enum { pieces = 48 };
    for (int i = 0; i < pieces; i++) {
        double a = (from_deg + (to_deg - from_deg) * i / pieces) * M_PI / 180;
        double b = (from_deg + (to_deg - from_deg) * (i + 1) / pieces) * M_PI / 180, r = s->radius_mm;
        add_segment(f, (point){s->at.x_mm + r * cos(a), s->at.y_mm + r * sin(a)},
                    (point){s->at.x_mm + r * cos(b), s->at.y_mm + r * sin(b)}, &s->pen, NULL);
    }
}

static void gather(found *f, const scene *s)
{
    const char *open[32] = {0};
    int depth = 0;
    for (size_t i = 0; i < s->shapes.n; i++) {
        const shape *at = &s->shapes.at[i];
        const char *wire =
            depth && open[depth - 1] && strncmp(open[depth - 1], "wire-", 5) == 0 ? open[depth - 1] : NULL;
        switch (at->type) {
        case SHAPE_GROUP_OPEN:
            open[depth++] = at->id;
            break;
        case SHAPE_GROUP_CLOSE:
            depth--;
            break;
        case SHAPE_PATH:
            for (int k = 0; k + 1 < at->n_points; k++) add_segment(f, at->points[k], at->points[k + 1], &at->pen, wire);
            if (at->is_closed) add_segment(f, at->points[at->n_points - 1], at->points[0], &at->pen, wire);
            break;
        case SHAPE_CIRCLE:
            add_arc(f, at, 0, 360);
            break;
        case SHAPE_ARC:
            add_arc(f, at, at->from_deg, at->to_deg);
            break;
        case SHAPE_TEXT:
            *ARRAY_ADD(f->arena, &f->boxes) = text_box(at);
            *ARRAY_ADD(f->arena, &f->texts) = at->text;
            break;
        }
    }
}

/* Liang and Barsky: does the segment meet the box? */
static bool meets(const segment *s, box b)
{
    double t0 = 0, t1 = 1, dx = s->b.x_mm - s->a.x_mm, dy = s->b.y_mm - s->a.y_mm, grow = s->half_mm - 0.05;
    double p[4] = {-dx, dx, -dy, dy};
    double q[4] = {s->a.x_mm - (b.left - grow), b.right + grow - s->a.x_mm, s->a.y_mm - (b.top - grow),
                   b.bottom + grow - s->a.y_mm};
    for (int i = 0; i < 4; i++) {
        if (p[i] == 0) {
            if (q[i] <= 0) return false;
        } else {
            double t = q[i] / p[i];
            if (p[i] < 0)
                t0 = fmax(t0, t);
            else
                t1 = fmin(t1, t);
        }
    }
    return t0 < t1;
}

static bool is_level(const segment *s) { return fabs(s->a.y_mm - s->b.y_mm) < 1e-6; }

static double least(double a, double b) { return a < b ? a : b; }
static double most(double a, double b) { return a > b ? a : b; }

static void compare_wires(found *f, const segment *s, const segment *t)
{
    if (is_level(s) != is_level(t)) {
        const segment *level = is_level(s) ? s : t, *upright = is_level(s) ? t : s;
        double x = upright->a.x_mm, y = level->a.y_mm, edge = 0.05;
        f->o.n_crossings +=
            x > least(level->a.x_mm, level->b.x_mm) + edge && x < most(level->a.x_mm, level->b.x_mm) - edge &&
            y > least(upright->a.y_mm, upright->b.y_mm) + edge && y < most(upright->a.y_mm, upright->b.y_mm) - edge;
        return;
    }
    bool level = is_level(s);
    double gap = level ? s->a.y_mm - t->a.y_mm : s->a.x_mm - t->a.x_mm;
    if (fabs(gap) > 0.1) return;
    double from = most(least(level ? s->a.x_mm : s->a.y_mm, level ? s->b.x_mm : s->b.y_mm),
                       least(level ? t->a.x_mm : t->a.y_mm, level ? t->b.x_mm : t->b.y_mm));
    double to = least(most(level ? s->a.x_mm : s->a.y_mm, level ? s->b.x_mm : s->b.y_mm),
                      most(level ? t->a.x_mm : t->a.y_mm, level ? t->b.x_mm : t->b.y_mm));
    if (to - from < 1) return;
    /* Wires that leave one port share its stub: they have an end point in common there. */
    const point ends[2][2] = {{s->a, s->b}, {t->a, t->b}};
    for (int i = 0; i < 4; i++)
        if (hypot(ends[0][i & 1].x_mm - ends[1][i >> 1].x_mm, ends[0][i & 1].y_mm - ends[1][i >> 1].y_mm) < 1e-6)
            return;
    f->o.n_wire_on_wire++;
    note(f, "wire on wire", s->wire, t->wire);
}

overlaps overlaps_in(const scene *s)
{
    found f = {.arena = s->arena};
    gather(&f, s);
    for (size_t i = 0; i < f.boxes.n; i++) {
        box b = f.boxes.at[i];
        if (b.left < 0 || b.top < 0 || b.right > s->width_mm || b.bottom > s->height_mm) {
            f.o.n_text_off_page++;
            note(&f, "off the page", f.texts.at[i], "");
        }
        for (size_t k = 0; k < f.segments.n; k++)
            if (meets(&f.segments.at[k], b)) {
                f.o.n_text_on_line++;
                note(&f, "on a line", f.texts.at[i], f.segments.at[k].wire ? f.segments.at[k].wire : "a shape");
            }
        for (size_t k = i + 1; k < f.boxes.n; k++) {
            box c = f.boxes.at[k];
            if (b.left >= c.right || c.left >= b.right || b.top >= c.bottom || c.top >= b.bottom) continue;
            f.o.n_text_on_text++;
            note(&f, "on text", f.texts.at[i], f.texts.at[k]);
        }
    }
    for (size_t i = 0; i < f.segments.n; i++)
        for (size_t k = i + 1; k < f.segments.n; k++) {
            const segment *a = &f.segments.at[i], *b = &f.segments.at[k];
            if (a->wire && b->wire && strcmp(a->wire, b->wire) != 0) compare_wires(&f, a, b);
        }
    return f.o;
}
