/* The sheets of the examples and of random vans: nothing lies on anything, every wire is there at both ends, the lists
 * add up, the same van gives the same bytes. Run with the folder of the examples. */
#include "circuit/feeds.h"
#include "draw/pdf.h"
#include "draw/svg.h"
#include "read/read.h"
#include "sheets/book.h"
#include "sheets/csv.h"
#include "sheets/screen.h"
#include "sheets/sheets.h"

#include "fewer.h"
#include "overlaps.h"
#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *examples_folder;
static const char *const examples[] = {"first-lamp", "heron", "heron-draft", "starling"};
enum { n_examples = sizeof examples / sizeof *examples };

static arena *a;
static const fonts *f;

static void start(void)
{
    const char *missing = "";
    a = arena_create();
    f = fonts_open(a, &missing);
    ck_assert_msg(f != NULL, "font %s is missing", missing);
}

static void finish(void) { arena_destroy(a); }

typedef struct set {
    study study;
    sheet *sheets;
    int n;
} set;

static van *read_text(const char *file, const char *text)
{
    report *r = report_create(a, file);
    van *v = read_van(a, file, text, strlen(text), r);
    ck_assert_msg(v != NULL, "%s", report_text(r, a));
    return v;
}

static set *draw_van(const char *file, const van *v)
{
    set *s = ARENA_NEW(a, set);
    const sheet_options options = {file, "2026-11-25", "C"};
    const conditions c = conditions_meter();
    s->study.van = v;
    s->study.feeds = feeds_trace(a, network_build(a, s->study.van, &c));
    s->sheets = sheets_draw(a, f, &s->study, &options, &s->n);
    return s;
}

static set *draw(const char *file, const char *text) { return draw_van(file, read_text(file, text)); }

static const char *example_text(const char *name)
{
    const char *path = arena_printf(a, "%s/%s/%s.yaml", examples_folder, name, name);
    FILE *file = fopen(path, "rb");
    ck_assert_msg(file != NULL, "no %s", path);
    sink out = sink_in(a);
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, file)) > 0;) sink_add_n(&out, part, n);
    fclose(file);
    return sink_text(&out);
}

static set *draw_example(const char *name) { return draw(arena_printf(a, "%s.yaml", name), example_text(name)); }

static const sheet *sheet_by(const set *s, sheet_id id)
{
    for (int i = 0; i < s->n; i++)
        if (s->sheets[i].id == id) return &s->sheets[i];
    ck_abort_msg("no such sheet");
    return NULL;
}

static int count_texts(const sheet *s, const char *text)
{
    int n = 0;
    for (int p = 0; p < s->n_pages; p++)
        for (size_t i = 0; i < s->pages[p]->shapes.n; i++) {
            const shape *at = &s->pages[p]->shapes.at[i];
            n += at->type == SHAPE_TEXT && strcmp(at->text, text) == 0;
        }
    return n;
}

static int crossings_of(const set *s)
{
    int n = 0;
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++) n += overlaps_in(s->sheets[i].pages[p]).n_crossings;
    return n;
}

/* Empty when the page is clean. */
static const char *trouble_on(const scene *page)
{
    overlaps o = overlaps_in(page);
    int n = o.n_text_on_line + o.n_text_on_text + o.n_text_off_page + o.n_wire_on_wire;
    return n ? arena_printf(a, "%d on %s: %s", n, page->title, o.first) : "";
}

static void expect_clean(const set *s, const char *name)
{
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++) {
            const char *trouble = trouble_on(s->sheets[i].pages[p]);
            ck_assert_msg(!*trouble, "%s, %s, page %d: %s", name, s->sheets[i].name, p + 1, trouble);
        }
}

/* Names, ids and labels of fifty characters, one in three of a single word, and letters beyond ASCII. */
static const char *long_word(const char *word, int i)
{
    static const char *const ends[] = {"-behind-the-second-pillar-on-the-left-side-of-all",
                                       "behindthesecondpillarontheleftsideofall",
                                       "-à-gauche-près-de-l’évier-Größe-Šířka-Ω"};
    return arena_printf(a, "%s%s", word, ends[i % 3]);
}

static void lengthen(van *v)
{
    for (int i = 0; i < v->n_items; i++) {
        item *it = &v->items[i];
        it->id = long_word(it->id, i);
        it->name = i % 2 ? it->id : arena_printf(a, "%s, à gauche près de l’évier, Größe und Šířka Ω", it->name);
        for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++)
            v->terminals[t].name = arena_printf(a, "%s.%s", it->id, strrchr(v->terminals[t].name, '.') + 1);
    }
    for (int w = 0; w < v->n_wires; w += 5) /* as long as the reader takes them */
        v->wires[w].label =
            arena_printf(a, "%s-%.*s", v->wires[w].label, (int)(15 - strlen(v->wires[w].label)), "WWWWWWWWWWWWWWW");
    v->name = "The van of the long names, à gauche près de l’évier, Größe und Šířka Ω, and so on and on to its end";
}

START_TEST(long_names)
{
    const char *file = arena_printf(a, "%s.yaml", examples[_i]);
    van *v = read_text(file, example_text(examples[_i]));
    lengthen(v);
    expect_clean(draw_van(file, v), examples[_i]);
}
END_TEST

START_TEST(nothing_lies_on_anything) { expect_clean(draw_example(examples[_i]), examples[_i]); }
END_TEST

/* No crossing that can be avoided: these vans can be drawn without any. */
START_TEST(no_crossings)
{
    static const char *const planar[] = {"first-lamp", "heron", "starling"};
    ck_assert_int_eq(crossings_of(draw_example(planar[_i])), 0);
}
END_TEST

/* A builder prints at home or in a copy shop: A3 or Tabloid at most, in mm. */
static void expect_common_paper(const set *s)
{
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++) {
            const scene *page = s->sheets[i].pages[p];
            ck_assert_double_le(fmax(page->width_mm, page->height_mm), 431.8);
            ck_assert_double_le(fmin(page->width_mm, page->height_mm), 297);
        }
}

START_TEST(common_paper) { expect_common_paper(draw_example(examples[_i])); }
END_TEST

START_TEST(small_text_is_readable)
{
    set *s = draw_example("heron");
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++)
            for (size_t k = 0; k < s->sheets[i].pages[p]->shapes.n; k++) {
                const shape *at = &s->sheets[i].pages[p]->shapes.at[k];
                if (at->type == SHAPE_TEXT) ck_assert_double_ge(at->height_mm, 2.5);
            }
}
END_TEST

START_TEST(ids_are_unique)
{
    set *s = draw_example(examples[_i]);
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++) {
            const scene *page = s->sheets[i].pages[p];
            int depth = 0;
            for (size_t k = 0; k < page->shapes.n; k++) {
                const shape *at = &page->shapes.at[k];
                depth += (at->type == SHAPE_GROUP_OPEN) - (at->type == SHAPE_GROUP_CLOSE);
                for (size_t m = 0; at->type == SHAPE_GROUP_OPEN && at->id && m < k; m++)
                    if (page->shapes.at[m].type == SHAPE_GROUP_OPEN && page->shapes.at[m].id)
                        ck_assert_str_ne(page->shapes.at[m].id, at->id);
            }
            ck_assert_int_eq(depth, 0);
        }
}
END_TEST

/* The diagram carries each wire; the connection list each end; the labels two sleeves each. */
START_TEST(every_wire_at_both_ends)
{
    set *s = draw_example(examples[_i]);
    const van *v = s->study.van;
    const sheet *diagram = sheet_by(s, SHEET_DIAGRAM), *list = sheet_by(s, SHEET_CONNECTIONS),
                *labels = sheet_by(s, SHEET_LABELS);
    for (int w = 0; w < v->n_wires; w++) {
        const char *label = v->wires[w].label;
        ck_assert_msg(count_texts(diagram, label) >= 1, "%s is not on the diagram", label);
        ck_assert_msg(count_texts(list, label) == 2, "%s: %d ends on the list", label, count_texts(list, label));
        ck_assert_msg(count_texts(labels, label) == 2, "%s has not two sleeves", label);
        ck_assert_ptr_nonnull(
            strstr(list->csv, arena_printf(a, "\n%s,%s,%s,", label, v->terminals[v->wires[w].from].name,
                                           v->terminals[v->wires[w].to].name)));
    }
}
END_TEST

START_TEST(every_page_says_what_it_is)
{
    set *s = draw_example("heron");
    int n_pages = 0, number = 0;
    for (int i = 0; i < s->n; i++) n_pages += s->sheets[i].n_pages;
    for (int i = 0; i < s->n; i++)
        for (int p = 0; p < s->sheets[i].n_pages; p++) {
            sheet page = {.pages = &s->sheets[i].pages[p], .n_pages = 1};
            ck_assert_int_eq(count_texts(&page, "Heron"), 1);
            ck_assert_int_eq(count_texts(&page, "2026-11-25"), 1);
            ck_assert_int_eq(count_texts(&page, "heron.yaml"), 1);
            ck_assert_int_eq(count_texts(&page, arena_printf(a, "sheet %d of %d", ++number, n_pages)), 1);
            ck_assert_int_ge(count_texts(&page, "Mains voltage from an inverter or a shore supply can kill. Work on "
                                                "that side is for licensed people."),
                             1);
        }
}
END_TEST

START_TEST(backs_of_panels)
{
    set *s = draw_example("heron");
    const van *v = s->study.van;
    ck_assert_int_gt(v->n_panels, 1);
    int n_panels = 0;
    for (int i = 0; i < s->n; i++) {
        if (s->sheets[i].id != SHEET_PANEL) continue;
        ck_assert_int_eq(count_texts(&s->sheets[i], "SEEN FROM BEHIND"), s->sheets[i].n_pages);
        n_panels++;
    }
    ck_assert_int_eq(n_panels, v->n_panels);
    const sheet *back = sheet_by(s, SHEET_PANEL);
    ck_assert_str_eq(back->name, "panel-sampling-wall");
    ck_assert_int_ge(count_texts(back, "open on purpose"), 1);
    /* Mirrored: the first of the file stands furthest right in its row. */
    double first = 0, second = 0;
    const scene *page = back->pages[0];
    for (size_t i = 0; i + 1 < page->shapes.n; i++) {
        const shape *at = &page->shapes.at[i];
        if (at->type != SHAPE_GROUP_OPEN || !at->id) continue;
        if (strcmp(at->id, "item-pump-switch") == 0) first = page->shapes.at[i + 1].points[0].x_mm;
        if (strcmp(at->id, "item-pump-choice") == 0) second = page->shapes.at[i + 1].points[0].x_mm;
    }
    ck_assert_double_gt(first, second);
    ck_assert_double_gt(second, 0);
}
END_TEST

/* The front carries each device of its panel, with the words of all its positions. */
START_TEST(fronts_of_panels)
{
    set *s = draw_example("heron");
    const van *v = s->study.van;
    int n_fronts = 0;
    for (int k = 0; k < s->n; k++) {
        if (s->sheets[k].id != SHEET_FRONT) continue;
        const char *panel = v->panels[n_fronts++];
        ck_assert_str_eq(s->sheets[k].title, arena_printf(a, "Front of panel: %s", panel));
        int n_switches = 0;
        for (int i = 0; i < v->n_items; i++) {
            if (!v->items[i].panel || strcmp(v->items[i].panel, panel) != 0) continue;
            bool has_off = kind_position(item_kind(v, i), "off") >= 0;
            ck_assert_int_ge(count_texts(&s->sheets[k], v->items[i].name), 1);
            n_switches += has_off && v->items[i].n_positions > 0;
        }
        ck_assert_int_eq(count_texts(&s->sheets[k], "off"), n_switches);
        ck_assert_int_gt(n_switches, 0);
    }
    ck_assert_int_eq(n_fronts, v->n_panels);
}
END_TEST

/* Returns come first, the fuses last, the battery's own fuse last of all. */
START_TEST(order_of_work)
{
    const sheet *list = sheet_by(draw_example("heron"), SHEET_CONNECTIONS);
    static const char *const in_order[] = {"Main return bar",
                                           "Tank pump",
                                           "Pumps",
                                           "Feed bar",
                                           "Bench feed fuse",
                                           "Inverter",
                                           "Battery monitor",
                                           "Lab battery",
                                           "Main fuse",
                                           "Last of all: the fuses",
                                           "Sampling wall fuses, slot 1",
                                           "Main fuse"};
    size_t next = 0;
    for (int p = 0; p < list->n_pages; p++)
        for (size_t i = 0; i < list->pages[p]->shapes.n; i++) {
            const shape *at = &list->pages[p]->shapes.at[i];
            if (next < sizeof in_order / sizeof *in_order && at->type == SHAPE_TEXT &&
                strcmp(at->text, in_order[next]) == 0)
                next++;
        }
    ck_assert_msg(next == sizeof in_order / sizeof *in_order, "%s does not come in its turn", in_order[next]);
}
END_TEST

static const char tiny[] =
    "loomwall: 1\nname: Tiny\npractice: europe\nconditions: {hottest: 40 degC, coldest: -10 degC}\n"
    "items:\n  bank: {kind: battery, capacity: 100 Ah}\n  link: {kind: fuse, rating: 10 A}\n"
    "  lamp: {kind: led-light, draws: 6 W, name: \"Lamp, \\\"long\\\"\"}\n"
    "wires:\n  A1: {from: bank.pos, to: link.in, length: 1 m, size: 2.5 mm2, colour: red}\n"
    "  A2: {from: link.out, to: lamp.pos, length: 2 m, size: 2.5 mm2, colour: red}\n"
    "  B1: {from: lamp.neg, to: bank.neg, length: 3 m, size: 1.5 mm2, colour: black}\n";

/* By hand: red 2.5 mm2: (1 m + 2 m) * 1.1 + 2 * 0.2 m = 3.7 m, up to 4 m; black: 3 * 1.1 + 0.2 = 3.5 m. */
START_TEST(buying_adds_up)
{
    const sheet *list = sheet_by(draw("tiny.yaml", tiny), SHEET_BUYING);
    const char *red = strstr(list->csv, "Conductor,\"2.5 mm2, stranded, red"),
               *black = strstr(list->csv, "Conductor,\"1.5 mm2, stranded, black");
    ck_assert_ptr_nonnull(red);
    ck_assert_ptr_nonnull(black);
    ck_assert_ptr_nonnull(strstr(red, "\",4.0,m,\"A1, A2\"\r\n"));
    ck_assert_ptr_nonnull(strstr(black, "\",3.5,m,B1\r\n"));
    ck_assert_ptr_nonnull(strstr(list->csv, "Sleeves,label sleeve,6,piece,"));
    ck_assert_ptr_nonnull(strstr(list->csv, "ring terminal, 2.5 mm2\",1,piece,A1\r\n"));
}
END_TEST

START_TEST(csv_quoting)
{
    sink out = sink_in(a);
    csv_row(&out, 4, (const char *[]){"plain", "a,b", "say \"x\"", "two\nlines"});
    ck_assert_str_eq(sink_text(&out), "plain,\"a,b\",\"say \"\"x\"\"\",\"two\nlines\"\r\n");
}
END_TEST

static const char *bytes_of(const set *s)
{
    sink out = sink_in(a);
    for (int i = 0; i < s->n; i++) {
        ck_assert(pdf_write((const scene *const *)s->sheets[i].pages, s->sheets[i].n_pages,
                            &(pdf_info){"t", "l", "s", "2026-11-25"}, &out));
        for (int p = 0; p < s->sheets[i].n_pages; p++) svg_write(s->sheets[i].pages[p], &out);
        if (s->sheets[i].csv) sink_add(&out, s->sheets[i].csv);
    }
    unsigned long long h = 1469598103934665603u; /* FNV-1a */
    for (size_t i = 0; i < out.n; i++) h = (h ^ (unsigned char)out.at[i]) * 1099511628211u;
    return arena_printf(a, "%zu %016llx", out.n, h);
}

START_TEST(same_bytes) { ck_assert_str_eq(bytes_of(draw_example("starling")), bytes_of(draw_example("starling"))); }
END_TEST

/* ---- the build book ---- */

static build_book bind(const char *file, const van *v, paper_series papers)
{
    const study_options in_one_thread = {.n_threads = 1};
    const sheet_options options = {file, "2026-11-25", "C", papers};
    return book_draw(a, f, judge(a, study_run(a, v, &in_one_thread)), &options);
}

static void expect_clean_book(const build_book *b, const char *name, double width_mm, double height_mm)
{
    ck_assert_int_gt(b->n_pages, 6);
    for (int p = 0; p < b->n_pages; p++) {
        const scene *page = b->pages[p];
        const char *trouble = trouble_on(page);
        ck_assert_msg(!*trouble, "%s, page %d: %s", name, p + 1, trouble);
        ck_assert_double_eq_tol(fmin(page->width_mm, page->height_mm), width_mm, 1e-9);
        ck_assert_double_eq_tol(fmax(page->width_mm, page->height_mm), height_mm, 1e-9);
        for (size_t k = 0; k < page->links.n; k++) {
            ck_assert_int_ge(page->links.at[k].page, 1);
            ck_assert_int_le(page->links.at[k].page, b->n_pages);
        }
    }
}

START_TEST(clean_book)
{
    const char *file = arena_printf(a, "%s.yaml", examples[_i]);
    van *v = read_text(file, example_text(examples[_i]));
    build_book on_a4 = bind(file, v, PAPERS_A4), on_letter = bind(file, v, PAPERS_LETTER);
    expect_clean_book(&on_a4, examples[_i], 210, 297);
    expect_clean_book(&on_letter, examples[_i], 215.9, 279.4);
    lengthen(v);
    build_book of_long_names = bind(file, v, PAPERS_A4);
    expect_clean_book(&of_long_names, examples[_i], 210, 297);
}
END_TEST

START_TEST(words)
{
    sheet_id id;
    for (int i = 0; i < N_SHEETS; i++) {
        ck_assert(sheet_of(sheet_word((sheet_id)i), &id));
        ck_assert_int_eq((int)id, i);
    }
    ck_assert(!sheet_of("book", &id));
}
END_TEST

/* ---- vans that nobody would build ---- */

static unsigned roll(unsigned long long *state, unsigned n)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
    return (unsigned)(*state >> 33) % n;
}

typedef struct piece {
    const char *text;
    const char *terminals[6];
} piece;

static const piece pieces[] = {
    {"battery, capacity: 100 Ah", {"pos", "neg"}},
    {"fuse, rating: 10 A", {"in", "out"}},
    {"breaker, rating: 10 A", {"in", "out"}},
    {"fuse-block, slots: [5 A, 10 A, 3 A]", {"in", "1", "2", "3"}},
    {"busbar, studs: 5", {"1", "2", "3", "4", "5"}},
    {"joint", {"1", "2", "3"}},
    {"shunt", {"battery", "load"}},
    {"chassis", {"stud"}},
    {"switch, panel: wall", {"feed", "out"}},
    {"lit-switch, panel: wall", {"feed", "out", "lamp-return"}},
    {"changeover, panel: wall", {"common", "a", "b"}},
    {"relay", {"coil-pos", "coil-neg", "common", "open", "closed"}},
    {"low-side-dimmer", {"pos", "neg", "load-neg"}},
    {"led-light, draws: 5 W", {"pos", "neg"}},
    {"pump, draws: 4 A, name: A pump with a name that is rather long", {"pos", "neg"}},
    {"heater, draws: 60 W", {"pos", "neg"}},
    {"dc-charger, gives: 20 A", {"in-pos", "in-neg", "out-pos", "out-neg"}},
    {"inverter, rating: 500 W", {"pos", "neg", "line", "neutral", "earth"}},
};
enum { n_pieces = sizeof pieces / sizeof *pieces };

static const char *random_text(unsigned long long seed, int n_items, int n_wires)
{
    unsigned long long state = seed * 7919 + 17;
    sink out = sink_in(a);
    int *kinds = ARENA_ARRAY(a, int, (size_t)n_items);
    sink_add(&out, "loomwall: 1\nname: Random\npractice: north-america\nconditions: {hottest: 40 degC, coldest: 0 "
                   "degC}\nitems:\n");
    for (int i = 0; i < n_items; i++) {
        kinds[i] = i == 0 ? 0 : (int)roll(&state, n_pieces);
        sink_printf(&out, "  item-%d: {kind: %s}\n", i, pieces[kinds[i]].text);
    }
    sink_add(&out, "wires:\n");
    for (int w = 0; w < n_wires; w++) {
        int ends[2];
        const char *names[2];
        for (int e = 0; e < 2; e++) {
            ends[e] = (int)roll(&state, (unsigned)n_items);
            int n = 0;
            while (n < 6 && pieces[kinds[ends[e]]].terminals[n]) n++;
            names[e] = pieces[kinds[ends[e]]].terminals[roll(&state, (unsigned)n)];
        }
        if (ends[0] == ends[1]) continue;
        sink_printf(&out, "  W%d: {from: item-%d.%s, to: item-%d.%s, length: 1 m, size: 12 AWG}\n", w, ends[0],
                    names[0], ends[1], names[1]);
    }
    return sink_text(&out);
}

/* ---- scenes for the screen ---- */

static const scene *draw_screen(const van *v, const char *id)
{
    study *s = study_outline(a, v);
    int n;
    const screen *all = screens_of(a, v, &n);
    for (int i = 0; i < n; i++)
        if (strcmp(all[i].id, id) == 0) return screen_draw(a, f, s, &all[i]);
    ck_abort_msg("no scene %s", id);
    return NULL;
}

/* The group of that id, which is there exactly once: the index of its first shape. */
static size_t group_of(const scene *s, const char *prefix, const char *name)
{
    const char *id = scene_id(a, prefix, name);
    size_t found = 0;
    int n = 0;
    for (size_t i = 0; i < s->shapes.n; i++) {
        const shape *at = &s->shapes.at[i];
        if (at->type != SHAPE_GROUP_OPEN || !at->id || strcmp(at->id, id) != 0) continue;
        found = i + 1;
        n++;
    }
    ck_assert_msg(n == 1, "%s is there %d times", id, n);
    return found;
}

static bool has_role(const shape *at, const char *role) { return at->role && strcmp(at->role, role) == 0; }

/* Does one of the circles of a terminal stand at that point? */
static bool is_at_terminal(const scene *s, const char *terminal, point p)
{
    for (size_t i = group_of(s, "terminal", terminal); s->shapes.at[i].type == SHAPE_CIRCLE; i++)
        if (hypot(s->shapes.at[i].at.x_mm - p.x_mm, s->shapes.at[i].at.y_mm - p.y_mm) < 0.1) return true;
    return false;
}

static void expect_circles(const scene *s, const van *v)
{
    for (int t = 0; t < v->n_terminals; t++) {
        size_t i = group_of(s, "terminal", v->terminals[t].name);
        ck_assert_int_eq(s->shapes.at[i].type, SHAPE_CIRCLE);
        for (; s->shapes.at[i].type == SHAPE_CIRCLE; i++) {
            const shape *at = &s->shapes.at[i];
            ck_assert(has_role(at, "hit"));
            ck_assert_msg(at->radius_mm > 0.5 && at->radius_mm <= 3.5, "%s: %g mm", v->terminals[t].name,
                          at->radius_mm);
            ck_assert(at->at.x_mm > 0 && at->at.x_mm < s->width_mm && at->at.y_mm > 0 && at->at.y_mm < s->height_mm);
        }
        ck_assert_int_eq(s->shapes.at[i].type, SHAPE_GROUP_CLOSE);
    }
}

static void expect_runs(const scene *s, const van *v)
{
    for (int w = 0; w < v->n_wires; w++) {
        const wire *at = &v->wires[w];
        const shape *run = &s->shapes.at[group_of(s, "wire", at->label)];
        ck_assert_msg(run->type == SHAPE_PATH && has_role(run, "run") && run->n_points >= 2, "%s has no run",
                      at->label);
        ck_assert_msg(is_at_terminal(s, v->terminals[at->from].name, run->points[0]), "%s: from", at->label);
        ck_assert_msg(is_at_terminal(s, v->terminals[at->to].name, run->points[run->n_points - 1]), "%s: to",
                      at->label);
        for (const shape *other = run + 1; other->type != SHAPE_GROUP_CLOSE; other++)
            ck_assert(!has_role(other, "run"));
    }
}

/* Groups of positions of an item: each of its positions once, the first at rest. */
static void expect_positions(const scene *s, const van *v, int i)
{
    const item *it = &v->items[i];
    bool is_dial = item_kind(v, i)->dial >= 0;
    int n = 0, n_rest = 0, depth = 1;
    for (size_t k = group_of(s, "item", it->id); depth; k++) {
        const shape *at = &s->shapes.at[k];
        depth += (at->type == SHAPE_GROUP_OPEN) - (at->type == SHAPE_GROUP_CLOSE);
        if (at->type != SHAPE_GROUP_OPEN || !at->role || strncmp(at->role, "position ", 9) != 0) continue;
        const char *word = position_text(v, i, it->positions[n], a);
        ck_assert_str_eq(at->role, arena_printf(a, "position position-%s%s", word, n ? "" : " rest"));
        n++;
        n_rest += strstr(at->role, " rest") != NULL;
    }
    ck_assert_msg(n == (is_dial ? 0 : it->n_positions), "%s shows %d positions of %d", it->id, n, it->n_positions);
    ck_assert_int_eq(n_rest, n > 0);
}

static bool shines(const kind *k)
{
    for (int e = 0; e < k->n_elements; e++)
        if (k->elements[e].type == ELEMENT_LAMP) return true;
    return strcmp(k->name, "led-light") == 0;
}

static void expect_lamp(const scene *s, const char *id)
{
    int n_rays = 0, depth = 1;
    for (size_t k = group_of(s, "lamp", id); depth; k++) {
        depth += (s->shapes.at[k].type == SHAPE_GROUP_OPEN) - (s->shapes.at[k].type == SHAPE_GROUP_CLOSE);
        n_rays += s->shapes.at[k].type == SHAPE_GROUP_OPEN && has_role(&s->shapes.at[k], "rays");
    }
    ck_assert_int_eq(n_rays, 1);
}

/* What a scene shows while every item stands in its n-th position (or its last). */
static const scene *shown(const scene *s, int position)
{
    scene *out = ARENA_NEW(a, scene);
    *out = *s;
    out->shapes.at = ARENA_ARRAY(a, shape, s->shapes.n);
    out->shapes.n = 0;
    int depth = 0, hidden_from = -1, n = 0;
    for (size_t i = 0; i < s->shapes.n; i++) {
        const shape *at = &s->shapes.at[i];
        bool is_position = at->type == SHAPE_GROUP_OPEN && at->role && strncmp(at->role, "position ", 9) == 0;
        if (is_position) n = strstr(at->role, " rest") ? 0 : n + 1;
        if (is_position && n != position && hidden_from < 0) hidden_from = depth;
        depth += at->type == SHAPE_GROUP_OPEN;
        if (hidden_from < 0) *ARRAY_ADD(a, &out->shapes) = *at;
        depth -= at->type == SHAPE_GROUP_CLOSE;
        if (at->type == SHAPE_GROUP_CLOSE && depth == hidden_from) hidden_from = -1;
    }
    return out;
}

static void expect_diagram(const char *name, const van *v)
{
    const scene *s = draw_screen(v, "diagram");
    ck_assert(s->is_screen);
    expect_circles(s, v);
    expect_runs(s, v);
    for (int i = 0; i < v->n_items; i++) {
        expect_positions(s, v, i);
        if (shines(item_kind(v, i))) expect_lamp(s, v->items[i].id);
    }
    for (int position = 0; position < 3; position++) {
        const char *trouble = trouble_on(shown(s, position));
        ck_assert_msg(!*trouble, "%s: %s", name, trouble);
    }
}

static int count_items(const scene *s)
{
    int n = 0;
    for (size_t i = 0; i < s->shapes.n; i++)
        n += s->shapes.at[i].type == SHAPE_GROUP_OPEN && s->shapes.at[i].id &&
             strncmp(s->shapes.at[i].id, "item-", 5) == 0;
    return n;
}

/* Every panel has its front and its back, with its items and no others; what a hand moves and no panel carries has a front of its
 * own. Targets are 12 mm and more. */
START_TEST(screens_of_panels)
{
    const van *v = read_text("x.yaml", example_text(examples[_i]));
    int n, n_panels = 0;
    const screen *all = screens_of(a, v, &n);
    for (int k = 0; k < n; k++) {
        if (all[k].form == SCREEN_DIAGRAM) continue;
        const scene *s = draw_screen(v, all[k].id);
        int n_items = 0;
        for (int i = 0; i < v->n_items; i++) {
            const char *its = v->items[i].panel;
            bool is_moved = v->items[i].n_positions > 0 && kind_coil(item_kind(v, i)) < 0;
            if (all[k].panel ? !its || strcmp(its, all[k].panel) != 0 : its || !is_moved) continue;
            n_items++;
            size_t at = group_of(s, "item", v->items[i].id);
            if (all[k].form == SCREEN_BACK) {
                for (int t = 0; t < v->items[i].n_terminals; t++)
                    group_of(s, "terminal", v->terminals[v->items[i].first_terminal + t].name);
                continue;
            }
            expect_positions(s, v, i);
            if (shines(item_kind(v, i))) expect_lamp(s, v->items[i].id);
            const shape *plate = &s->shapes.at[at];
            ck_assert(has_role(plate, "plate") && plate->points[2].x_mm - plate->points[0].x_mm > 12);
        }
        ck_assert_int_eq(count_items(s), n_items);
        n_panels += all[k].panel != NULL;
        for (int position = 0; position < 3; position++) {
            const char *trouble = trouble_on(shown(s, position));
            ck_assert_msg(!*trouble, "%s, %s: %s", examples[_i], all[k].id, trouble);
        }
    }
    ck_assert_int_eq(n_panels, 2 * v->n_panels);
}
END_TEST

/* A van of which nothing is connected yet, and one whose size and length are open. */
START_TEST(screens_of_beginnings)
{
    const char *loose =
        "loomwall: 1\npractice: europe\nitems:\n  bank: {kind: battery, capacity: 100 Ah}\n  tap: {kind: "
        "lit-switch}\n  bar: {kind: busbar, studs: 40}\n  fuses: {kind: fuse-block, slots: [5 A, 10 A]}\n"
        "  body: {kind: chassis}\n  lamp: {kind: led-light, draws: 3 W}\n";
    expect_diagram("nothing connected", read_text("x.yaml", loose));
    const char *open = arena_printf(a, "%swires:\n  A: {from: bank.pos, to: fuses.in}\n", loose);
    const van *v = read_text("x.yaml", open);
    expect_diagram("one wire", v);
    sheet page = {.pages = (scene *[]){(scene *)draw_screen(v, "diagram")}, .n_pages = 1};
    ck_assert_int_eq(count_texts(&page, "auto, length auto"), 1);
    ck_assert_int_eq(count_texts(&page, "Not connected yet"), 1);
}
END_TEST

START_TEST(screens_with_long_names)
{
    van *v = read_text("x.yaml", example_text(examples[_i]));
    lengthen(v);
    expect_diagram(examples[_i], v);
}
END_TEST

static const char *screen_bytes(const char *text)
{
    sink out = sink_in(a);
    svg_write(draw_screen(read_text("x.yaml", text), "diagram"), &out);
    return sink_text(&out);
}

START_TEST(screens_have_the_same_bytes)
{
    const char *first = screen_bytes(example_text("heron"));
    ck_assert_str_eq(first, screen_bytes(example_text("heron")));
    sink style = sink_in(a);
    svg_style_screen(&style);
    ck_assert_ptr_nonnull(strstr(first, sink_text(&style)));
    ck_assert_ptr_nonnull(strstr(first, "<g id=\"item-pump-switch\" class=\"item switch\">"));
    ck_assert_ptr_nonnull(strstr(first, "class=\"s-none f-none w-thin hit\""));
}
END_TEST

START_TEST(screens_of_examples) { expect_diagram(examples[_i], read_text("x.yaml", example_text(examples[_i]))); }
END_TEST

START_TEST(screens_of_random_vans)
{
    for (unsigned seed = (unsigned)_i * 12; seed < (unsigned)_i * 12 + 12; seed++) {
        const int n_items = 3 + (int)seed % 22;
        expect_diagram(arena_printf(a, "random van %u", seed),
                       read_text("random.yaml", random_text(seed, n_items, n_items + n_items / 3)));
    }
}
END_TEST

/* Wired at random, swapped poles and many wires on a terminal: drawn all the same, with every wire on it, and
 * nothing on anything. */
START_TEST(random_vans)
{
    for (unsigned seed = (unsigned)_i * 12; seed < (unsigned)_i * 12 + 12; seed++) {
        const int n_items = 3 + (int)seed % 22;
        const char *name = arena_printf(a, "random van %u", seed);
        set *s = draw("random.yaml", random_text(seed, n_items, n_items + n_items / 3));
        const sheet *diagram = sheet_by(s, SHEET_DIAGRAM);
        for (int w = 0; w < s->study.van->n_wires; w++) {
            const char *label = s->study.van->wires[w].label;
            ck_assert_msg(count_texts(diagram, label) >= 1, "%s: %s is missing", name, label);
        }
        expect_clean(s, name);
    }
}
END_TEST

/* Three hundred circuits: a long roll of pages, in reasonable time. */
START_TEST(many_circuits)
{
    sink out = sink_in(a);
    int n = 300;
    sink_add(&out,
             "loomwall: 1\nname: Many\npractice: europe\nconditions: {hottest: 40 degC, coldest: 0 degC}\nitems:\n"
             "  bank: {kind: battery, capacity: 100 Ah}\n  link: {kind: fuse, rating: 100 A}\n");
    for (int i = 0; i < n; i++) {
        if (i % 50 == 0)
            sink_printf(&out, "  bar-%d: {kind: busbar, studs: 60}\n  low-%d: {kind: busbar, studs: 60}\n", i / 50,
                        i / 50);
        sink_printf(&out,
                    "  fuse-%d: {kind: fuse, rating: 5 A}\n  switch-%d: {kind: switch}\n  lamp-%d: {kind: led-light, "
                    "draws: 3 W}\n",
                    i, i, i);
    }
    sink_add(
        &out,
        "wires:\n  M1: {from: bank.pos, to: link.in, length: 1 m}\n  M2: {from: link.out, to: bar-0.60, length: 1 m}\n"
        "  M3: {from: bank.neg, to: low-0.60, length: 1 m}\n");
    for (int i = 1; i < n / 50; i++)
        sink_printf(&out,
                    "  F%d: {from: bar-0.%d, to: bar-%d.60, length: 1 m}\n  G%d: {from: low-0.%d, to: low-%d.60, "
                    "length: 1 m}\n",
                    i, 50 + i, i, i, 50 + i, i);
    for (int i = 0; i < n; i++)
        sink_printf(&out,
                    "  P%d: {from: bar-%d.%d, to: fuse-%d.in, length: 1 m}\n  Q%d: {from: fuse-%d.out, to: "
                    "switch-%d.feed, length: 1 m}\n"
                    "  R%d: {from: switch-%d.out, to: lamp-%d.pos, length: 1 m}\n  N%d: {from: lamp-%d.neg, to: "
                    "low-%d.%d, length: 1 m}\n",
                    i, i / 50, i % 50 + 1, i, i, i, i, i, i, i, i, i, i / 50, i % 50 + 1);
    set *s = draw("many.yaml", sink_text(&out));
    ck_assert_int_eq(crossings_of(s), 0);
    expect_common_paper(s);
    ck_assert_int_gt(sheet_by(s, SHEET_DIAGRAM)->n_pages, 10);
}
END_TEST

int main(int argc, char **argv)
{
    if (argc < 2) return 99;
    examples_folder = argv[1];
    Suite *suite = suite_create("sheets");
    TCase *t = tcase_create("sheets");
    tcase_add_checked_fixture(t, start, finish);
    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, nothing_lies_on_anything, 0, n_examples);
    tcase_add_loop_test(t, long_names, 0, n_examples);
    tcase_add_loop_test(t, no_crossings, 0, 3);
    tcase_add_loop_test(t, common_paper, 0, n_examples);
    tcase_add_test(t, small_text_is_readable);
    tcase_add_loop_test(t, ids_are_unique, 0, n_examples);
    tcase_add_loop_test(t, every_wire_at_both_ends, 0, n_examples);
    tcase_add_test(t, every_page_says_what_it_is);
    tcase_add_test(t, backs_of_panels);
    tcase_add_test(t, fronts_of_panels);
    tcase_add_test(t, order_of_work);
    tcase_add_test(t, buying_adds_up);
    tcase_add_test(t, csv_quoting);
    tcase_add_test(t, same_bytes);
    tcase_add_loop_test(t, clean_book, 0, n_examples);
    tcase_add_test(t, words);
    tcase_add_loop_test(t, random_vans, 0, fewer(6));
    tcase_add_test(t, many_circuits);
    tcase_add_loop_test(t, screens_of_examples, 0, n_examples);
    tcase_add_loop_test(t, screens_of_panels, 0, n_examples);
    tcase_add_loop_test(t, screens_with_long_names, 0, n_examples);
    tcase_add_test(t, screens_of_beginnings);
    tcase_add_test(t, screens_have_the_same_bytes);
    tcase_add_loop_test(t, screens_of_random_vans, 0, fewer(6));
    suite_add_tcase(suite, t);
    return tap_run(suite);
}
