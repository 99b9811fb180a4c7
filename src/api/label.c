/* Labels that stand, and labels that are retired. See loomwall/label.h. */
#include "loomwall/label.h"
#include "api/handles.h"
#include "api/text.h"
#include "read/edit.h"
#include "read/wires.h"

/* Wires with a proposed label are the last of a van. */
static int first_proposal(const van *v)
{
    int first = v->n_wires;
    while (first > 0 && v->wires[first - 1].is_label_proposed) first--;
    return first;
}

size_t lw_van_n_proposals(const lw_van *van) { return (size_t)(van->van->n_wires - first_proposal(van->van)); }

static lw_proposal proposal_of(const van *v, size_t i)
{
    const wire *w = &v->wires[(size_t)first_proposal(v) + i];
    return (lw_proposal){w->label, v->terminals[w->from].name, v->terminals[w->to].name, w->where.line,
                         w->where.column};
}

lw_proposal lw_van_proposal(const lw_van *van, size_t i) { return proposal_of(van->van, i); }

typedef struct labelling {
    const lw_van *van;
    const char *retired;
    bool is_written;
} labelling;

static lw_status add_edited(sink *s, const char *text, const char *why)
{
    sink_add(s, text ? text : why);
    return text ? LW_OK : LW_REFUSED;
}

static lw_status label_wires(sink *s, const void *what)
{
    const labelling *l = what;
    edited_file file = {l->van->van, l->van->text, l->van->n_bytes};
    const char *why = NULL, *text = edit_give_labels(s->arena, &file, &why);
    return add_edited(s, text, why);
}

static const char *why_not_retired(const van *v, const char *label, arena *a)
{
    if (!label_is_sound(label)) return arena_printf(a, "`%s` can't be the label of a wire; name one as `P3`", label);
    int w = van_wire(v, label);
    if (w < 0 || v->wires[w].is_label_proposed) return NULL;
    return arena_printf(a, "the wire `%s` (line %u) is still there; take it out of the file first", label,
                        v->wires[w].where.line);
}

static lw_status label_retire(sink *s, const void *what)
{
    const labelling *l = what;
    edited_file file = {l->van->van, l->van->text, l->van->n_bytes};
    const char *why = why_not_retired(file.van, l->retired, s->arena);
    const char *text = why ? NULL : edit_retire(s->arena, &file, l->retired, &why);
    return add_edited(s, text, why);
}

static void json_proposal(sink *s, lw_proposal p)
{
    sink_add(s, "{\"label\": ");
    json_text(s, p.label);
    sink_add(s, ", \"from\": ");
    json_text(s, p.from);
    sink_add(s, ", \"to\": ");
    json_text(s, p.to);
    sink_printf(s, ", \"line\": %u, \"column\": %u}", p.line, p.column);
}

static lw_status json_labelling(sink *s, const void *what)
{
    const labelling *l = what;
    const van *v = l->van->van;
    size_t n = l->retired ? 0 : lw_van_n_proposals(l->van);
    sink_add(s, "{\"van\": ");
    json_text(s, v->name);
    sink_add(s, ", \"labels\": [");
    for (size_t i = 0; i < n; i++) {
        sink_add(s, i == 0 ? "\n  " : ",\n  ");
        json_proposal(s, proposal_of(v, i));
    }
    sink_add(s, "], \"retired\": ");
    json_text_or_null(s, l->retired);
    sink_add(s, ", \"written\": ");
    json_truth(s, l->is_written);
    sink_add(s, "}\n");
    return LW_OK;
}

lw_status lw_label_wires(const lw_van *van, char **text)
{
    return text_give(label_wires, &(labelling){.van = van}, text);
}

lw_status lw_label_retire(const lw_van *van, const char *label, char **text)
{
    return text_give(label_retire, &(labelling){.van = van, .retired = label}, text);
}

lw_status lw_label_json(const lw_van *van, const char *retired, bool is_written, char **json)
{
    return text_give(json_labelling, &(labelling){van, retired, is_written}, json);
}
