/* Scenes for the screen. See loomwall/scene.h. */
#include "loomwall/scene.h"
#include "api/handles.h"
#include "api/text.h"
#include "draw/svg.h"
#include "sheets/screen.h"

#include <stdlib.h>
#include <string.h>

/* --- faces --- */

struct lw_faces {
    arena *arena;
    const fonts *fonts;
};

typedef struct opening {
    arena *arena;
    const char *missing;
    lw_faces *faces;
} opening;

static const char *why_missing(arena *a, const char *missing)
{
    return arena_printf(a, "the font %s is not on this machine; install it (Debian: fonts-b612)", missing);
}

static void open_faces(void *context)
{
    opening *o = context;
    const fonts *f = fonts_open(o->arena, &o->missing);
    if (!f) return;
    o->faces = ARENA_NEW(o->arena, lw_faces);
    *o->faces = (lw_faces){o->arena, f};
}

lw_status lw_faces_open(lw_faces **faces, char **why)
{
    opening o = {.arena = arena_create(), .missing = ""};
    if (!o.arena || !arena_try(o.arena, open_faces, &o)) {
        arena_destroy(o.arena);
        return LW_NO_MEMORY;
    }
    if (o.faces) {
        *faces = o.faces;
        return LW_OK;
    }
    lw_status status = text_copy(why_missing(o.arena, o.missing), why);
    arena_destroy(o.arena);
    return status == LW_OK ? LW_REFUSED : status;
}

void lw_faces_close(lw_faces *faces)
{
    if (faces) arena_destroy(faces->arena);
}

/* --- a scene --- */

typedef struct wanted {
    arena *arena;
    const lw_van *van;
    const char *id;
    lw_scene_options options;
    const char *why; /* it is refused */
    char *svg;       /* a copy of its own */
    size_t n_bytes;
} wanted;

/* The sizes of a judgement, which may be of an older text: those of wires that still have their label. */
static void take_sizes(study *s, const lw_judgement *judgement)
{
    const study *judged = judgement->judgement->study;
    s->wires = ARENA_ARRAY(s->arena, wire_study, (size_t)s->van->n_wires + 1);
    for (int w = 0; w < s->van->n_wires; w++) {
        const wire *at = &s->van->wires[w];
        int known = van_wire(judged->van, at->label);
        bool is_open = at->size.series == SIZE_UNSET;
        s->wires[w].size = is_open && known >= 0 && judged->wires ? judged->wires[known].size : at->size;
    }
}

static const screen *find_screen(wanted *d)
{
    int n;
    const screen *all = screens_of(d->arena, d->van->van, &n);
    const char **ids = ARENA_ARRAY(d->arena, const char *, (size_t)n);
    sink list = sink_in(d->arena);
    for (int i = 0; i < n; i++) {
        if (strcmp(all[i].id, d->id) == 0) return &all[i];
        ids[i] = all[i].id;
        sink_printf(&list, "%s`%s`", i == 0 ? "there are " : ", ", ids[i]);
    }
    d->why = arena_printf(d->arena, "there is no scene `%s`; %s", d->id,
                          text_suggestion(d->id, ids, n, sink_text(&list), d->arena));
    return NULL;
}

static void draw_scene(void *context)
{
    wanted *d = context;
    const screen *which = find_screen(d);
    if (!which) return;
    const char *missing = "";
    const fonts *f = d->options.faces ? d->options.faces->fonts : fonts_open(d->arena, &missing);
    if (!f) {
        d->why = why_missing(d->arena, missing);
        return;
    }
    study *s = study_outline(d->arena, d->van->van);
    if (d->options.judgement) take_sizes(s, d->options.judgement);
    sink out = sink_in(d->arena);
    svg_write(screen_draw(d->arena, f, s, which), &out);
    d->svg = malloc(out.n + 1);
    d->n_bytes = out.n;
    if (d->svg) memcpy(d->svg, sink_text(&out), out.n + 1);
}

lw_status lw_scene_draw(const lw_van *van, const char *id, const lw_scene_options *options, char **svg, size_t *n_bytes,
                        char **why)
{
    wanted d = {.arena = arena_create(), .van = van, .id = id};
    if (options) d.options = *options;
    bool is_done = d.arena && arena_try(d.arena, draw_scene, &d) && (d.svg || d.why);
    lw_status status = is_done ? LW_OK : LW_NO_MEMORY;
    if (is_done && d.why) {
        status = text_copy(d.why, why);
        if (status == LW_OK) status = LW_REFUSED;
    }
    arena_destroy(d.arena);
    if (status == LW_OK) {
        *svg = d.svg;
        *n_bytes = d.n_bytes;
    }
    return status;
}

/* --- which there are, and their style --- */

static lw_status list_scenes(sink *s, const void *what)
{
    int n;
    const screen *all = screens_of(s->arena, ((const lw_van *)what)->van, &n);
    sink_add(s, "[");
    for (int i = 0; i < n; i++) {
        sink_add(s, i == 0 ? "{\"id\": " : ",\n {\"id\": ");
        json_text(s, all[i].id);
        sink_add(s, ", \"title\": ");
        json_text(s, all[i].title);
        sink_add(s, ", \"panel\": ");
        json_text_or_null(s, all[i].panel);
        sink_add(s, "}");
    }
    sink_add(s, "]\n");
    return LW_OK;
}

lw_status lw_scenes_json(const lw_van *van, char **json) { return text_give(list_scenes, van, json); }

static lw_status tell_style(sink *s, const void *what)
{
    (void)what;
    svg_style_screen(s);
    return LW_OK;
}

lw_status lw_scene_style(char **css) { return text_give(tell_style, NULL, css); }
