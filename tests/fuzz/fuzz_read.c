/* Fuzzer of the reader: whatever the bytes, it either refuses with at least one located message and gives no van, or gives a
 * van in which every name finds itself and every index lies inside; and the labels that it proposes can be written, or are
 * refused in words. With libFuzzer through `make fuzz`; replay.c feeds the
 * corpus in `make test`. */
#include "read/edit.h"
#include "read/read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void require(bool is_true)
{
    if (!is_true) abort();
}

static void check_end(const kind *k, element_end e)
{
    require(e.index >= 0 && e.index < (e.form == END_INNER ? k->n_inner : k->n_terminals));
    require((e.form == END_ROW) == (e.form != END_INNER && k->terminals[e.index].is_row));
}

static void check_kind(const kind *k)
{
    require(k->n_terminals >= 1 && k->n_terminals <= kind_terminals_most && k->n_positions <= kind_positions_most);
    require(k->row < k->n_terminals && k->dial < k->n_parameters && (k->dial < 0 || k->n_positions == 0));
    for (int i = 0; i < k->n_elements; i++) {
        const element *e = &k->elements[i];
        check_end(k, e->a);
        check_end(k, e->b);
        if (e->type == ELEMENT_TRANSFER) check_end(k, e->to_a), check_end(k, e->to_b);
        require(e->moves < k->n_positions && (e->type != ELEMENT_COIL || e->moves >= 0));
        require(e->type != ELEMENT_CONTACT || (e->closed_in && e->closed_in < 1u << k->n_positions));
        for (int key = 0; key < N_ELEMENT_KEYS; key++) {
            const value *v = &e->keys[key];
            require(v->form != VALUE_PARAMETER || (v->parameter >= 0 && v->parameter < k->n_parameters));
            require(v->form != VALUE_WORD || v->word != NULL);
            require(v->form != VALUE_NUMBER || isfinite(v->number));
        }
    }
}

static void check_item(const van *v, int i, arena *a)
{
    const item *it = &v->items[i];
    require(van_item(v, it->id) == i && it->name && it->says && it->kind >= 0 && it->kind < v->n_kinds);
    const kind *k = item_kind(v, i);
    for (int p = 0; p < k->n_parameters; p++) {
        const setting *s = &it->settings[p];
        require(isfinite(s->number) && (!k->parameters[p].n_choices || s->word || s->is_auto));
        require(!k->parameters[p].is_list || (s->n_list >= 1 && s->list));
        require(!k->parameters[p].is_positive || s->is_auto || s->list || s->number > 0);
    }
    require((it->n_positions > 0) == (k->n_positions > 0 || k->dial >= 0));
    for (int p = 0; p < it->n_positions; p++) {
        require(*position_text(v, i, it->positions[p], a) != 0);
        require(k->dial >= 0 || it->positions[p].index < k->n_positions);
    }
    for (int e = 0; e < it->n_exclusions; e++) require(it->exclusions[e].other >= 0 && it->exclusions[e].other != i);
    for (int t = it->first_terminal; t < it->first_terminal + it->n_terminals; t++) {
        require(t < v->n_terminals && v->terminals[t].item == i && van_terminal(v, v->terminals[t].name) == t);
        require(v->terminals[t].template_index < k->n_terminals);
    }
}

static void check_van(const van *v, arena *a)
{
    for (int k = 0; k < v->n_kinds; k++) check_kind(&v->kinds[k]);
    require(v->n_items > 0 && v->coldest_K <= v->hottest_K);
    for (int i = 0; i < v->n_items; i++) check_item(v, i, a);
    for (int i = 0; i < v->n_wires; i++) {
        const wire *w = &v->wires[i];
        require(van_wire(v, w->label) == i && w->from != w->to && names_find(v->retired, w->label) < 0);
        require(w->from >= 0 && w->from < v->n_terminals && w->to >= 0 && w->to < v->n_terminals);
        require(w->is_length_auto ? w->length_m == 0 : w->length_m > 0);
        require(w->size.series == SIZE_UNSET || conductor_is_listed(w->size));
    }
    for (int i = 0; i < v->n_decisions; i++)
        require(v->decisions[i].rule && v->decisions[i].where && v->decisions[i].why && v->decisions[i].date);
}

static int count_proposed(const van *v)
{
    int n = 0;
    for (int w = 0; w < v->n_wires; w++) n += v->wires[w].is_label_proposed;
    return n;
}

/* Written, the labels stand on the same wires; retired, a label is not given. */
static void check_edits(const van *v, const char *text, size_t n, const kind *built_in, int n_built_in, arena *a)
{
    edited_file file = {v, text, n};
    const char *why = NULL, *labelled = edit_give_labels(a, &file, &why);
    require(labelled || (why && *why));
    report *r = report_create(a, "van.yaml");
    const van *w = labelled ? read_van_with(a, built_in, n_built_in, "van.yaml", labelled, strlen(labelled), r) : NULL;
    require(!labelled || (w && w->n_wires == v->n_wires && count_proposed(w) == 0));
    for (int i = 0; w && i < w->n_wires; i++)
        require(strcmp(w->wires[i].label, v->wires[i].label) == 0 && w->wires[i].from == v->wires[i].from);

    if (van_wire(v, "OLD7") >= 0) return;
    const char *retired = edit_retire(a, &file, "OLD7", &why);
    require(retired || (why && *why));
    const van *x = retired ? read_van_with(a, built_in, n_built_in, "van.yaml", retired, strlen(retired), r) : NULL;
    require(!retired || (x && names_find(x->retired, "OLD7") >= 0));
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    static arena *kept; /* the built-in kinds, for all calls */
    static const kind *built_in;
    static int n_built_in;
    if (kept == NULL) {
        kept = arena_create();
        require(kept != NULL);
        built_in = built_in_kinds(kept, &n_built_in);
    }
    arena *a = arena_create();
    if (a == NULL) return 0;
    report *r = report_create(a, "van.yaml");
    const van *v = read_van_with(a, built_in, n_built_in, "van.yaml", (const char *)bytes, n, r);
    require((v == NULL) == !report_is_empty(r));
    size_t n_kept;
    const report_entry *entries = report_entries(r, &n_kept);
    for (size_t i = 0; i < n_kept; i++) require(*entries[i].wrong && *entries[i].right);
    if (v != NULL) {
        check_van(v, a);
        check_edits(v, arena_text_n(a, (const char *)bytes, n), n, built_in, n_built_in, a);
    }
    arena_destroy(a);
    return 0;
}
