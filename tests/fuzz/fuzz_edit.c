/* Fuzzer of edits: whatever the file, an edit of any of its places is refused in words, or gives a text that reads as YAML and
 * says what was meant there. With libFuzzer through `make fuzz`; replay.c feeds the corpus in `make test`.
 *
 * The first two bytes choose the edit and its place; the rest is the file. */
#include "read/edit.h"
#include "read/read.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void require(bool is_true)
{
    if (!is_true) abort();
}

enum { deepest = 64 };

typedef struct choice {
    const char *path[deepest + 1];
    int n_path;
    const node *at;
} choice;

/* The `wanted`-th entry of all, counted down as they are passed. */
static bool choose(arena *a, const node *in, int *wanted, choice *c)
{
    int i = 0;
    for (const node *e = in->first; e; e = e->next, i++) {
        c->path[c->n_path++] = e->key ? e->key : arena_printf(a, "%d", i);
        c->at = e;
        if ((*wanted)-- == 0 || choose(a, e, wanted, c)) return true;
        c->n_path--;
    }
    return false;
}

static const node *find(const node *n, const choice *c)
{
    for (int i = 0; n && i < c->n_path; i++) {
        if (n->form == NODE_MAPPING) {
            n = node_get(n, c->path[i]);
            continue;
        }
        int index = atoi(c->path[i]);
        for (n = n->first; n && index > 0; index--) n = n->next;
    }
    return n;
}

static void check(arena *a, const char *text, size_t n, const node *root, const uint8_t *how)
{
    static const char *const values[] = {"changed", "a: b # c", "", "true", "two\nlines\n", "{x}", "'", "ü"};
    int wanted = how[1];
    choice c = {.n_path = 0};
    if (!choose(a, root, &wanted, &c)) return;
    const van nobody = {.file = "van.yaml"};
    const char *value = values[(how[0] >> 2) % (sizeof values / sizeof values[0])];
    edit_verb verb = (edit_verb)(how[0] % 4);
    draft *wire = draft_collection(a, NODE_MAPPING), *from = draft_scalar(a, value);
    from->key = "from";
    draft_append(wire, from);
    edit what = {verb, c.path, c.n_path, verb == EDIT_WIRE ? wire : draft_scalar(a, value), "another-name"};
    edited out = edit_make(a, &(edited_file){&nobody, text, n}, &what, 1);
    require((out.text == NULL) == (out.why != NULL));
    if (!out.text) return;
    report *r = report_create(a, "van.yaml");
    const node *now = tree_read(a, out.text, strlen(out.text), r);
    require(now && report_is_empty(r));
    const node *is = find(now, &c);
    if (verb == EDIT_PUT) require(is && is->form == NODE_SCALAR && strcmp(is->text, value) == 0);
    if (verb == EDIT_DROP && c.at->key) require(!is);
    const node *wires = node_get(now, "wires");
    if (verb == EDIT_WIRE) require(out.n_labels == 1 && wires && node_get(wires, out.labels[0]));
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    arena *a = n > 2 ? arena_create() : NULL;
    if (a == NULL) return 0;
    const char *text = arena_text_n(a, (const char *)bytes + 2, n - 2);
    report *r = report_create(a, "van.yaml");
    const node *root = tree_read(a, text, n - 2, r);
    if (root && report_is_empty(r)) check(a, text, n - 2, root, bytes);
    arena_destroy(a);
    return 0;
}
