/* The findings of the build book: each with its numbers, when it is worst, whose limit it is, what would mend it, and
 * what was decided on it. Grades are told by the shape of their mark and by a word. */
#include "sheets/book_parts.h"

#include <math.h>
#include <string.h>

#define BLOCK_GAP 4.0

const char *finding_word(const finding *n)
{
    static const char *const words[] = {"STOP", "MIND", "NOTE", "UNPROVEN"};
    return n->is_decided ? "DECIDED" : words[n->grade];
}

bool finding_shuts(const finding *n)
{
    return n->grade == GRADE_STOP || n->grade == GRADE_UNPROVEN || (n->grade == GRADE_MIND && !n->is_decided);
}

const char *finding_where(arena *a, const finding *n)
{
    sink out = sink_in(a);
    for (int i = 0; i < n->n_where; i++) sink_printf(&out, "%s%s", i ? ", " : "", n->where[i]);
    return sink_text(&out);
}

/* ---- marks ---- */

static void draw_corners(scene *s, double x, double y, double radius, int n, double turn_deg)
{
    point corners[8];
    for (int i = 0; i < n; i++) {
        double angle = (turn_deg + 360.0 * i / n) * M_PI / 180;
        corners[i] = (point){x + radius * cos(angle), y + radius * sin(angle)};
    }
    scene_polyline(s, stroke(INK_INK, LINE_WIDE), corners, n, true);
}

void finding_mark(scene *s, double x_mm, double y_mm, const finding *n)
{
    double x = x_mm + 2.3, y = y_mm - 1.6;
    pen line = stroke(INK_INK, LINE_WIDE);
    switch (n->grade) {
    case GRADE_STOP:
        draw_corners(s, x, y, 2.3, 8, 22.5);
        scene_line(s, line, x - 1.1, y, x + 1.1, y);
        break;
    case GRADE_UNPROVEN: /* a question mark, as strokes */
        draw_corners(s, x, y, 2.3, 8, 22.5);
        scene_arc(s, line, x, y - 0.55, 0.6, 180, 420);
        scene_line(s, line, x + 0.3, y - 0.03, x, y + 0.6);
        scene_line(s, line, x, y + 1, x, y + 1.3);
        break;
    case GRADE_MIND:
        draw_corners(s, x, y + 0.5, 2.5, 3, -90);
        scene_line(s, line, x, y - 0.6, x, y + 0.5);
        scene_line(s, line, x, y + 0.9, x, y + 1.2);
        break;
    default:
        scene_circle(s, line, x, y, 2.1);
        scene_line(s, line, x, y - 0.3, x, y + 1.1);
        scene_line(s, line, x, y - 1.1, x, y - 0.8);
        break;
    }
}

/* ---- a finding ---- */

typedef struct paragraph {
    face face;
    double height_mm;
    const char *text;
} paragraph;
typedef ARRAY(paragraph) paragraphs;

static void add(binding *k, paragraphs *p, face f, double height_mm, const char *text)
{
    if (text && *text) *ARRAY_ADD(k->book->arena, p) = (paragraph){f, height_mm, text};
}

static void add_small(binding *k, paragraphs *p, const char *word, const char *text)
{
    if (text && *text) add(k, p, FACE_SANS, TEXT_SMALL, arena_printf(k->book->arena, "%s: %s", word, text));
}

static const char *numbers(arena *a, const finding *n)
{
    char value[number_room], limit[number_room];
    const char *unit = n->unit ? n->unit : "", *space = *unit ? " " : "";
    if (!isfinite(n->value)) return "";
    number_short(n->value, 3, value);
    if (!isfinite(n->limit)) return arena_printf(a, "%s%s%s", value, space, unit);
    return arena_printf(a, "%s%s%s against a limit of %s%s%s", value, space, unit, number_short(n->limit, 3, limit),
                        space, unit);
}

static const char *positions(const binding *k, const finding *n)
{
    arena *a = k->book->arena;
    sink out = sink_in(a);
    for (int i = 0; n->positions && i < n->n_position_items; i++) {
        int item = n->position_items[i];
        sink_printf(&out, "%s%s %s", i ? ", " : "", k->book->van->items[item].id,
                    position_text(k->book->van, item, n->positions[item], a));
    }
    return sink_text(&out);
}

static const char *decision_text(const binding *k, const finding *n)
{
    const char *date = n->decision->date && *n->decision->date ? n->decision->date : "without a date";
    return arena_printf(k->book->arena, "%s: %s", date, n->decision->why);
}

static paragraphs words_of(binding *k, int index)
{
    arena *a = k->book->arena;
    const finding *n = &k->judgement->findings[index];
    int n_rules;
    const char *rule = rules(&n_rules)[n->rule].id;
    paragraphs p = {0};
    add(k, &p, FACE_SANS_BOLD, TEXT_NORMAL, arena_printf(a, "%d  %s  %s", index + 1, finding_word(n), rule));
    add(k, &p, FACE_SANS_BOLD, TEXT_SMALL, finding_where(a, n));
    add(k, &p, FACE_SANS, TEXT_SMALL, n->says);
    add_small(k, &p, "Value", numbers(a, n));
    add_small(k, &p, "Worst with", positions(k, n));
    add_small(k, &p, "Source of the limit", n->source);
    add_small(k, &p, "To mend", n->remedy);
    if (n->is_decided) add_small(k, &p, "Decided", decision_text(k, n));
    if (!n->is_decided && n->grade == GRADE_MIND) add_small(k, &p, "Decided", "nothing yet");
    return p;
}

/* The index points at what a finding is about. */
static void note_where(book *b, const finding *n)
{
    for (int i = 0; i < n->n_where; i++) {
        const char *name = strchr(n->where[i], ' ');
        if (!name) continue;
        name++;
        int wire = strncmp(n->where[i], "wire ", 5) == 0 ? van_wire(b->van, name) : -1,
            item = strncmp(n->where[i], "item ", 5) == 0 ? van_item(b->van, name) : -1,
            terminal = strncmp(n->where[i], "terminal ", 9) == 0 ? van_terminal(b->van, name) : -1;
        if (wire >= 0) page_names_wire(b, wire);
        if (item >= 0) page_names_item(b, item);
        if (terminal >= 0) page_names_item(b, b->van->terminals[terminal].item);
    }
}

static void draw_finding(binding *k, flow *f, int index)
{
    const finding *n = &k->judgement->findings[index];
    paragraphs p = words_of(k, index);
    double height = BLOCK_GAP, indent = MARK_WIDTH + 2;
    for (size_t i = 0; i < p.n; i++) height += flow_height(f, p.at[i].face, p.at[i].height_mm, indent, p.at[i].text);
    flow_room(f, height < f->in.bottom - f->in.top ? height : f->in.bottom - f->in.top);
    flow_gap(f, BLOCK_GAP);
    k->finding_page[index] = (int)k->book->pages.n - 1;
    scene_open(f->scene, scene_id(k->book->arena, "finding", arena_printf(k->book->arena, "%d", index + 1)), "finding",
               NULL);
    finding_mark(f->scene, flow_left(f), f->y_mm + LINE_PITCH(TEXT_NORMAL), n);
    scene_close(f->scene);
    for (size_t i = 0; i < p.n; i++) {
        flow_text(f, p.at[i].face, p.at[i].height_mm, indent, p.at[i].text);
        if (i == 1) note_where(k->book, n);
    }
}

static const char *gate_heading(const binding *k, gate g)
{
    static const char *const words[] = {"Before you cut", "Before you close the wall", "Before you go live"};
    const judgement *j = k->judgement;
    const char *state = j->is_open[g] ? "open" : "SHUT";
    return arena_printf(k->book->arena, "%s: %s", words[g], state);
}

void findings_draw(binding *k)
{
    const judgement *j = k->judgement;
    flow f = flow_start(k->book, "Findings and decisions",
                        "Every finding with its value, limit, source and remedy, and what was decided on it.");
    flow_text(&f, FACE_SANS, TEXT_SMALL, 0,
              "Figures calculated from the file, not an inspection of the van. A stop and what is unproven keep their "
              "gate shut, a mind does until the file records a decision on it, a note does not.");
    int g = -1;
    for (int i = 0; i < j->n_findings; i++) {
        if ((int)j->findings[i].gate != g) flow_heading(&f, gate_heading(k, j->findings[i].gate), 40);
        g = (int)j->findings[i].gate;
        draw_finding(k, &f, i);
    }
    if (j->n_findings) return;
    flow_gap(&f, BLOCK_GAP);
    flow_text(&f, FACE_SANS, TEXT_NORMAL, 0, "No finding was raised. That approves nothing.");
}
