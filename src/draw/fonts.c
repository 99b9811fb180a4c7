/* Text extents through Pango. See fonts.h. */
#include "draw/fonts.h"

#include <assert.h>
#include <pango/pangocairo.h>
#include <stdint.h>
#include <string.h>

/* Measured unhinted at this size and scaled, so that a width does not depend on the height asked for. */
#define MEASURE_EM 1000.0

/* fontconfig keeps its caches to the end of the process without a root that the leak checker sees. */
#if defined(__SANITIZE_ADDRESS__)
#define HAS_LEAK_CHECKER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define HAS_LEAK_CHECKER 1
#endif
#endif
#ifdef HAS_LEAK_CHECKER
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) { return "leak:libfontconfig\nleak:libpangoft2\n"; }
const char *__lsan_default_options(void);
const char *__lsan_default_options(void) { return "print_suppressions=0"; }
#endif

/* Widths that were measured before: a drawing asks for the same words many times over, and shaping them is most of its cost. Of a
 * fixed size, so that nothing is allocated while measuring; a text takes the place of another one with the same slot. */
enum { n_kept = 16384, kept_bytes = 47 };
typedef struct kept {
    char face; /* + 1; 0: empty */
    char text[kept_bytes];
    int width;
} kept;

struct fonts {
    kept *kept;
    PangoContext *context;
    PangoLayout *layouts[N_FACES];
    PangoFontDescription *descriptions[N_FACES];
};

static const struct {
    const char *family;
    int weight;
} faces[N_FACES] = {
#define X(NAME, family, weight, generic) {family, weight},
    FACES(X)
#undef X
};

static void fonts_close(void *what)
{
    fonts *f = what;
    for (int i = 0; i < N_FACES; i++) {
        if (f->layouts[i]) g_object_unref(f->layouts[i]);
        if (f->descriptions[i]) pango_font_description_free(f->descriptions[i]);
    }
    if (f->context) g_object_unref(f->context);
}

static bool has_family(PangoFontMap *map, const char *wanted)
{
    PangoFontFamily **families = NULL;
    int n = 0;
    bool is_there = false;
    pango_font_map_list_families(map, &families, &n);
    for (int i = 0; i < n && !is_there; i++) is_there = strcmp(pango_font_family_get_name(families[i]), wanted) == 0;
    g_free(families);
    return is_there;
}

static PangoContext *open_context(PangoFontMap *map)
{
    PangoContext *c = pango_font_map_create_context(map);
    cairo_font_options_t *o = cairo_font_options_create();
    cairo_font_options_set_hint_style(o, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(o, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(c, o);
    cairo_font_options_destroy(o);
    pango_context_set_round_glyph_positions(c, FALSE);
    pango_context_set_language(c, pango_language_from_string("en"));
    return c;
}

fonts *fonts_open(arena *a, const char **missing)
{
    fonts *f = ARENA_NEW(a, fonts);
    f->kept = ARENA_ARRAY(a, kept, n_kept);
    arena_defer(a, fonts_close, f);
    PangoFontMap *map = pango_cairo_font_map_get_default(); /* Pango's own; stays for the thread */
    f->context = open_context(map);
    for (int i = 0; i < N_FACES; i++) {
        if (!has_family(map, faces[i].family)) {
            *missing = faces[i].family;
            return NULL;
        }
        PangoFontDescription *d = f->descriptions[i] = pango_font_description_new();
        pango_font_description_set_family(d, faces[i].family);
        pango_font_description_set_weight(d, (PangoWeight)faces[i].weight);
        PangoFontDescription *sized = pango_font_description_copy(d);
        pango_font_description_set_absolute_size(sized, MEASURE_EM * PANGO_SCALE);
        f->layouts[i] = pango_layout_new(f->context);
        pango_layout_set_font_description(f->layouts[i], sized);
        pango_layout_set_single_paragraph_mode(f->layouts[i], TRUE);
        pango_font_description_free(sized);
    }
    return f;
}

static int measure(const fonts *f, face in, const char *text)
{
    int width = 0;
    pango_layout_set_text(f->layouts[in], text, -1);
    pango_layout_get_size(f->layouts[in], &width, NULL);
    return width;
}

/* The slot of a text, and its length; FNV-1a. */
static kept *slot_of(const fonts *f, face in, const char *text, size_t *n)
{
    uint64_t hash = (14695981039346656037u ^ (uint64_t)in) * 1099511628211u;
    for (*n = 0; text[*n]; ++*n) hash = (hash ^ (unsigned char)text[*n]) * 1099511628211u;
    return &f->kept[(hash ^ hash >> 32) % n_kept];
}

static int width_of(const fonts *f, face in, const char *text)
{
    size_t n;
    kept *k = slot_of(f, in, text, &n);
    if (n >= kept_bytes) return measure(f, in, text);
    if (k->face == (char)in + 1 && strcmp(k->text, text) == 0) return k->width;
    k->face = (char)((int)in + 1);
    memcpy(k->text, text, n + 1);
    return k->width = measure(f, in, text);
}

double fonts_width_mm(const fonts *f, face in, double height_mm, const char *text)
{
    int width = width_of(f, in, text);
    return (double)width / PANGO_SCALE / MEASURE_EM * (height_mm / CAPITAL_PER_EM);
}

const void *fonts_description(const fonts *f, face of) { return f->descriptions[of]; }
