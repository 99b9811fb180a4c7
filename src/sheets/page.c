/* The frame of a page. See page.h. */
#include "sheets/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ISO 5457: 20 mm on the left for filing, 10 mm elsewhere; zones of 50 mm in a band of 5 mm outside the border. */
#define MARGIN_LEFT 20.0
#define MARGIN 10.0
#define ZONE_BAND 5.0
#define ZONE_LENGTH 50.0

#define STRIP_ROW 10.0
#define STRIP_HEIGHT (2 * STRIP_ROW)
#define CAUTION_PITCH 4.2
#define CAUTION_INDENT 7.0
#define LINE_INSET 0.125 /* half a thin line, so that a framed part ends where a full one does */

static const char caution_fire[] =
    "Low voltage, high current: a battery can drive thousands of amperes through a short and set the van on fire. "
    "Keep every fuse out while you work. Fit the fuse at the battery last of all, after every connection is checked.";
static const char caution_mains[] =
    "Mains voltage from an inverter or a shore supply can kill. Work on that side is for licensed people.";
static const char caution_codes[] =
    "Local codes and makers' instructions come first. This sheet shows what the file says and approves nothing.";

static const struct {
    const char *name;
    double width_mm, height_mm;
} papers[N_PAPERS] = {
#define X(NAME, word, width, height) {word, width, height},
    PAPERS(X)
#undef X
};

static bool is_letter(const book *b)
{
    if (b->options->papers == PAPERS_OF_PRACTICE) return b->van->practice == PRACTICE_NORTH_AMERICA;
    return b->options->papers == PAPERS_LETTER;
}

bool paper_step(const book *b, int step, bool is_lying, paper_size *out)
{
    static const paper series[2][5] = {{PAPER_LETTER, PAPER_TABLOID, PAPER_C, PAPER_D, PAPER_E},
                                       {PAPER_A4, PAPER_A3, PAPER_A2, PAPER_A1, PAPER_A0}};
    if (step < 0 || step >= (b->is_one_size ? 1 : 5)) return false;
    paper of = series[is_letter(b) ? 0 : 1][step];
    double w = papers[of].width_mm, h = papers[of].height_mm;
    *out = (paper_size){is_lying ? h : w, is_lying ? w : h, papers[of].name};
    return true;
}

/* A word that is wider than its place is broken after a hyphen or a dot, else after the last letter that fits, so that
 * nothing of it is lost and nothing lies on what stands beside it. */
static size_t breaking_length(const book *b, face f, double height_mm, double width_mm, const char *text, size_t n)
{
    enum { narrowest_mm = 10 }; /* below this the caller asks for single words */
    if (width_mm < narrowest_mm || fonts_width_mm(b->fonts, f, height_mm, arena_text_n(b->arena, text, n)) <= width_mm)
        return n;
    size_t most = 0;
    for (size_t fits = n - 1; fits > 0; fits--) {
        bool is_inside = ((unsigned char)text[fits] & 0xc0) == 0x80; /* of a UTF-8 sequence */
        bool is_joint = text[fits - 1] == '-' || text[fits - 1] == '.';
        if (is_inside || (most && !is_joint)) continue;
        if (!most && fonts_width_mm(b->fonts, f, height_mm, arena_text_n(b->arena, text, fits)) > width_mm) continue;
        if (is_joint && 3 * fits > most) return fits;
        if (!most) most = fits;
    }
    return most ? most : n;
}

lines wrap(const book *b, face f, double height_mm, double width_mm, const char *text)
{
    ARRAY(const char *) out = {0};
    double widest = 0;
    const char *start = text;
    while (*start == ' ') start++;
    while (*start) {
        const char *end = start, *next = start;
        while (*next) {
            while (*next && *next != ' ') next++;
            double width =
                fonts_width_mm(b->fonts, f, height_mm, arena_text_n(b->arena, start, (size_t)(next - start)));
            if (end != start && width > width_mm) break;
            end = next;
            while (*next == ' ') next++;
        }
        end = start + breaking_length(b, f, height_mm, width_mm, start, (size_t)(end - start));
        const char *line = arena_text_n(b->arena, start, (size_t)(end - start));
        *ARRAY_ADD(b->arena, &out) = line;
        widest = fmax(widest, fonts_width_mm(b->fonts, f, height_mm, line));
        start = end;
        while (*start == ' ') start++;
    }
    return (lines){out.at, (int)out.n, widest};
}

double widest_word(const book *b, face f, double height_mm, const char *text)
{
    return wrap(b, f, height_mm, 0, text).width_mm;
}

/* The cautions as lines for this width; the first line of each carries the mark. */
typedef struct caution_line {
    const char *text;
    bool is_first;
} caution_line;
typedef struct cautions {
    caution_line *at;
    int n;
} cautions;

static cautions caution_lines(const book *b, double width_mm)
{
    const char *texts[3];
    int n_texts = 0;
    texts[n_texts++] = caution_fire;
    if (b->has_mains) texts[n_texts++] = caution_mains;
    texts[n_texts++] = caution_codes;
    ARRAY(caution_line) out = {0};
    for (int i = 0; i < n_texts; i++) {
        lines l = wrap(b, FACE_SANS, TEXT_SMALL, width_mm - CAUTION_INDENT - 4, texts[i]);
        for (int k = 0; k < l.n; k++) *ARRAY_ADD(b->arena, &out) = (caution_line){l.at[k], k == 0};
    }
    return (cautions){out.at, (int)out.n};
}

static area border(paper_size size)
{
    return (area){MARGIN_LEFT, MARGIN, size.width_mm - MARGIN, size.height_mm - MARGIN};
}

static double cautions_top(const book *b, paper_size size)
{
    area in = border(size);
    return in.bottom - STRIP_HEIGHT - caution_lines(b, in.right - in.left).n * CAUTION_PITCH - 3;
}

area page_area(const book *b, paper_size size)
{
    area in = border(size);
    return (area){in.left + 4, in.top + 4, in.right - 4, cautions_top(b, size) - 3};
}

/* Zones are counted from the top left; a last piece shorter than half a zone joins the one before. */
static int n_zones(double length_mm)
{
    int n = (int)floor(length_mm / ZONE_LENGTH + 0.5);
    return n < 1 ? 1 : n;
}

static int zone_of(double at_mm, double length_mm)
{
    int n = n_zones(length_mm), z = (int)floor(at_mm / (length_mm / n));
    return z < 0 ? 0 : z >= n ? n - 1 : z;
}

/* I and O are left out: they read as 1 and 0. */
static const char zone_letters[] = "ABCDEFGHJKLMNPQRSTUVWXYZ";

const char *page_zone(const book *b, paper_size size, double x_mm, double y_mm)
{
    area in = border(size);
    return arena_printf(b->arena, "%c%d", zone_letters[zone_of(y_mm - in.top, in.bottom - in.top)],
                        zone_of(x_mm - in.left, in.right - in.left) + 1);
}

scene *page_add(book *b, paper_size size, const char *title, const char *says)
{
    const char *whole = arena_printf(b->arena, "%s: %s", b->van->name, title);
    scene *s = scene_create(b->arena, b->fonts, size.width_mm, size.height_mm, whole, says);
    *ARRAY_ADD(b->arena, &b->pages) = s;
    *ARRAY_ADD(b->arena, &b->scales) = "not to scale";
    return s;
}

static void add_mention(book *b, bool is_wire, int index)
{
    *ARRAY_ADD(b->arena, &b->mentions) = (mention){is_wire, index, (int)b->pages.n - 1};
}

void page_names_item(book *b, int item) { add_mention(b, false, item); }
void page_names_wire(book *b, int wire) { add_mention(b, true, wire); }

static void draw_zones(scene *s, area in)
{
    pen thin = stroke(INK_INK, LINE_THIN);
    int across = n_zones(in.right - in.left), down = n_zones(in.bottom - in.top);
    double width = (in.right - in.left) / across, height = (in.bottom - in.top) / down;
    scene_rect(s, thin, in.left - ZONE_BAND, in.top - ZONE_BAND, in.right - in.left + 2 * ZONE_BAND,
               in.bottom - in.top + 2 * ZONE_BAND);
    for (int i = 0; i < across; i++) {
        char number[12];
        snprintf(number, sizeof number, "%d", i + 1);
        double x = in.left + i * width;
        scene_text(s, x + width / 2, in.top - 1.2, TEXT_SMALL, FACE_SANS, ANCHOR_MIDDLE, INK_INK, number);
        scene_text(s, x + width / 2, in.bottom + 3.8, TEXT_SMALL, FACE_SANS, ANCHOR_MIDDLE, INK_INK, number);
        if (!i) continue;
        scene_line(s, thin, x, in.top - ZONE_BAND, x, in.top);
        scene_line(s, thin, x, in.bottom, x, in.bottom + ZONE_BAND);
    }
    for (int i = 0; i < down; i++) {
        char letter[2] = {zone_letters[i % 24], 0};
        double y = in.top + i * height;
        scene_text(s, in.left - 2.5, y + height / 2 + 1.2, TEXT_SMALL, FACE_SANS, ANCHOR_MIDDLE, INK_INK, letter);
        scene_text(s, in.right + 2.5, y + height / 2 + 1.2, TEXT_SMALL, FACE_SANS, ANCHOR_MIDDLE, INK_INK, letter);
        if (!i) continue;
        scene_line(s, thin, in.left - ZONE_BAND, y, in.left, y);
        scene_line(s, thin, in.right, y, in.right + ZONE_BAND, y);
    }
}

const char *fitted(const book *b, face f, double height_mm, double width_mm, const char *text)
{
    if (fonts_width_mm(b->fonts, f, height_mm, text) <= width_mm) return text;
    size_t n = strlen(text);
    while (n > 0) {
        do n--;
        while (n > 0 && ((unsigned char)text[n] & 0xc0) == 0x80);
        const char *shorter = arena_printf(b->arena, "%.*s…", (int)n, text);
        if (fonts_width_mm(b->fonts, f, height_mm, shorter) <= width_mm) return shorter;
    }
    return "";
}

typedef struct field {
    const char *caption, *text;
    double share;
} field;

static void draw_fields(book *b, scene *s, double left, double right, double y, const field *fields, int n)
{
    pen normal = stroke(INK_INK, LINE_NORMAL);
    double x = left;
    scene_line(s, normal, left, y, right, y);
    for (int i = 0; i < n; i++) {
        double width = (right - left) * fields[i].share;
        if (i) scene_line(s, normal, x, y, x, y + STRIP_ROW);
        scene_text(s, x + 1.5, y + 3.4, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_FAINT, fields[i].caption);
        const char *text = fitted(b, FACE_SANS_BOLD, TEXT_NORMAL, width - 3, fields[i].text);
        scene_text(s, x + 1.5, y + 8.2, TEXT_NORMAL, FACE_SANS_BOLD, ANCHOR_START, INK_INK, text);
        x += width;
    }
}

static void draw_strip(book *b, scene *s, area in, int number, int n_pages)
{
    double top = in.bottom - STRIP_HEIGHT;
    const field first[] = {{"Van", b->van->name, 0.4}, {"Sheet", s->title + strlen(b->van->name) + 2, 0.6}};
    const field second[] = {
        {"File", b->options->file, 0.255},
        {"Revision of file", b->options->revision, 0.15},
        {"Date", b->options->date, 0.18},
        {"Number", arena_printf(b->arena, "sheet %d of %d", number, n_pages), 0.24},
        {"Scale", b->scales.at[number - 1], 0.175},
    };
    scene_open(s, "title-strip", "frame", NULL);
    draw_fields(b, s, in.left, in.right, top, first, 2);
    draw_fields(b, s, in.left, in.right, top + STRIP_ROW, second, 5);
    scene_close(s);
}

void warning_draw(scene *s, double x, double y, double by)
{
    const point corners[] = {{x, y}, {x + 4 * by, y}, {x + 2 * by, y - 3.4 * by}};
    pen p = stroke(INK_INK, by > 1 ? LINE_HEAVY : LINE_NORMAL);
    scene_polyline(s, p, corners, 3, true);
    scene_line(s, p, x + 2 * by, y - 2.3 * by, x + 2 * by, y - 1.1 * by);
    scene_line(s, p, x + 2 * by, y - 0.8 * by, x + 2 * by, y - 0.4 * by);
}

static void draw_cautions(book *b, scene *s, area in, paper_size size)
{
    cautions c = caution_lines(b, in.right - in.left);
    double y = cautions_top(b, size);
    scene_open(s, "cautions", "cautions", "Cautions");
    scene_line(s, stroke(INK_INK, LINE_NORMAL), in.left, y, in.right, y);
    for (int i = 0; i < c.n; i++) {
        y += CAUTION_PITCH;
        if (c.at[i].is_first) warning_draw(s, in.left + 1.5, y + 0.2, 1);
        scene_text(s, in.left + CAUTION_INDENT, y, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, c.at[i].text);
    }
    scene_close(s);
}

/* ---- scale ---- */

void page_scale_bar(book *b, double x_mm, double y_mm)
{
    scene *s = b->pages.at[b->pages.n - 1];
    enum { n_parts = 10 };
    double part = SCALE_BAR_MM / n_parts, height = 2;
    scene_open(s, "scale-bar", "scale-bar", "100 mm");
    for (int i = 0; i < n_parts; i += 2) scene_rect(s, solid(INK_INK), x_mm + i * part, y_mm, part, height);
    for (int i = 1; i < n_parts; i += 2)
        scene_rect(s, paper_box(INK_INK, LINE_THIN), x_mm + i * part, y_mm + LINE_INSET, part - LINE_INSET,
                   height - 2 * LINE_INSET);
    scene_text(s, x_mm, y_mm + height + 1 + TEXT_SMALL, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK,
               "100 mm. Print at full size (100 %) and measure this bar: a print that is not true is not to scale.");
    scene_close(s);
    b->scales.at[b->pages.n - 1] = "1:1";
}

void pages_finish(book *b)
{
    for (size_t i = 0; i < b->pages.n; i++) {
        scene *s = b->pages.at[i];
        paper_size size = {s->width_mm, s->height_mm, ""};
        area in = border(size);
        scene_open(s, "frame", "frame", NULL);
        draw_zones(s, in);
        scene_rect(s, stroke(INK_INK, LINE_HEAVY), in.left, in.top, in.right - in.left, in.bottom - in.top);
        scene_close(s);
        draw_cautions(b, s, in, size);
        draw_strip(b, s, in, (int)i + 1, (int)b->pages.n);
    }
}
