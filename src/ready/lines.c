/* A plan as lines of a van file: in columns, as a person would line them up. */
#include "ready/plan.h"

#include "read/edit_scalar.h"
#include <string.h>

static const char *rating_text(const plan *p, double rating_A)
{
    char number[number_room];
    return arena_printf(p->arena, "%s A", number_short(rating_A, 6, number));
}

static const plan_device *device_at(const plan *p, const char *item, int slot)
{
    for (size_t i = 0; i < p->devices.n; i++)
        if (p->devices.at[i].slot == slot && !strcmp(p->devices.at[i].item, item)) return &p->devices.at[i];
    return NULL;
}

static void add_slots(const plan *p, const char *block, int n, const setting *before, sink *s)
{
    sink_add(s, "[");
    for (int i = 1; i <= n; i++) {
        const plan_device *d = device_at(p, block, i);
        const double rating_A = d ? d->rating_A : before && i <= before->n_list ? before->list[i - 1] : 0;
        sink_printf(s, "%s%s", i > 1 ? ", " : "", rating_text(p, rating_A));
    }
    sink_add(s, "]");
}

const char *plan_row_text(const plan *p, const plan_row *row)
{
    const kind *k = item_kind(p->van, row->item);
    const setting *before = &p->van->items[row->item].settings[k->terminals[k->row].row_parameter];
    sink s = sink_in(p->arena);
    if (before->list)
        add_slots(p, p->van->items[row->item].id, row->n, before, &s);
    else
        sink_printf(&s, "%d", row->n);
    return sink_text(&s);
}

static bool is_free_text(const char *key)
{
    return !strcmp(key, "name") || !strcmp(key, "says") || !strcmp(key, "panel");
}

static void add_key(const plan *p, const plan_item *it, const plan_key *k, sink *s)
{
    sink_printf(s, "%s: ", k->key);
    if (!strcmp(k->key, "slots"))
        add_slots(p, it->id, it->n_row, NULL, s);
    else if (!strcmp(k->key, "studs"))
        sink_printf(s, "%d", it->n_row > 2 ? it->n_row : 2);
    else if (!strcmp(k->text, "chosen"))
        sink_add(s, rating_text(p, device_at(p, it->id, 0)->rating_A));
    else
        sink_add(s, is_free_text(k->key) ? scalar_written(p->arena, k->text, false, (scalar_place){.is_in_flow = true})
                                         : k->text);
}

static int wider(int width, const char *text)
{
    const int n = (int)strlen(text);
    return n > width ? n : width;
}

static const char *item_line(const plan *p, const plan_item *it, int indent, int width)
{
    sink s = sink_in(p->arena);
    sink_printf(&s, "%*s%s:%*s {", indent, "", it->id, width - (int)strlen(it->id), "");
    for (size_t k = 0; k < it->keys.n; k++) {
        if (k) sink_add(&s, ", ");
        add_key(p, it, &it->keys.at[k], &s);
    }
    sink_add(&s, "}");
    return sink_text(&s);
}

void plan_item_lines(const plan *p, int section, int indent, sink *s)
{
    const char **lines = ARENA_ARRAY(p->arena, const char *, p->items.n + 1);
    int id = 0, line = 0;
    for (size_t i = 0; i < p->items.n; i++)
        if (p->items.at[i].section == section) id = wider(id, p->items.at[i].id);
    for (size_t i = 0; i < p->items.n; i++) {
        const plan_item *it = &p->items.at[i];
        if (it->section != section) continue;
        lines[i] = item_line(p, it, indent, id);
        if (*it->note) line = wider(line, lines[i]);
    }
    for (size_t i = 0; i < p->items.n; i++) {
        if (!lines[i]) continue;
        const char *note = p->items.at[i].note;
        sink_add(s, lines[i]);
        if (*note) sink_printf(s, "%*s   # %s", line - (int)strlen(lines[i]), "", note);
        sink_add(s, "\n");
    }
}

/* Text, a comma, and spaces up to the next column. */
static void add_column(sink *s, const char *text, int width)
{
    sink_printf(s, "%s, %*s", text, width - (int)strlen(text), "");
}

static const char *size_text(const plan_wire *w)
{
    return w->size.series == SIZE_UNSET ? "auto" : conductor_size_text(w->size);
}

void plan_wire_lines(const plan *p, int section, int indent, sink *s)
{
    int label = 0, from = 0, to = 0, length = 0, size = 0;
    for (size_t i = 0; i < p->wires.n; i++) {
        const plan_wire *w = &p->wires.at[i];
        if (w->section != section) continue;
        label = wider(label, w->label);
        from = wider(from, w->from);
        to = wider(to, w->to);
        length = wider(length, w->length);
        size = wider(size, size_text(w));
    }
    for (size_t i = 0; i < p->wires.n; i++) {
        const plan_wire *w = &p->wires.at[i];
        if (w->section != section) continue;
        sink_printf(s, "%*s%s:%*s {from: ", indent, "", w->label, label - (int)strlen(w->label), "");
        add_column(s, w->from, from);
        sink_add(s, "to: ");
        add_column(s, w->to, to);
        sink_add(s, "length: ");
        add_column(s, w->length, length);
        sink_add(s, "size: ");
        if (w->colour) {
            add_column(s, size_text(w), size);
            sink_printf(s, "colour: %s}\n", w->colour);
        } else
            sink_printf(s, "%s}\n", size_text(w));
    }
}
