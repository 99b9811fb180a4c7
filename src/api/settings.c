/* Switch positions as people write them. See settings.h. */
#include "api/settings.h"
#include "api/text.h"
#include "circuit/operating.h"

#include <string.h>

typedef struct settings {
    arena *arena;
    const van *van;
    position *positions;
    bool *is_set;
    sink *wrong;
} settings;

void settings_refuse(sink *wrong, const char *what, const char *right)
{
    sink_printf(wrong, "%s%s; %s", sink_text(wrong)[0] ? "\n" : "", what, right);
}

static const char *item_suggestion(settings *m, const char *id)
{
    const van *v = m->van;
    const char **ids = ARENA_ARRAY(m->arena, const char *, (size_t)v->n_items + 1);
    for (int i = 0; i < v->n_items; i++) ids[i] = v->items[i].id;
    return text_suggestion(id, ids, v->n_items, "its items stand under `items:` of the van file", m->arena);
}

static const char *allowed_positions(settings *m, int item)
{
    sink s = sink_in(m->arena);
    const van *v = m->van;
    sink_add(&s, "it stands in ");
    for (int i = 0; i < v->items[item].n_positions; i++) {
        sink_printf(&s, "%s`%s`", i == 0 ? "" : ", ", position_text(v, item, v->items[item].positions[i], m->arena));
    }
    return sink_text(&s);
}

static void set_dial(settings *m, int item, const char *words)
{
    quantity q;
    const char *wrong;
    if (!quantity_parse(words, strlen(words), &q, m->arena, &wrong)) {
        settings_refuse(m->wrong, arena_printf(m->arena, "`%s` of `%s` %s", words, m->van->items[item].id, wrong),
                        "give a fraction such as 40%");
    } else if (q.dimension != DIMENSION_FRACTION || !(q.value >= 0 && q.value <= 1)) {
        settings_refuse(m->wrong,
                        arena_printf(m->arena, "`%s` of `%s` is not a position", words, m->van->items[item].id),
                        "give a fraction from 0% to 100%");
    } else {
        m->positions[item] = (position){0, q.value};
    }
}

static void set_position(settings *m, int item, const char *words)
{
    const van *v = m->van;
    const kind *k = item_kind(v, item);
    const char *id = v->items[item].id;
    if (kind_coil(k) >= 0) {
        settings_refuse(m->wrong, arena_printf(m->arena, "`%s` is moved by its coil", id), "set what feeds the coil");
        return;
    }
    if (k->dial >= 0) {
        set_dial(m, item, words);
        return;
    }
    if (k->n_positions == 0) {
        settings_refuse(m->wrong, arena_printf(m->arena, "`%s` has no positions", id), "leave it out");
        return;
    }
    int index = kind_position(k, words);
    for (int i = 0; i < v->items[item].n_positions; i++) {
        if (v->items[item].positions[i].index != index) continue;
        m->positions[item] = v->items[item].positions[i];
        return;
    }
    settings_refuse(m->wrong, arena_printf(m->arena, "`%s` is not a position of `%s`", words, id),
                    allowed_positions(m, item));
}

static void set_one(settings *m, const char *setting)
{
    const char *equals = strchr(setting, '=');
    if (!equals || equals == setting || equals[1] == '\0') {
        settings_refuse(m->wrong, arena_printf(m->arena, "`%s` sets nothing", setting),
                        "write ITEM=POSITION, such as pump-switch=on");
        return;
    }
    char *id = arena_text_n(m->arena, setting, (size_t)(equals - setting));
    int item = van_item(m->van, id);
    if (item < 0) {
        settings_refuse(m->wrong, arena_printf(m->arena, "there is no item `%s`", id), item_suggestion(m, id));
    } else if (m->is_set[item]) {
        settings_refuse(m->wrong, arena_printf(m->arena, "`%s` is set twice", id), "set it once");
    } else {
        m->is_set[item] = true;
        set_position(m, item, equals + 1);
    }
}

static bool is_in(const van *v, int item, position here, position there)
{
    return item_kind(v, item)->dial >= 0 ? here.fraction == there.fraction : here.index == there.index;
}

static void refuse_exclusions(settings *m)
{
    const van *v = m->van;
    for (int i = 0; i < v->n_items; i++) {
        const item *it = &v->items[i];
        for (int e = 0; e < it->n_exclusions; e++) {
            const exclusion *x = &it->exclusions[e];
            bool is_here =
                x->here < 0 ? !is_in(v, i, m->positions[i], it->positions[0]) : m->positions[i].index == x->here;
            if (!is_here || !is_in(v, x->other, m->positions[x->other], x->there)) continue;
            settings_refuse(m->wrong,
                            arena_printf(m->arena, "`%s` in `%s` and `%s` in `%s` exclude each other", it->id,
                                         position_text(v, i, m->positions[i], m->arena), v->items[x->other].id,
                                         position_text(v, x->other, x->there, m->arena)),
                            "the file says so under `never-with`");
        }
    }
}

position *settings_read(arena *a, const van *v, const char *const *set, size_t n_set, sink *wrong)
{
    settings m = {a, v, positions_rest(v, a), ARENA_ARRAY(a, bool, (size_t)v->n_items + 1), wrong};
    for (size_t i = 0; i < n_set; i++) set_one(&m, set[i]);
    refuse_exclusions(&m);
    return m.positions;
}
