/* The cover of the build book: the three gates, each with what shuts it, and what was left undecided or unproven. And
 * the page of cautions behind it. */
#include "sheets/book_parts.h"

#include <math.h>
#include <string.h>

#define GATE_HEIGHT 34.0
#define GATE_GAP 5.0
#define ROW_GAP 1.2

/* ---- gates ---- */

static int count_of(const judgement *j, gate g, grade of, bool is_decided)
{
    int n = 0;
    for (int i = 0; i < j->n_findings; i++) {
        const finding *at = &j->findings[i];
        n += at->gate == g && at->grade == of && at->is_decided == is_decided;
    }
    return n;
}

static const char *counted(arena *a, int n, const char *one, const char *many)
{
    return arena_printf(a, "%d %s", n, n == 1 ? one : many);
}

static void draw_gate(binding *k, scene *s, double x, double y, double width, gate g)
{
    static const char *const words[] = {"CUT", "CLOSE", "LIVE"}, *const moments[] = {"saw and drill go in",
                                                                                     "the wall goes on",
                                                                                     "the fuse goes in"};
    const judgement *j = k->judgement;
    arena *a = k->book->arena;
    bool is_open = j->is_open[g];
    scene_open(s, scene_id(a, "gate", words[g]), "gate", words[g]);
    scene_rect(s, stroke(INK_INK, is_open ? LINE_NORMAL : LINE_BAR), x, y, width, GATE_HEIGHT);
    scene_text(s, x + 3, y + 8.5, TEXT_LARGE, FACE_SANS_BOLD, ANCHOR_START, INK_INK, words[g]);
    scene_text(s, x + width - 3, y + 8.5, TEXT_LARGE, FACE_SANS_BOLD, ANCHOR_END, INK_INK, is_open ? "open" : "SHUT");
    scene_text(s, x + 3, y + 13.5, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, moments[g]);
    const struct {
        int n;
        const char *one, *many;
    } counts[] = {{count_of(j, g, GRADE_STOP, false), "stop", "stops"},
                  {count_of(j, g, GRADE_UNPROVEN, false), "unproven", "unproven"},
                  {count_of(j, g, GRADE_MIND, false), "mind, undecided", "minds, undecided"}};
    double line = y + 19;
    for (int i = 0; i < 3; i++) {
        if (!counts[i].n) continue;
        scene_text(s, x + 3, line, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_START, INK_INK,
                   counted(a, counts[i].n, counts[i].one, counts[i].many));
        line += LINE_PITCH(TEXT_SMALL) + 0.4;
    }
    bool is_before_shut = g > GATE_CUT && !j->is_open[g - 1];
    const char *more = !is_open && is_before_shut ? "the gate before is shut" : is_open ? "no finding shuts it" : "";
    scene_text(s, x + 3, line, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, more);
    scene_close(s);
}

static void draw_gates(binding *k, flow *f)
{
    double width = (flow_width(f) - 2 * GATE_GAP) / N_GATES;
    flow_room(f, GATE_HEIGHT + 4);
    f->y_mm += 4;
    for (int g = 0; g < N_GATES; g++)
        draw_gate(k, f->scene, flow_left(f) + g * (width + GATE_GAP), f->y_mm, width, (gate)g);
    f->y_mm += GATE_HEIGHT + 1;
}

/* ---- what was left ---- */

/* A line of the cover: mark, gate, where, rule; the number of the sheet follows when it is known. */
static void draw_left(binding *k, flow *f, int index)
{
    static const char *const gates[] = {"cut", "close", "live"};
    enum { gate_mm = 14, sheet_mm = 22 };
    const finding *n = &k->judgement->findings[index];
    arena *a = k->book->arena;
    int n_rules;
    const char *text = arena_printf(a, "%s: %s", rules(&n_rules)[n->rule].id, finding_where(a, n));
    if (n->is_decided)
        text = arena_printf(a, "%s. Decided %s", text,
                            n->decision->date && *n->decision->date ? n->decision->date : "without a date");
    double indent = MARK_WIDTH + gate_mm;
    lines l = wrap(k->book, FACE_SANS, TEXT_SMALL, flow_width(f) - indent - sheet_mm, text);
    flow_room(f, l.n * LINE_PITCH(TEXT_SMALL) + 2 * ROW_GAP);
    f->y_mm += ROW_GAP;
    double y = f->y_mm + LINE_PITCH(TEXT_SMALL), x = flow_left(f);
    finding_mark(f->scene, x, y + 0.3, n);
    scene_text(f->scene, x + MARK_WIDTH, y, TEXT_SMALL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, gates[n->gate]);
    *ARRAY_ADD(a, &k->awaited) = (awaited){f->scene, x + flow_width(f), y, index};
    for (int i = 0; i < l.n; i++)
        scene_text(f->scene, x + indent, y + i * LINE_PITCH(TEXT_SMALL), TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
                   l.at[i]);
    f->y_mm += l.n * LINE_PITCH(TEXT_SMALL) + ROW_GAP;
}

static void draw_group(binding *k, flow *f, const char *heading, grade of, bool is_decided)
{
    const judgement *j = k->judgement;
    int n = 0;
    for (int g = 0; g < N_GATES; g++) n += count_of(j, (gate)g, of, is_decided);
    if (!n) return;
    flow_heading(f, arena_printf(k->book->arena, "%s: %d", heading, n), 12);
    for (int i = 0; i < j->n_findings; i++)
        if (j->findings[i].grade == of && j->findings[i].is_decided == is_decided) draw_left(k, f, i);
}

/* ---- cover ---- */

/* The positions that the answer rests on: of the seasons, the one that saw the least. */
static const states *least_examined(const study *s)
{
    const states *least = s->states[0];
    for (int i = 1; i < N_SEASONS; i++) {
        const states *other = s->states[i];
        if (other && (!other->is_complete || other->n_examined < least->n_examined)) least = other;
    }
    return least;
}

/* All digits of a number that a person may read out. */
static void count_words(double n, char out[number_room])
{
    if (n < 1e9)
        number_exact(n, out);
    else
        number_short(n, 3, out);
}

static const char *coverage_text(binding *k)
{
    arena *a = k->book->arena;
    const states *least = least_examined(k->book->study);
    char positions[number_room], examined[number_room];
    count_words(least->n_positions, positions);
    count_words(least->n_examined, examined);
    if (least->is_complete)
        return arena_printf(a, "%s switch position%s, all examined.", positions, least->n_positions == 1 ? "" : "s");
    return arena_printf(a, "%s switch positions, of which only %s were examined: %s", positions, examined,
                        least->why_not ? least->why_not : "");
}

static const char *open_labels(const book *b)
{
    int n = 0;
    for (int w = 0; w < b->van->n_wires; w++) n += b->van->wires[w].is_label_proposed;
    if (!n) return "";
    return arena_printf(b->arena, "%s: print no sleeve of %s until `loomwall label` has written %s to the file.",
                        counted(b->arena, n, "label is only proposed", "labels are only proposed"),
                        n == 1 ? "it" : "them", n == 1 ? "it" : "them");
}

static void draw_title(binding *k, flow *f)
{
    const book *b = k->book;
    const van *v = b->van;
    bool is_short = fonts_width_mm(b->fonts, FACE_SANS_BOLD, TEXT_HUGE, v->name) <= flow_width(f);
    flow_text(f, FACE_SANS, TEXT_NORMAL, 0, "Build book");
    f->y_mm += 2;
    flow_text(f, FACE_SANS_BOLD, is_short ? TEXT_HUGE : TEXT_LARGE, 0, v->name);
    f->y_mm += 2;
    if (v->says) flow_text(f, FACE_SANS, TEXT_NORMAL, 0, v->says);
    flow_text(f, FACE_SANS, TEXT_SMALL, 0,
              arena_printf(b->arena, "File %s, revision %s, drawn on %s. %s, %s.", b->options->file,
                           b->options->revision, b->options->date, counted(b->arena, v->n_items, "item", "items"),
                           counted(b->arena, v->n_wires, "wire", "wires")));
}

void cover_draw(binding *k)
{
    flow f = flow_start(k->book, "Cover", "The three gates, and what was left undecided.");
    draw_title(k, &f);
    draw_gates(k, &f);
    flow_text(&f, FACE_SANS, TEXT_SMALL, 0, coverage_text(k));
    flow_text(&f, FACE_SANS, TEXT_SMALL, 0,
              "An open gate means that no finding shuts it. These are figures calculated from the file, not an "
              "inspection of the van. Local codes and a licensed electrician come before them.");
    draw_group(k, &f, "Not proven", GRADE_UNPROVEN, false);
    draw_group(k, &f, "Stops", GRADE_STOP, false);
    draw_group(k, &f, "Left undecided", GRADE_MIND, false);
    draw_group(k, &f, "Decided", GRADE_MIND, true);
    const char *labels = open_labels(k->book);
    if (!*labels) return;
    flow_heading(&f, "Labels", 8);
    flow_text(&f, FACE_SANS, TEXT_SMALL, 0, labels);
}

/* ---- cautions ---- */

static void draw_caution(flow *f, const char *head, const char *text)
{
    enum { indent_mm = 14 };
    double height = flow_height(f, FACE_SANS_BOLD, TEXT_NORMAL, indent_mm, head) +
                    flow_height(f, FACE_SANS, TEXT_NORMAL, indent_mm, text) + 5;
    flow_room(f, height);
    flow_gap(f, 3);
    warning_draw(f->scene, flow_left(f), f->y_mm + LINE_PITCH(TEXT_NORMAL) + 2, 2.2);
    flow_text(f, FACE_SANS_BOLD, TEXT_NORMAL, indent_mm, head);
    flow_text(f, FACE_SANS, TEXT_NORMAL, indent_mm, text);
}

static const char *short_circuit_text(binding *k)
{
    char amps[number_room];
    const study *s = k->book->study;
    const char *own = "";
    if (s->prospective_A > 0)
        own =
            arena_printf(k->book->arena, " By the figures of the file, the largest battery here can drive about %s A.",
                         number_short(s->prospective_A, 2, amps));
    return arena_printf(k->book->arena,
                        "A battery can drive thousands of amperes through a short: enough to weld a spanner, burn a "
                        "hand to the bone and set the van on fire.%s Take rings and watches off, cover the posts, use "
                        "insulated tools, lay no tool on a battery.",
                        own);
}

void book_cautions_draw(binding *k)
{
    flow f = flow_start(k->book, "Cautions", "Read this before you work from this book.");
    flow_text(&f, FACE_SANS_BOLD, TEXT_LARGE, 0, "Read this before you work from this book");
    draw_caution(&f, "A battery is never off", short_circuit_text(k));
    draw_caution(&f, "Fuses last",
                 "Keep every fuse out while you work. Fit the fuse at the battery last of all, when every box of the "
                 "connection list is ticked and every check has passed. Take it out first before you change anything, "
                 "and measure that the wire is dead before you touch it: a charger or a second battery feeds it from "
                 "the other end.");
    if (k->book->has_mains)
        draw_caution(&f, "Mains voltage kills",
                     "Work on the inverter's output, on the shore supply and on whatever they feed is for licensed "
                     "people. An inverter that is fed is live even when the shore supply is unplugged. This book does "
                     "not draw that side.");
    draw_caution(&f, "Gas and heat",
                 "A battery that is being charged can give off gas that burns or harms: follow its maker on air, place "
                 "and charging. Cable under load gets warm: let it touch nothing that burns, chafe on no edge, and be "
                 "held wherever the van shakes it.");
    draw_caution(&f, "Codes and makers come first",
                 "Local codes and makers' instructions come before this book. Where they ask for more, do that. Where "
                 "you are not sure, ask a licensed electrician before the wall is shut.");
    draw_caution(&f, "What this book is",
                 "It shows what the file says and figures calculated from that. Nobody has looked at the van. It "
                 "approves nothing. What is called unproven is unproven. When the van is built otherwise, change the "
                 "file and print the book again; an old book is worse than none.");
}
