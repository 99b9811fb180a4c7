/* The JSON Schema (draft 2020-12) of the van file, written from the tables of keys and from the built-in kinds, so that
 * an editor offers what the reader takes. It is looser than the reader: ranges, references and what hangs together are
 * the reader's to check. YAML's plain scalars arrive at a validator as text, numbers or truth values after YAML 1.2. */
#include "read/read.h"

#include "read/keys.h"
#include "read/kinds.h"
#include <string.h>

/* ---- JSON ---- */

static void add_string(sink *s, const char *text)
{
    sink_add(s, "\"");
    for (const char *c = text; *c; c++) {
        if (*c == '"' || *c == '\\')
            sink_printf(s, "\\%c", *c);
        else if ((unsigned char)*c < 0x20)
            sink_printf(s, "\\u%04x", *c);
        else
            sink_add_n(s, c, 1);
    }
    sink_add(s, "\"");
}

static void add_pair(sink *s, const char *key, const char *text)
{
    add_string(s, key);
    sink_add(s, ": ");
    add_string(s, text);
}

/* ["a", "b"] of words that end with NULL or after n. */
static void add_words(sink *s, const char *const *words, int n)
{
    sink_add(s, "[");
    for (int i = 0; i < n && words[i]; i++) {
        if (i) sink_add(s, ", ");
        add_string(s, words[i]);
    }
    sink_add(s, "]");
}

enum { all_words = 1000 };

/* ---- what a key holds ---- */

static const char *definition_of(dimension d, arena *a) { return arena_printf(a, "in-%s", dimension_name(d)); }

static void add_ref(sink *s, const char *definition) { sink_printf(s, "{\"$ref\": \"#/$defs/%s\"}", definition); }

static void add_any_dimension(sink *s, const dimension *dimensions, int n, bool takes_auto)
{
    if (n == 1 && !takes_auto) {
        add_ref(s, definition_of(dimensions[0], s->arena));
        return;
    }
    sink_add(s, "{\"anyOf\": [");
    for (int d = 0; d < n; d++) {
        if (d) sink_add(s, ", ");
        add_ref(s, definition_of(dimensions[d], s->arena));
    }
    if (takes_auto) sink_add(s, ", {\"const\": \"auto\"}");
    sink_add(s, "]}");
}

static void add_holds(sink *s, const key_rule *k)
{
    switch (k->holds) {
    case HOLDS_ID:
        add_ref(s, "id");
        break;
    case HOLDS_WORD:
        sink_add(s, "{\"enum\": ");
        add_words(s, k->words, all_words);
        sink_add(s, "}");
        break;
    case HOLDS_QUANTITY:
        add_any_dimension(s, &k->dimension, 1, k->takes_auto);
        break;
    case HOLDS_SIZE:
        add_any_dimension(s, &(dimension){DIMENSION_AREA}, 1, k->takes_auto);
        break;
    case HOLDS_COUNT:
        sink_printf(s, "{\"type\": \"integer\", \"minimum\": %.0f, \"maximum\": %.0f}", k->least, k->most);
        break;
    case HOLDS_TRUTH:
        sink_add(s, "{\"type\": \"boolean\"}");
        break;
    case HOLDS_DATE:
        add_ref(s, "date");
        break;
    case HOLDS_TERMINAL:
        add_ref(s, "terminal");
        break;
    case HOLDS_WORDS:
        sink_add(s, "{\"type\": \"array\", \"items\": {\"type\": \"string\"}}");
        break;
    case HOLDS_LIST:
        sink_add(s, "{\"type\": \"array\"}");
        break;
    case HOLDS_MAPPING:
        sink_add(s, "{\"type\": \"object\"}");
        break;
    case HOLDS_VALUE:
        sink_add(s, "{\"type\": [\"string\", \"number\", \"boolean\"]}");
        break;
    case HOLDS_TEXT:
    case HOLDS_LATER:
        add_ref(s, "text");
        break;
    }
}

/* ---- objects ---- */

/* A section may stand empty. */
static const char an_object[] = "\"object\"", a_section[] = "[\"object\", \"null\"]";

typedef struct members { /* an object under construction */
    sink *s;
    bool is_first;
    const char *indent;
} members;

static void open_member(members *m, const char *key, const char *says)
{
    sink_printf(m->s, "%s\n%s  ", m->is_first ? "" : ",", m->indent);
    m->is_first = false;
    add_string(m->s, key);
    sink_add(m->s, ": {");
    add_pair(m->s, "description", says);
    sink_add(m->s, ", \"allOf\": [");
}

static void close_member(members *m) { sink_add(m->s, "]}"); }

/* Which definition stands for a key that holds a list or a mapping of its own; NULL: what the table says. */
typedef struct special {
    const char *key, *definition;
} special;

static void add_rules(members *m, const key_table *t, const special *specials)
{
    for (int i = 0; i < t->n; i++) {
        const key_rule *k = &t->rules[i];
        if (k->holds == HOLDS_LATER) continue;
        open_member(m, k->name, k->says);
        const special *found = NULL;
        for (const special *x = specials; x && x->key; x++)
            if (strcmp(x->key, k->name) == 0) found = x;
        if (found)
            add_ref(m->s, found->definition);
        else
            add_holds(m->s, k);
        close_member(m);
    }
}

static void add_required(sink *s, const char *indent, const key_table *t)
{
    const char **words = ARENA_ARRAY(s->arena, const char *, (size_t)t->n);
    int n = 0;
    for (int i = 0; i < t->n; i++)
        if (t->rules[i].is_required) words[n++] = t->rules[i].name;
    if (n == 0) return;
    sink_printf(s, ",\n%s\"required\": ", indent);
    add_words(s, words, n);
}

static void add_keys(sink *s, const char *name, const char *type, const key_table *t, const special *specials)
{
    sink_printf(s, "    \"%s\": {\n      \"type\": %s,\n      \"properties\": {", name, type);
    members m = {s, true, "      "};
    add_rules(&m, t, specials);
    sink_add(s, "\n      },\n      \"additionalProperties\": false");
    add_required(s, "      ", t);
    sink_add(s, "\n    }");
}

static void add_table(sink *s, const char *name, const key_table *t, const special *specials)
{
    add_keys(s, name, an_object, t, specials);
}

/* ---- items by kind ---- */

static void add_parameter(members *m, const parameter *p)
{
    sink *s = m->s;
    open_member(m, p->name, p->says);
    if (p->is_list) sink_add(s, "{\"type\": \"array\", \"minItems\": 1, \"items\": ");
    if (p->n_choices) {
        sink_add(s, "{\"enum\": ");
        add_words(s, p->choices, p->n_choices);
        sink_add(s, "}");
    } else if (p->is_truth)
        sink_add(s, "{\"type\": \"boolean\"}");
    else if (p->is_count)
        sink_printf(s, "{\"type\": \"integer\", \"minimum\": %.0f, \"maximum\": %.0f}", p->least, p->most);
    else
        add_any_dimension(s, p->dimensions, p->n_dimensions,
                          !p->is_list && (p->is_auto || p->preset.form != VALUE_NONE));
    if (p->is_list) sink_add(s, "}");
    close_member(m);
}

/* {"if": it is of this kind, "then": its own keys}. Keys that every item has are repeated, so that one place refuses
 * those that neither knows. */
static void add_kind(sink *s, const kind *k)
{
    sink_add(s, "        {\n          \"if\": {\"properties\": {\"kind\": {\"const\": ");
    add_string(s, k->name);
    sink_add(s, "}}, \"required\": [\"kind\"]},\n          \"then\": {\n            ");
    add_pair(s, "description", k->says);
    sink_add(s, ",\n            \"properties\": {");
    members m = {s, true, "            "};
    add_rules(&m, &item_keys, NULL);
    for (int p = 0; p < k->n_parameters; p++) add_parameter(&m, &k->parameters[p]);
    sink_add(s, "\n            },\n            \"additionalProperties\": false");
    const char **required = ARENA_ARRAY(s->arena, const char *, (size_t)k->n_parameters);
    int n = 0;
    for (int p = 0; p < k->n_parameters; p++)
        if (k->parameters[p].preset.form == VALUE_NONE && !k->parameters[p].is_auto)
            required[n++] = k->parameters[p].name;
    if (n) {
        sink_add(s, ",\n            \"required\": ");
        add_words(s, required, n);
    }
    sink_add(s, "\n          }\n        }");
}

static void add_item(sink *s)
{
    int n;
    const kind *kinds = built_in_kinds(s->arena, &n);
    sink_add(s,
             "    \"item\": {\n      \"type\": \"object\",\n      \"required\": [\"kind\"],\n      \"properties\": {\n"
             "        \"kind\": {\"description\": \"a built-in kind, or one of `kinds:`\", \"anyOf\": [\n");
    for (int k = 0; k < n; k++) {
        sink_add(s, "          {\"const\": ");
        add_string(s, kinds[k].name);
        sink_add(s, ", ");
        add_pair(s, "description", kinds[k].says);
        sink_add(s, "},\n");
    }
    sink_add(s, "          {\"$ref\": \"#/$defs/id\"}\n        ]}\n      },\n      \"allOf\": [\n");
    for (int k = 0; k < n; k++) {
        add_kind(s, &kinds[k]);
        sink_add(s, k < n - 1 ? ",\n" : "\n");
    }
    sink_add(s, "      ]\n    }");
}

/* ---- inside of kinds ---- */

/* Keys by the primitive element; a part, whose kind is another kind, takes what that takes. */
static void add_element(sink *s)
{
    sink_add(
        s, "    \"element\": {\n      \"type\": \"object\",\n      \"required\": [\"kind\"],\n      \"properties\": {");
    members m = {s, true, "      "};
    add_rules(&m, &inside_keys, NULL);
    sink_add(s, "\n      },\n      \"allOf\": [\n");
    for (int e = 0; e < N_ELEMENTS; e++) {
        sink_add(s, "        {\n          \"if\": {\"properties\": {\"kind\": {\"const\": ");
        add_string(s, element_type_word((element_type)e));
        sink_add(s, "}}, \"required\": [\"kind\"]},\n          \"then\": {\n            ");
        add_pair(s, "description", element_says((element_type)e));
        sink_add(s, ",\n            \"properties\": {");
        members own = {s, true, "            "};
        const char *required[N_ELEMENT_KEYS + n_inside_keys];
        int n = 0;
        for (int i = 0; i < n_inside_keys; i++) {
            bool is_taken = i == inside_kind || i == inside_between || element_inside_keys((element_type)e) & 1u << i;
            if (!is_taken) continue;
            add_rules(&own, &(key_table){NULL, &inside_keys.rules[i], 1}, NULL);
            required[n++] = inside_keys.rules[i].name;
        }
        for (int i = 0; i < n_element_rules; i++) {
            const element_rule *r = &element_rules[i];
            if (r->element != (element_type)e) continue;
            open_member(&own, element_key_word(r->key), r->says);
            sink_add(s, "{\"anyOf\": [{\"$ref\": \"#/$defs/parameter-name\"}, ");
            if (r->words) {
                sink_add(s, "{\"enum\": ");
                add_words(s, r->words, all_words);
                sink_add(s, "}");
            } else
                add_any_dimension(s, r->dimensions, r->n_dimensions, false);
            sink_add(s, "]}");
            close_member(&own);
            if (r->is_required) required[n++] = element_key_word(r->key);
        }
        sink_add(s, "\n            },\n            \"additionalProperties\": false,\n            \"required\": ");
        add_words(s, required, n);
        sink_printf(s, "\n          }\n        }%s\n", e < N_ELEMENTS - 1 ? "," : "");
    }
    sink_add(s, "      ]\n    }");
}

/* ---- definitions ---- */

/* Numbers and units of one dimension, several if they follow each other as in 12 ft 6 in. */
static void add_dimension(sink *s, dimension d)
{
    sink_printf(s, "    \"%s\": {\"type\": \"string\", ", definition_of(d, s->arena));
    add_pair(s, "description", arena_printf(s->arena, "%s in %s", dimension_name(d), dimension_units(d)));
    sink_add(s, ", \"pattern\": ");
    sink units = sink_in(s->arena);
    for (const char *c = dimension_units(d); *c; c++) {
        if (c[0] == ',' && c[1] == ' ') {
            sink_add(&units, "|");
            c++;
        } else if (strchr("/^*+.()", *c))
            sink_printf(&units, "\\%c", *c);
        else
            sink_add_n(&units, c, 1);
    }
    const char *unit = sink_text(&units);
    add_string(s, arena_printf(s->arena, "^\\s*[-+]?[0-9.,/]+([eE][-+]?[0-9]+)?\\s*(%s)(\\s+[0-9.,/]+\\s*(%s))*\\s*$",
                               unit, unit));
    sink_add(s, "}");
}

static void add_map(sink *s, const char *name, const char *type, const char *keys, const char *of)
{
    sink_printf(s, "    \"%s\": {\"type\": %s, \"propertyNames\": ", name, type);
    add_ref(s, keys);
    sink_add(s, ", \"additionalProperties\": ");
    add_ref(s, of);
    sink_add(s, "}");
}

static void add_map_of(sink *s, const char *name, const char *keys, const char *of)
{
    add_map(s, name, an_object, keys, of);
}

/* The list, or nothing after its key. */
static void add_list_of(sink *s, const char *name, const char *of)
{
    sink_printf(s, "    \"%s\": {\"type\": [\"array\", \"null\"], \"items\": ", name);
    add_ref(s, of);
    sink_add(s, "}");
}

static void add_definitions(sink *s)
{
    static const special kind_specials[] = {
        {"terminals", "terminals"}, {"takes", "takes"}, {"fits", "fits"}, {"inside", "inside"}, {NULL, NULL}};
    static const special takes_specials[] = {{"in", "units"}, {NULL, NULL}};
    sink_add(
        s,
        "    \"text\": {\"type\": [\"string\", \"number\", \"boolean\"]},\n"
        "    \"id\": {\"type\": \"string\", \"pattern\": \"^[a-z][a-z0-9]*(-[a-z0-9]+)*$\", \"maxLength\": 64},\n"
        "    \"label\": {\"type\": [\"string\", \"number\"], \"pattern\": \"^[A-Za-z0-9][-A-Za-z0-9_./+]{0,15}$\"},\n"
        "    \"terminal\": {\"type\": \"string\", \"pattern\": \"^[a-z][a-z0-9-]*\\\\.[a-z0-9-]+$\"},\n"
        "    \"date\": {\"type\": \"string\", \"pattern\": \"^[0-9]{4}-[0-9]{2}-[0-9]{2}$\"},\n"
        "    \"parameter-name\": {\"type\": \"string\", \"pattern\": \"^\\\\$[a-z]\"},\n"
        "    \"units\": {\"anyOf\": [{\"type\": \"string\"}, {\"type\": \"array\", \"minItems\": 1, \"items\": "
        "{\"type\": \"string\"}}]},\n"
        "    \"terminals\": {\"type\": \"array\", \"minItems\": 1, \"maxItems\": 16, \"items\": {\"anyOf\": "
        "[{\"$ref\": \"#/$defs/id\"}, {\"type\": \"object\", \"properties\": {\"row\": {\"$ref\": "
        "\"#/$defs/id\"}}, \"required\": [\"row\"], \"additionalProperties\": false}]}},\n");
    for (int d = 0; d < N_DIMENSIONS; d++) {
        if (d == DIMENSION_NUMBER) continue;
        add_dimension(s, (dimension)d);
        sink_add(s, ",\n");
    }
    add_keys(s, "conditions", a_section, &conditions_keys, NULL);
    sink_add(s, ",\n");
    add_item(s);
    sink_add(s, ",\n");
    add_map_of(s, "items", "id", "item");
    sink_add(s, ",\n");
    add_table(s, "wire", &wire_keys, NULL);
    sink_add(s, ",\n");
    add_map(s, "wires", a_section, "label", "wire");
    sink_add(s, ",\n");
    add_list_of(s, "unlabelled", "wire");
    sink_add(s, ",\n");
    add_list_of(s, "retired", "label");
    sink_add(s, ",\n");
    add_table(s, "decision", &decided_keys, NULL);
    sink_add(s, ",\n");
    add_list_of(s, "decided", "decision");
    sink_add(s, ",\n");
    add_table(s, "kind", &kind_keys, kind_specials);
    sink_add(s, ",\n");
    add_map(s, "kinds", a_section, "id", "kind");
    sink_add(s, ",\n");
    add_table(s, "parameter", &takes_keys, takes_specials);
    sink_add(s, ",\n");
    add_map_of(s, "takes", "id", "parameter");
    sink_add(s, ",\n");
    add_table(s, "fit", &fits_keys, NULL);
    sink_add(s, ",\n");
    add_map_of(s, "fits", "id", "fit");
    sink_add(s, ",\n");
    add_element(s);
    sink_add(s, ",\n");
    add_map_of(s, "inside", "id", "element");
    sink_add(s, "\n");
}

const char *read_schema(arena *a)
{
    static const special top_specials[] = {
        {"conditions", "conditions"}, {"kinds", "kinds"},     {"items", "items"},     {"wires", "wires"},
        {"unlabelled", "unlabelled"}, {"retired", "retired"}, {"decided", "decided"}, {NULL, NULL}};
    sink s = sink_in(a);
    sink_add(&s, "{\n  \"$schema\": \"https://json-schema.org/draft/2020-12/schema\",\n  \"title\": \"van file\",\n"
                 "  \"description\": \"One van, for loomwall\",\n  \"type\": \"object\",\n  \"properties\": {");
    members m = {&s, true, "  "};
    add_rules(&m, &top_keys, top_specials);
    sink_add(&s, "\n  },\n  \"additionalProperties\": false");
    add_required(&s, "  ", &top_keys);
    sink_add(&s, ",\n  \"$defs\": {\n");
    add_definitions(&s);
    sink_add(&s, "  }\n}\n");
    return sink_text(&s);
}
