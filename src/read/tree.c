/* Text to a tree of nodes. See tree.h.
 *
 * Two passes: `clean` walks the bytes, reports what no reader should see and puts harmless characters of the same
 * number of columns in its place, so that the second pass, over libyaml's events, can still find the other faults. */
#include "read/tree.h"

#include "model/names.h"
#include <assert.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <yaml.h>

/* ---- characters ---- */

typedef struct cleaner {
    unsigned char *at;
    size_t n;
    place where; /* of the next character */
    report *report;
    int n_not_text; /* bytes that no text holds */
} cleaner;

enum { not_text_most = 20 };

/* Length in bytes of the UTF-8 character at p (RFC 3629: shortest form, no surrogates, up to U+10FFFF), 0 if it is none;
 * *code is what it stands for. */
static size_t character(const unsigned char *p, size_t n, uint32_t *code)
{
    size_t length = p[0] < 0x80 ? 1 : p[0] < 0xC2 ? 0 : p[0] < 0xE0 ? 2 : p[0] < 0xF0 ? 3 : p[0] < 0xF5 ? 4 : 0;
    if (length == 0 || length > n) return 0;
    uint32_t c = length == 1 ? p[0] : p[0] & (0x7Fu >> length);
    for (size_t i = 1; i < length; i++) {
        if ((p[i] & 0xC0) != 0x80) return 0;
        c = c << 6 | (p[i] & 0x3F);
    }
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    if (c < least[length] || (c >= 0xD800 && c <= 0xDFFF) || c > 0x10FFFF) return 0;
    *code = c;
    return length;
}

/* Puts a harmless character of as many bytes, and of one column, in the place of one that was refused. */
static void cover(unsigned char *at, size_t n_bytes)
{
    static const char *const cover_of[] = {"?", "\xC2\xA0", "\xE2\x80\x87", "\xF0\x9F\x98\x80"};
    memcpy(at, cover_of[n_bytes - 1], n_bytes);
}

/* Deals with one character; returns its length in bytes. */
static size_t clean_one(cleaner *c)
{
    uint32_t code = 0;
    size_t length = character(c->at, c->n, &code);
    const char *right = NULL;
    char wrong[80];
    if (length == 0) {
        length = 1;
        c->n_not_text++;
        snprintf(wrong, sizeof wrong, "byte 0x%02X is not UTF-8", c->at[0]);
        right = "save the file as UTF-8";
    } else if (code == 0x85 || code == 0x2028 || code == 0x2029) {
        snprintf(wrong, sizeof wrong, "the character U+%04X breaks lines in some editors and not in others", code);
        right = "write an ordinary line break or a space";
    } else if (code == 0xFEFF) {
        snprintf(wrong, sizeof wrong, "a byte-order mark inside the text");
        right = "take it out; it may only come first";
    } else if ((code < 0x20 && code != '\t' && code != '\n' && code != '\r') || (code >= 0x7F && code < 0xA0) ||
               (code & 0xFFFE) == 0xFFFE) {
        c->n_not_text++;
        snprintf(wrong, sizeof wrong, "the control character U+%04X", code);
        right = "take it out; a van file is text";
    }
    if (right) {
        report_error(c->report, c->where, wrong, right);
        cover(c->at, length);
    }
    return length;
}

/* True when the text can go to the parser. Lines end with LF, CRLF or a lone CR. */
static bool clean(unsigned char *text, size_t n, report *r)
{
    cleaner c = {text, n, {1, 1}, r, 0};
    while (c.n > 0) {
        bool is_break = c.at[0] == '\n' || (c.at[0] == '\r' && !(c.n > 1 && c.at[1] == '\n'));
        size_t length = clean_one(&c);
        if (c.n_not_text > not_text_most) {
            report_error(r, c.where, "the file is not text", "a van file is YAML 1.2, in UTF-8");
            return false;
        }
        c.where = is_break ? (place){c.where.line + 1, 1} : (place){c.where.line, c.where.column + 1};
        c.at += length;
        c.n -= length;
    }
    return true;
}

/* ---- the event parser, and its words in ours ---- */

/* What libyaml holds on to; it goes with the arena when memory runs out in between. */
typedef struct events {
    yaml_parser_t parser;
    yaml_event_t event;
} events;

static void release_events(void *what)
{
    events *e = what;
    yaml_event_delete(&e->event); /* both leave zeroes behind, so that a second time does no harm */
    yaml_parser_delete(&e->parser);
}

static const struct {
    const char *problem, *wrong, *right;
} troubles[] = {
    {"found character that cannot start any token", "this character can't start a value",
     "indent with spaces, not tabs; put a value that starts with @, ` or % in quotes"},
    {"found a tab character that violates indentation", "a tab can't indent", "use spaces"},
    {"found a tab character where an indentation space is expected", "a tab can't indent", "use spaces"},
    {"mapping values are not allowed in this context", "a `: ` where no key can stand",
     "put a text that holds `: ` in quotes; align the keys of one mapping"},
    {"did not find expected ',' or '}'", "a `{` is not closed, or a comma is missing",
     "write {key: value, key: value}"},
    {"did not find expected ',' or ']'", "a `[` is not closed, or a comma is missing", "write [value, value]"},
    {"did not find expected key", "a key was expected here", "align the keys of one mapping; close every quote"},
    {"could not find expected ':'", "a key without a `:`", "write `key: value`"},
    {"did not find expected <document start>", "text after the end of the document", "a van file is one document"},
    {"found unexpected end of stream", "a quote is not closed", "close it"},
    {"found unexpected document indicator", "a quote is not closed", "close it"},
    {"found unknown escape character", "this escape is not known", "use single quotes, or write \\\\ for a backslash"},
    {"block sequence entries are not allowed in this context", "a `- ` where no list can stand",
     "start the list on a line of its own"},
    {"did not find expected '-' indicator", "a `- ` was expected here", "align the entries of one list"},
    {"found undefined tag handle", "tags are not part of a van file", "take out what starts with `!`"},
};

static place place_of(yaml_mark_t mark) { return (place){(uint32_t)mark.line + 1, (uint32_t)mark.column + 1}; }

static void report_trouble(const yaml_parser_t *p, report *r)
{
    place where = place_of(p->problem_mark);
    const char *problem = p->problem ? p->problem : "it can't be parsed";
    for (size_t i = 0; i < sizeof troubles / sizeof troubles[0]; i++)
        if (strcmp(problem, troubles[i].problem) == 0) {
            char right[200];
            if (p->context && p->context_mark.line != p->problem_mark.line)
                snprintf(right, sizeof right, "%s (what it belongs to starts on line %zu)", troubles[i].right,
                         p->context_mark.line + 1);
            else
                snprintf(right, sizeof right, "%s", troubles[i].right);
            report_error(r, where, troubles[i].wrong, right);
            return;
        }
    char wrong[200];
    snprintf(wrong, sizeof wrong, "this is not YAML: %s", problem);
    report_error(r, where, wrong, "a van file is YAML 1.2; docs/van-file.md shows one");
}

/* ---- nodes ---- */

typedef struct open_node {
    node *node;
    node **end; /* where the next entry goes */
    /* MAPPING: the key whose value comes next. */
    bool has_key, is_key_broken;
    const char *key;
    place key_where;
    uint32_t key_start, key_end;
    names *keys; /* of a mapping with many keys */
} open_node;

typedef struct builder {
    arena *arena;
    report *report;
    events *events;
    open_node open[depth_most];
    int depth;
    int n_nodes;
    uint32_t end; /* of the text of the last value */
    node *root;
} builder;

enum { few_keys = 12 };

/* The line of the first entry with the key of this one, or 0. */
static uint32_t line_of_key(builder *b, open_node *o, const node *entry)
{
    if (o->node->n < few_keys) {
        const node *first = node_get(o->node, entry->key);
        return first ? first->key_where.line : 0;
    }
    if (!o->keys) {
        o->keys = names_create(b->arena);
        for (const node *e = o->node->first; e; e = e->next) names_add(o->keys, e->key, (int)e->key_where.line);
    }
    bool is_new = names_add(o->keys, entry->key, (int)entry->key_where.line);
    return is_new ? 0 : (uint32_t)names_find(o->keys, entry->key);
}

static void check_duplicate(builder *b, open_node *o, const node *entry)
{
    uint32_t line = line_of_key(b, o, entry);
    if (line == 0) return;
    report_error(
        b->report, entry->key_where,
        arena_printf(b->arena, "`%s` stands here for the second time; the first is on line %u", entry->key, line),
        "keep one of them, or give this one a name of its own");
}

/* What is open and waits for a key, or NULL. */
static open_node *waits_for_key(builder *b)
{
    open_node *o = b->depth > 0 ? &b->open[b->depth - 1] : NULL;
    return o && o->node->form == NODE_MAPPING && !o->has_key ? o : NULL;
}

static void set_key(open_node *o, const char *text, const yaml_event_t *e, bool is_broken)
{
    o->has_key = true;
    o->is_key_broken = is_broken;
    o->key = text;
    o->key_where = place_of(e->start_mark);
    o->key_start = (uint32_t)e->start_mark.index;
    o->key_end = (uint32_t)e->end_mark.index;
}

/* Hangs a finished value, or a list or mapping that was just opened, into what is open. */
static void hang(builder *b, node *n)
{
    open_node *o = waits_for_key(b);
    if (o) {
        if (n->form != NODE_BROKEN)
            report_error(b->report, n->where, arena_printf(b->arena, "%s can't be a key", node_form_name(n)),
                         "a key is a single word; put braces in quotes if they are meant as text");
        set_key(o, "", &b->events->event, true);
        return;
    }
    if (b->depth == 0) {
        b->root = n;
        return;
    }
    o = &b->open[b->depth - 1];
    assert(o->node);
    if (o->node->form == NODE_MAPPING) {
        o->has_key = false;
        if (o->is_key_broken) return;
        n->key = o->key;
        n->key_where = o->key_where;
        n->key_start = o->key_start;
        n->key_end = o->key_end;
        check_duplicate(b, o, n);
    }
    *o->end = n;
    o->end = &n->next;
    o->node->n++;
}

static node *new_node(builder *b, node_form form)
{
    node *n = ARENA_NEW(b->arena, node);
    n->form = form;
    n->where = place_of(b->events->event.start_mark);
    n->start = (uint32_t)b->events->event.start_mark.index;
    n->end = b->end = (uint32_t)b->events->event.end_mark.index;
    b->n_nodes++;
    return n;
}

static bool open_collection(builder *b, node_form form, bool is_flow)
{
    node *n = new_node(b, form);
    n->is_flow = is_flow;
    if (b->depth == depth_most) {
        report_error(b->report, n->where, arena_printf(b->arena, "lists and mappings more than %d deep", depth_most),
                     "a van file needs fewer than ten levels; look for brackets that are not closed");
        return false;
    }
    hang(b, n);
    b->open[b->depth++] = (open_node){.node = n, .end = &n->first};
    return true;
}

static void close_collection(builder *b)
{
    node *n = b->open[--b->depth].node;
    assert(n);
    if (n->is_flow) b->end = (uint32_t)b->events->event.end_mark.index;
    n->end = b->end;
}

static void refuse_properties(builder *b, const yaml_char_t *anchor, const yaml_char_t *tag)
{
    place where = place_of(b->events->event.start_mark);
    if (anchor)
        report_error(b->report, where, arena_printf(b->arena, "the anchor `&%s`", (const char *)anchor),
                     "anchors and aliases are not part of a van file; write the value where it is meant");
    if (tag)
        report_error(b->report, where, arena_printf(b->arena, "the tag `%s`", (const char *)tag),
                     "tags are not part of a van file; write the value alone");
}

static void add_scalar(builder *b)
{
    const yaml_event_t *e = &b->events->event;
    place where = place_of(e->start_mark);
    refuse_properties(b, e->data.scalar.anchor, e->data.scalar.tag);
    const char *given = (const char *)e->data.scalar.value;
    const char *text = arena_text_n(b->arena, given, e->data.scalar.length);
    bool is_broken = memchr(given, 0, e->data.scalar.length) != NULL; /* "\0" in double quotes */
    if (is_broken) report_error(b->report, where, "a text that holds the character NUL", "take the escape out");
    open_node *waiting = waits_for_key(b);
    if (waiting) {
        b->n_nodes++;
        set_key(waiting, text, e, is_broken);
        return;
    }
    node *n = new_node(b, is_broken ? NODE_BROKEN : NODE_SCALAR);
    n->is_plain = e->data.scalar.style == YAML_PLAIN_SCALAR_STYLE;
    n->text = text;
    hang(b, n);
}

static void add_alias(builder *b)
{
    const char *to = (const char *)b->events->event.data.alias.anchor;
    node *n = new_node(b, NODE_BROKEN);
    report_error(b->report, n->where, arena_printf(b->arena, "the alias `*%s`", to),
                 "anchors and aliases are not part of a van file; write the value out here");
    hang(b, n);
}

/* One event into the tree; false when there is no use in going on. */
static bool take_event(builder *b)
{
    const yaml_event_t *e = &b->events->event;
    if (b->n_nodes >= nodes_most) {
        report_error(b->report, place_of(e->start_mark),
                     arena_printf(b->arena, "more than %d values in one file", nodes_most), "split the file");
        return false;
    }
    switch (e->type) {
    case YAML_DOCUMENT_START_EVENT:
        if (!b->root) return true;
        report_error(b->report, place_of(e->start_mark), "a second document in the file",
                     "one file holds one van; put the other into a file of its own");
        return false;
    case YAML_ALIAS_EVENT:
        add_alias(b);
        return true;
    case YAML_SCALAR_EVENT:
        add_scalar(b);
        return true;
    case YAML_SEQUENCE_START_EVENT:
        refuse_properties(b, e->data.sequence_start.anchor, e->data.sequence_start.tag);
        return open_collection(b, NODE_SEQUENCE, e->data.sequence_start.style == YAML_FLOW_SEQUENCE_STYLE);
    case YAML_MAPPING_START_EVENT:
        refuse_properties(b, e->data.mapping_start.anchor, e->data.mapping_start.tag);
        return open_collection(b, NODE_MAPPING, e->data.mapping_start.style == YAML_FLOW_MAPPING_STYLE);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        close_collection(b);
        return true;
    default:
        return true;
    }
}

/* Memory that libyaml could not get is memory that ran out: leave through the arena like everybody. */
static _Noreturn void out_of_memory(arena *a)
{
    arena_take(a, SIZE_MAX, SIZE_MAX);
    abort();
}

static bool parse(builder *b, const unsigned char *text, size_t n)
{
    yaml_parser_t *p = &b->events->parser;
    if (!yaml_parser_initialize(p)) out_of_memory(b->arena);
    yaml_parser_set_encoding(p, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(p, text, n);
    for (bool is_last = false; !is_last;) {
        if (!yaml_parser_parse(p, &b->events->event)) {
            if (p->error == YAML_MEMORY_ERROR) out_of_memory(b->arena);
            report_trouble(p, b->report);
            return false;
        }
        is_last = b->events->event.type == YAML_STREAM_END_EVENT;
        if (!take_event(b)) return false;
        yaml_event_delete(&b->events->event);
    }
    return true;
}

node *tree_read(arena *a, const char *text, size_t n, report *r)
{
    if (n > text_most) {
        report_error(r, (place){0}, arena_printf(a, "the file has %zu bytes", n),
                     arena_printf(a, "at most %d are read", text_most));
        return NULL;
    }
    if (n >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0)) {
        report_error(r, (place){1, 1}, "the file is UTF-16", "save it as UTF-8");
        return NULL;
    }
    if (n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) text += 3, n -= 3;
    unsigned char *copy = (unsigned char *)arena_text_n(a, text, n);
    if (!clean(copy, n, r)) return NULL;

    builder *b = ARENA_NEW(a, builder);
    *b = (builder){.arena = a, .report = r, .events = ARENA_NEW(a, events)};
    arena_defer(a, release_events, b->events);
    bool is_whole = parse(b, copy, n);
    release_events(b->events);
    if (!is_whole) return NULL;
    if (!b->root || (b->root->form == NODE_SCALAR && !*b->root->text)) {
        report_error(r, (place){1, 1}, "the file is empty", "start it with `loomwall: 1`; `loomwall new` writes one");
        return NULL;
    }
    if (b->root->form != NODE_MAPPING) {
        report_error(r, b->root->where, arena_printf(a, "the file holds %s", node_form_name(b->root)),
                     "it is a mapping that starts with `loomwall: 1`; `loomwall new` writes one");
        return NULL;
    }
    return b->root;
}

const node *node_get(const node *mapping, const char *key)
{
    for (const node *e = mapping->first; e; e = e->next)
        if (strcmp(e->key, key) == 0) return e;
    return NULL;
}

const char *node_form_name(const node *n)
{
    return n->form == NODE_MAPPING ? "a mapping" : n->form == NODE_SEQUENCE ? "a list" : "text";
}
