/* Scenes and their writers: the same bytes, sound XML, true scale, no silent font. */
#include "draw/pdf.h"
#include "draw/svg.h"

#include "overlaps.h"
#include "tap.h"
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static arena *a;
static const fonts *f;
static char folder[] = "/tmp/test-draw-XXXXXX";

static void start(void)
{
    const char *missing = "";
    a = arena_create();
    f = fonts_open(a, &missing);
    ck_assert_msg(f != NULL, "font %s is missing", missing);
}

static void finish(void) { arena_destroy(a); }

static pen ink_pen(void) { return (pen){INK_INK, INK_NONE, LINE_NORMAL, DASH_NONE}; }

static scene *some_scene(double width_mm, double height_mm)
{
    scene *s = scene_create(a, f, width_mm, height_mm, "A <b> & \"c\"", "says");
    scene_open(s, scene_id(a, "wire", "P3"), "wire feed", "P3: a & b");
    scene_line(s, ink_pen(), 20, 50, 120, 50);
    scene_text(s, 22, 40, TEXT_SMALL, FACE_MONO_BOLD, ANCHOR_START, INK_INK, "P3 < & > \x01");
    scene_close(s);
    scene_circle(s, ink_pen(), 60, 80, 4);
    scene_arc(s, ink_pen(), 80, 80, 4, 180, 360);
    scene_rect(s, (pen){INK_FEED, INK_PAPER, LINE_HEAVY, DASH_DASHED}, 30, 90, 20, 10);
    return s;
}

static const char *pdf_of(const scene *const *pages, int n, const char *date)
{
    sink out = sink_in(a);
    const pdf_info info = {"t", "loomwall", "s", date};
    ck_assert(pdf_write(pages, n, &info, &out));
    char *path = arena_printf(a, "%s/x.pdf", folder);
    FILE *file = fopen(path, "wb");
    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(out.at, 1, out.n, file), out.n);
    ck_assert_int_eq(fclose(file), 0);
    return path;
}

static const char *output_of(const char *command)
{
    sink out = sink_in(a);
    char part[4096];
    FILE *p = popen(command, "r");
    ck_assert_ptr_nonnull(p);
    for (size_t n; (n = fread(part, 1, sizeof part, p)) > 0;) sink_add_n(&out, part, n);
    ck_assert_msg(pclose(p) == 0, "failed: %s", command);
    return sink_text(&out);
}

START_TEST(same_bytes)
{
    sink svg[2] = {sink_in(a), sink_in(a)}, pdf[2] = {sink_in(a), sink_in(a)}, other = sink_in(a);
    for (int i = 0; i < 2; i++) {
        const scene *s = some_scene(210, 297);
        svg_write(s, &svg[i]);
        ck_assert(pdf_write(&s, 1, &(pdf_info){"t", "l", "s", "2026-11-25"}, &pdf[i]));
    }
    ck_assert_str_eq(svg[0].at, svg[1].at);
    ck_assert_uint_eq(pdf[0].n, pdf[1].n);
    ck_assert_mem_eq(pdf[0].at, pdf[1].at, pdf[0].n);
    const scene *s = some_scene(210, 297);
    ck_assert(pdf_write(&s, 1, &(pdf_info){"t", "l", "s", "2026-11-26"}, &other));
    ck_assert(other.n != pdf[0].n || memcmp(other.at, pdf[0].at, other.n) != 0); /* the date is in it */
}
END_TEST

START_TEST(svg_is_sound)
{
    sink out = sink_in(a);
    svg_write(some_scene(210, 297), &out);
    char *path = arena_printf(a, "%s/x.svg", folder);
    FILE *file = fopen(path, "wb");
    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(out.at, 1, out.n, file), out.n);
    ck_assert_int_eq(fclose(file), 0);
    const char *said = output_of(arena_printf(
        a,
        "python3 -c 'import sys,xml.dom.minidom as m; d=m.parse(sys.argv[1]); "
        "print([t.firstChild.data for t in d.getElementsByTagName(\"text\")], [g.getAttribute(\"id\") for g in "
        "d.getElementsByTagName(\"g\")])' %s",
        path));
    ck_assert_str_eq(said, "['P3 < & > \xEF\xBF\xBD'] ['wire-P3']\n");
    ck_assert_ptr_nonnull(strstr(out.at, "width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""));
    ck_assert_ptr_nonnull(strstr(out.at, "@media screen and (prefers-color-scheme:dark)")); /* print stays on white */
    ck_assert_ptr_nonnull(strstr(out.at, "<title>P3: a &amp; b</title>"));
}
END_TEST

START_TEST(pdf_pages)
{
    const scene *pages[] = {some_scene(210, 297), some_scene(420, 297)};
    const char *path = pdf_of(pages, 2, "2026-11-25");
    const char *said = output_of(arena_printf(a, "TZ=UTC pdfinfo -f 1 -l 2 %s", path));
    ck_assert_ptr_nonnull(strstr(said, "Pages:           2"));
    ck_assert_ptr_nonnull(strstr(said, "Page    1 size:  595.276 x 841.89 pts (A4)"));
    ck_assert_ptr_nonnull(strstr(said, "Page    2 size:  1190.55 x 841.89 pts (A3)"));
    ck_assert_ptr_nonnull(strstr(said, "Wed Nov 25 00:00:00 2026 UTC"));
    ck_assert_ptr_nonnull(strstr(output_of(arena_printf(a, "pdftotext %s -", path)), "P3 < & >"));
    ck_assert_ptr_nonnull(strstr(output_of(arena_printf(a, "pdffonts %s", path)), "B612Mono"));
}
END_TEST

/* At 254 dots an inch a dot is 0.1 mm: the line from 20 to 120 mm must be 1000 dots long. */
START_TEST(true_to_scale)
{
    const scene *s = some_scene(210, 297);
    const char *path = pdf_of(&s, 1, "2026-11-25");
    output_of(arena_printf(a, "pdftoppm -r 254 -gray -singlefile %s %s/x", path, folder));
    FILE *file = fopen(arena_printf(a, "%s/x.pgm", folder), "rb");
    int width, height, top;
    ck_assert_int_eq(fscanf(file, "P5 %d %d %d", &width, &height, &top), 3);
    fgetc(file);
    ck_assert_int_ge(width, 2100); /* pdftoppm rounds up */
    ck_assert_int_le(width, 2101);
    unsigned char *row = ARENA_ARRAY(a, unsigned char, (size_t)width);
    for (int y = 0; y <= 500; y++) ck_assert_uint_eq(fread(row, 1, (size_t)width, file), (size_t)width);
    fclose(file);
    int first = -1, last = -1;
    for (int x = 0; x < width; x++)
        if (row[x] < 128) {
            if (first < 0) first = x;
            last = x;
        }
    ck_assert_int_ge(last - first + 1, 999);
    ck_assert_int_le(last - first + 1, 1001);
    ck_assert_int_ge(first, 199);
    ck_assert_int_le(first, 201);
}
END_TEST

START_TEST(text_widths)
{
    double one = fonts_width_mm(f, FACE_MONO, 2.5, "0"), ten = fonts_width_mm(f, FACE_MONO, 2.5, "Il1O0P3/AW");
    ck_assert_double_eq_tol(ten, 10 * one, 1e-6); /* a mono face */
    ck_assert_double_eq_tol(fonts_width_mm(f, FACE_SANS, 5, "pump"), 2 * fonts_width_mm(f, FACE_SANS, 2.5, "pump"),
                            1e-9);
    ck_assert_double_gt(fonts_width_mm(f, FACE_SANS, 2.5, "mmm"), fonts_width_mm(f, FACE_SANS, 2.5, "iii"));
}
END_TEST

START_TEST(ids_are_unique)
{
    ck_assert_str_eq(scene_id(a, "wire", "P3"), "wire-P3");
    ck_assert_str_ne(scene_id(a, "wire", "a b"), scene_id(a, "wire", "a_b"));
    ck_assert_str_ne(scene_id(a, "wire", "a_20_b"), scene_id(a, "wire", "a b"));
}
END_TEST

START_TEST(enlarging)
{
    scene *s = some_scene(210, 297);
    scene_enlarge(s, (point){20, 50}, 2);
    const shape *line = &s->shapes.at[1];
    ck_assert_double_eq_tol(line->points[0].x_mm, 20, 1e-12);
    ck_assert_double_eq_tol(line->points[1].x_mm, 220, 1e-12);
    ck_assert_double_eq_tol(s->shapes.at[2].height_mm, 5, 1e-12);
    ck_assert_int_eq(line->pen.width, LINE_NORMAL);
}
END_TEST

/* The finder of overlaps must find: a test of sheets that relies on it would else prove nothing. */
START_TEST(overlaps_are_found)
{
    scene *s = some_scene(210, 297);
    ck_assert_int_eq(overlaps_in(s).n_text_on_line, 0);
    ck_assert_int_eq(overlaps_in(s).n_text_on_text, 0);
    scene_text(s, 22, 51, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, "on the line");
    ck_assert_int_eq(overlaps_in(s).n_text_on_line, 1);
    scene_text(s, 24, 41, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, "on the label");
    ck_assert_int_eq(overlaps_in(s).n_text_on_text, 1);
    scene_text(s, 200, 20, TEXT_SMALL, FACE_SANS, ANCHOR_START, INK_INK, "over the edge of it");
    ck_assert_int_eq(overlaps_in(s).n_text_off_page, 1);
    scene_open(s, "wire-P4", "wire", NULL);
    scene_line(s, ink_pen(), 70, 45, 70, 60);
    scene_line(s, ink_pen(), 100, 50, 140, 50);
    scene_close(s);
    ck_assert_int_eq(overlaps_in(s).n_crossings, 1);
    ck_assert_int_eq(overlaps_in(s).n_wire_on_wire, 1);
}
END_TEST

int main(void)
{
    if (!mkdtemp(folder)) return 99;
    Suite *suite = suite_create("draw");
    TCase *t = tcase_create("draw");
    tcase_add_checked_fixture(t, start, finish);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, same_bytes);
    tcase_add_test(t, svg_is_sound);
    tcase_add_test(t, pdf_pages);
    tcase_add_test(t, true_to_scale);
    tcase_add_test(t, text_widths);
    tcase_add_test(t, ids_are_unique);
    tcase_add_test(t, enlarging);
    tcase_add_test(t, overlaps_are_found);
    suite_add_tcase(suite, t);
    const int status = tap_run(suite);
    static const char *const left[] = {"x.pdf", "x.svg", "x.pgm"};
    char path[64];
    for (int i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, left[i]);
        unlink(path);
    }
    rmdir(folder);
    return status;
}
