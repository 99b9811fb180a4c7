/* Text to van. See read.h. */
#include "read/read.h"

#include "kinds-embedded.h"
#include "read/items.h"
#include "read/keys.h"
#include "read/kinds.h"
#include "read/wires.h"
#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Words that may be compared for suggestions in one file: some tenths of a second at most. */
enum { words_most = 200 * 1000 };

/* The air in a parked van where the file says nothing: warmer and colder than most meet (common practice). */
#define HOTTEST_K (273.15 + 50)
#define COLDEST_K (273.15 - 20)

/* ---- built-in kinds ---- */

static int by_name(const void *a, const void *b) { return strcmp(((const kind *)a)->name, ((const kind *)b)->name); }

static kind_set read_built_in(arena *a)
{
    report *faults = report_create(a, "kinds");
    reader r = {a, faults, words_most};
    node *all = ARENA_NEW(a, node); /* the kinds of every file in one mapping */
    all->form = NODE_MAPPING;
    node **end = &all->first;
    for (int i = 0; i < n_kinds_built_in; i++) {
        node *root = tree_read(a, kinds_built_in[i].text, kinds_built_in[i].n, faults);
        for (*end = root ? root->first : NULL; *end; end = &(*end)->next) all->n++;
    }
    kind_set set = kinds_read(&r, all, NULL, 0);
    if (!report_is_empty(faults)) fputs(report_text(faults, a), stderr);
    assert(report_is_empty(faults));
    for (int k = 0; k < set.n; k++) set.kinds[k].is_built_in = true;
    qsort(set.kinds, (size_t)set.n, sizeof *set.kinds, by_name);
    return set;
}

const kind *built_in_kinds(arena *a, int *n)
{
    kind_set set = read_built_in(a);
    *n = set.n;
    return set.kinds;
}

/* ---- the van ---- */

static void read_conditions(reader *r, const node *n, van *v)
{
    v->hottest_K = HOTTEST_K;
    v->coldest_K = COLDEST_K;
    v->conditions = n && n->form == NODE_MAPPING ? read_writing(v->arena, n) : (writing){0};
    const node *f[n_conditions_keys];
    if (!n || !read_fields(r, n, &conditions_keys, f, NULL, NULL)) return;
    read_quantity(r, f[conditions_hottest], &conditions_keys.rules[conditions_hottest], &v->hottest_K);
    read_quantity(r, f[conditions_coldest], &conditions_keys.rules[conditions_coldest], &v->coldest_K);
    if (v->hottest_K < v->coldest_K)
        fault(r, n->key_where, "the hottest air is colder than the coldest", "exchange `hottest` and `coldest`");
}

/* A section that stands empty says as much as one that is not there. */
static void leave_out_empty(const node *fields[])
{
    for (int i = 0; i < n_top_keys; i++) {
        const key_rule *k = &top_keys.rules[i];
        bool is_section = k->holds == HOLDS_MAPPING || k->holds == HOLDS_LIST;
        if (is_section && !k->is_required && is_empty(fields[i])) fields[i] = NULL;
    }
}

static void read_top(reader *r, const node *root, const kind *built_in, int n_built_in, van *v)
{
    const node *f[n_top_keys];
    read_fields(r, root, &top_keys, f, NULL, NULL);
    leave_out_empty(f);
    const key_rule *format = &top_keys.rules[top_loomwall];
    int format_number, practice_index = PRACTICE_NORTH_AMERICA;
    read_count(r, f[top_loomwall], format->least, format->most, &format_number);
    read_text(r, f[top_name], &v->name);
    read_text(r, f[top_revision], &v->revision);
    read_text(r, f[top_says], &v->says);
    read_word(r, f[top_practice], &top_keys.rules[top_practice], &practice_index);
    v->practice = (practice)practice_index;
    read_conditions(r, f[top_conditions], v);

    kind_set kinds = kinds_read(r, f[top_kinds], built_in, n_built_in);
    v->kinds = kinds.kinds;
    v->n_kinds = kinds.n;
    items_read(r, f[top_items], kinds.names, v);
    wires_read(r, &(wire_nodes){f[top_wires], f[top_unlabelled], f[top_retired]}, v);
    decisions_read(r, f[top_decided], v);
    if (report_is_empty(r->report)) check_exclusions(r, v);
}

van *read_van_with(arena *a, const kind *built_in, int n_built_in, const char *file, const char *text, size_t n,
                   report *faults)
{
    reader r = {a, faults, words_most};
    const node *root = tree_read(a, text, n, faults);
    if (!root) {
        assert(!report_is_empty(faults));
        return NULL;
    }
    van *v = ARENA_NEW(a, van);
    *v = (van){.file = arena_text(a, file), .name = "unnamed van", .revision = "", .says = "", .arena = a};
    v->item_names = names_create(a);
    v->terminal_names = names_create(a);
    v->wire_names = names_create(a);
    v->retired = names_create(a);
    read_top(&r, root, built_in, n_built_in, v);
    return report_is_empty(faults) ? v : NULL;
}

van *read_van(arena *a, const char *file, const char *text, size_t n, report *faults)
{
    int n_built_in;
    const kind *built_in = built_in_kinds(a, &n_built_in);
    return read_van_with(a, built_in, n_built_in, file, text, n, faults);
}
