/* Nodes to values. See values.h. */
#include "read/values.h"

#include <ctype.h>
#include <errno.h>
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void fault(reader *r, place where, const char *wrong, const char *right)
{
    report_error(r->report, where, wrong, right);
}

/* Text of the file inside a message: never longer than a line. */
const char *quoted(reader *r, const char *text)
{
    enum { longest = 60 };
    size_t n = strlen(text);
    bool is_cut = n > longest;
    if (is_cut)
        for (n = longest; n > 0 && ((unsigned char)text[n] & 0xC0) == 0x80;) n--; /* between characters */
    char *copy = arena_text_n(r->arena, text, n);
    for (char *c = copy; *c; c++)
        if (*c == '\n' || *c == '\r' || *c == '\t' || *c == '`') *c = ' ';
    return is_cut ? SAY(r, "%s...", copy) : copy;
}

const char *suggestion(reader *r, const char *word, const char *const *words, int n, const char *otherwise)
{
    enum { longest_word = 64 };
    bool is_short = strlen(word) < (*word == '$' ? 3 : 2); /* every single letter is near to every other */
    if (is_short || n > r->words_left || report_count(r->report) >= report_limit || strlen(word) > longest_word)
        return otherwise;
    r->words_left -= n;
    int nearest = nearest_word(word, words, n);
    return nearest < 0 ? otherwise : SAY(r, "did you mean `%s`?", words[nearest]);
}

const char *listing(reader *r, const char *const *words, int n, int most, const char *last)
{
    sink s = sink_in(r->arena);
    for (int i = 0; i < n; i++) {
        if (i == most) {
            sink_add(&s, ", ...");
            break;
        }
        if (i > 0) sink_printf(&s, i == n - 1 ? " %s " : ", ", last);
        sink_add(&s, words[i]);
    }
    return sink_text(&s);
}

const char *node_name(const node *n) { return n->key ? n->key : n->form == NODE_SCALAR ? n->text : "this"; }

/* ---- fields ---- */

static const key_rule *rule_of(const key_table *t, const char *key)
{
    for (int i = 0; i < t->n; i++)
        if (strcmp(t->rules[i].name, key) == 0) return &t->rules[i];
    return NULL;
}

static void fault_key(reader *r, const key_table *t, const node *entry)
{
    const char **words = ARENA_ARRAY(r->arena, const char *, (size_t)t->n);
    int n = 0;
    for (int i = 0; i < t->n; i++)
        if (t->rules[i].holds != HOLDS_LATER) words[n++] = t->rules[i].name;
    bool has_value = entry->form != NODE_SCALAR || !entry->is_plain || *entry->text;
    const char *otherwise = has_value ? SAY(r, "%s takes %s", t->what, listing(r, words, n, 40, "and"))
                                      : "inside braces a comma ends a value: put a text that holds one in quotes";
    fault(r, entry->key_where, SAY(r, "`%s` is not a key of %s", quoted(r, entry->key), t->what),
          suggestion(r, entry->key, words, n, otherwise));
}

bool read_fields(reader *r, const node *mapping, const key_table *t, const node **fields, other_key other,
                 void *context)
{
    memset(fields, 0, (size_t)t->n * sizeof *fields);
    if (mapping->form == NODE_BROKEN) return false;
    if (mapping->form != NODE_MAPPING) {
        fault(r, mapping->where,
              SAY(r, "`%s` is %s", quoted(r, node_name(mapping)),
                  mapping->form == NODE_SCALAR && !*mapping->text ? "empty" : node_form_name(mapping)),
              SAY(r, "%s is a mapping, as {%s: ...}", t->what, t->rules[0].name));
        return false;
    }
    for (const node *e = mapping->first; e; e = e->next) {
        if (other && other(context, e)) continue;
        const key_rule *k = rule_of(t, e->key);
        if (!k)
            fault_key(r, t, e);
        else if (k->holds == HOLDS_LATER)
            fault(r, e->key_where, SAY(r, "`%s` is not in this release", k->name), k->says);
        else if (!fields[k - t->rules])
            fields[k - t->rules] = e;
    }
    for (int i = 0; i < t->n; i++)
        if (t->rules[i].is_required && !fields[i])
            fault(r, mapping->key ? mapping->key_where : mapping->where,
                  SAY(r, "%s lacks `%s`", mapping->key ? SAY(r, "`%s`", quoted(r, mapping->key)) : t->what,
                      t->rules[i].name),
                  SAY(r, "add `%s:` with %s", t->rules[i].name, t->rules[i].says));
    return true;
}

/* ---- values ---- */

bool is_empty(const node *n) { return !n || (n->form == NODE_SCALAR && n->is_plain && !*n->text); }
static bool is_text_list(const node *n)
{
    for (const node *e = n->first; e; e = e->next)
        if (e->form != NODE_SCALAR) return false;
    return n->form == NODE_SEQUENCE;
}

writing read_writing(arena *a, const node *mapping)
{
    written *all = ARENA_ARRAY(a, written, (size_t)mapping->n);
    int n = 0;
    for (const node *e = mapping->first; e; e = e->next) {
        if (e->form == NODE_SCALAR) all[n++] = (written){.key = e->key, .text = e->text};
        if (!is_text_list(e)) continue;
        const char **list = ARENA_ARRAY(a, const char *, (size_t)e->n);
        int n_list = 0;
        for (const node *one = e->first; one; one = one->next) list[n_list++] = one->text;
        all[n++] = (written){.key = e->key, .list = list, .n_list = n_list};
    }
    return (writing){all, n};
}

bool is_auto(const node *n) { return n && n->form == NODE_SCALAR && strcmp(n->text, "auto") == 0; }

/* The text of a scalar that says something, or NULL. */
static const char *scalar(const node *n)
{
    if (!n || n->form != NODE_SCALAR || !*n->text) return NULL;
    return n->is_plain && (strcmp(n->text, "~") == 0 || strcmp(n->text, "null") == 0) ? NULL : n->text;
}

/* Why `scalar` had none; nothing where the value is not there. `wanted` fits after "write ". Returns false. */
static bool fault_scalar(reader *r, const node *n, const char *wanted)
{
    if (!n || n->form == NODE_BROKEN) return false;
    bool is_empty = n->form == NODE_SCALAR;
    fault(r, n->where,
          SAY(r, "`%s` is %s", quoted(r, n->key ? n->key : "this"), is_empty ? "empty" : node_form_name(n)),
          SAY(r, "write %s%s", wanted, is_empty && n->is_plain && n->key ? ", or leave the key out" : ""));
    return false;
}

bool read_text(reader *r, const node *n, const char **out)
{
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, "a text");
    *out = text;
    return true;
}

bool id_is_sound(const char *id)
{
    if (!islower((unsigned char)*id)) return false;
    for (const char *c = id; *c; c++) {
        bool is_joint = *c == '-' && c[1] && c[1] != '-';
        if (!islower((unsigned char)*c) && !isdigit((unsigned char)*c) && !is_joint) return false;
    }
    return strlen(id) <= 64;
}

/* The nearest thing to `id` that is one, or NULL. */
static const char *as_id(reader *r, const char *id)
{
    char *made = arena_text(r->arena, id), *to = made;
    for (const char *c = id; *c; c++) {
        bool is_letter = isalnum((unsigned char)*c);
        if (!is_letter && (to == made || to[-1] == '-')) continue;
        *to++ = is_letter ? (char)tolower((unsigned char)*c) : '-';
    }
    while (to > made && to[-1] == '-') to--;
    *to = 0;
    return id_is_sound(made) ? made : NULL;
}

static void fault_id(reader *r, place where, const char *id)
{
    const char *made = as_id(r, id);
    fault(r, where, SAY(r, "`%s` is not an id", quoted(r, id)),
          SAY(r, "an id is lower-case words joined by hyphens, at most 64 characters, as `%s`",
              made ? made : "pump-switch"));
}

bool read_id(reader *r, const node *n, const char **out)
{
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, "an id");
    if (!id_is_sound(text)) {
        fault_id(r, n->where, text);
        return false;
    }
    *out = text;
    return true;
}

bool check_key_id(reader *r, const node *entry)
{
    if (id_is_sound(entry->key)) return true;
    fault_id(r, entry->key_where, entry->key);
    return false;
}

bool read_word(reader *r, const node *n, const key_rule *k, int *out)
{
    int n_words = 0;
    while (k->words[n_words]) n_words++;
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, listing(r, k->words, n_words, 20, "or"));
    for (int i = 0; i < n_words; i++)
        if (strcmp(text, k->words[i]) == 0) {
            *out = i;
            return true;
        }
    fault(r, n->where, SAY(r, "`%s` is not a word that `%s` takes", quoted(r, text), k->name),
          suggestion(r, text, k->words, n_words, SAY(r, "write %s", listing(r, k->words, n_words, 20, "or"))));
    return false;
}

bool read_truth(reader *r, const node *n, bool *out)
{
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, "true or false");
    bool is_true = n->is_plain && strcmp(text, "true") == 0;
    if (is_true || (n->is_plain && strcmp(text, "false") == 0)) {
        *out = is_true;
        return true;
    }
    static const char *const yes[] = {"yes", "on", "y", "True", "TRUE", "1"};
    static const char *const no[] = {"no", "off", "n", "False", "FALSE", "0"};
    const char *meant = "true or false, without quotes";
    for (size_t i = 0; i < sizeof yes / sizeof yes[0]; i++)
        if (strcmp(text, yes[i]) == 0 || strcmp(text, no[i]) == 0) meant = strcmp(text, yes[i]) == 0 ? "true" : "false";
    fault(r, n->where, SAY(r, "`%s` is neither true nor false", quoted(r, text)), SAY(r, "write %s", meant));
    return false;
}

bool read_count(reader *r, const node *n, double least, double most, int *out)
{
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, "a whole number");
    char *end;
    double number = strtod(text, &end);
    bool is_number = (isdigit((unsigned char)*text) || *text == '-' || *text == '+') && !*end && isfinite(number);
    if (!is_number || number != floor(number)) {
        fault(r, n->where, SAY(r, "`%s` is not a whole number", quoted(r, text)),
              least == most ? SAY(r, "write %.0f", least)
                            : SAY(r, "write a number from %.0f to %.0f, without a unit", least, most));
        return false;
    }
    if (number < least || number > most) {
        fault(r, n->where, SAY(r, "`%s: %s` is out of range", n->key ? n->key : "count", quoted(r, text)),
              least == most ? SAY(r, "write %.0f", least) : SAY(r, "it lies between %.0f and %.0f", least, most));
        return false;
    }
    *out = (int)number;
    return true;
}

/* ---- quantities ---- */

/* Beyond these a value is a slip of the pen, whatever it is for. SI. */
void physical_range(dimension d, double *least, double *most)
{
    static const struct {
        double least, most;
    } ranges[N_DIMENSIONS] = {
        [DIMENSION_NUMBER] = {-1e12, 1e12},  [DIMENSION_LENGTH] = {0, 1000},       [DIMENSION_AREA] = {0, 1e-3},
        [DIMENSION_VOLTAGE] = {0, 1000},     [DIMENSION_CURRENT] = {0, 20e3},      [DIMENSION_POWER] = {0, 100e3},
        [DIMENSION_RESISTANCE] = {0, 1e9},   [DIMENSION_CHARGE] = {0, 1e5 * 3600}, [DIMENSION_ENERGY] = {0, 1e12},
        [DIMENSION_TEMPERATURE] = {0, 1500}, [DIMENSION_TIME] = {0, 1e10},         [DIMENSION_MASS] = {0, 1e5},
        [DIMENSION_PRESSURE] = {0, 1e9},     [DIMENSION_FLOW] = {0, 10},           [DIMENSION_VOLUME] = {0, 100},
        [DIMENSION_ANGLE] = {-1000, 1000},   [DIMENSION_FRACTION] = {0, 1},        [DIMENSION_FREQUENCY] = {0, 1e9},
        [DIMENSION_SPEED] = {0, 1000},
    };
    *least = ranges[d].least;
    *most = ranges[d].most;
}

const char *range_text(arena *a, dimension d, double least, double most)
{
    if (isinf(most)) return arena_printf(a, "%s or more", quantity_text(least, d, 6, a));
    if (isinf(least)) return arena_printf(a, "%s or less", quantity_text(most, d, 6, a));
    return arena_printf(a, "%s to %s", quantity_text(least, d, 6, a), quantity_text(most, d, 6, a));
}

/* "a current (A, mA)", "a current (A, mA) or a power (W, kW)" */
const char *dimensions_text(reader *r, const dimension *dimensions, int n)
{
    sink s = sink_in(r->arena);
    for (int i = 0; i < n; i++) {
        const char *name = dimension_name(dimensions[i]);
        sink_printf(&s, "%s%s %s in %s",
                    i == 0       ? ""
                    : i == n - 1 ? ", or "
                                 : ", ",
                    strchr("aeiou", *name) ? "an" : "a", name, dimension_units(dimensions[i]));
    }
    return sink_text(&s);
}

static bool is_in(dimension d, const dimension *dimensions, int n)
{
    for (int i = 0; i < n; i++)
        if (dimensions[i] == d) return true;
    return false;
}

static bool fault_quantity(reader *r, const node *n, const char *wrong, const dimension *dimensions, int n_dimensions)
{
    fault(r, n->where, wrong, SAY(r, "write %s", dimensions_text(r, dimensions, n_dimensions)));
    return false;
}

/* Failures, in the order of the code: no scalar; no quantity; no unit; another dimension; out of range. */
static bool parse_quantity(reader *r, const node *n, const dimension *dimensions, int n_dimensions, quantity *out)
{
    const char *text = scalar(n), *wrong = NULL;
    if (!text) return fault_scalar(r, n, dimensions_text(r, dimensions, n_dimensions));
    quantity q;
    if (!quantity_parse(text, strlen(text), &q, r->arena, &wrong))
        return fault_quantity(r, n, SAY(r, "`%s` %s", quoted(r, text), wrong), dimensions, n_dimensions);
    if (q.dimension == DIMENSION_NUMBER && !is_in(DIMENSION_NUMBER, dimensions, n_dimensions))
        return fault_quantity(r, n, SAY(r, "`%s` has no unit", quoted(r, text)), dimensions, n_dimensions);
    if (!is_in(q.dimension, dimensions, n_dimensions)) {
        const char *name = dimension_name(q.dimension);
        return fault_quantity(r, n, SAY(r, "`%s` is %s %s", quoted(r, text), strchr("aeiou", *name) ? "an" : "a", name),
                              dimensions, n_dimensions);
    }
    *out = q;
    return true;
}

static bool fault_range(reader *r, const node *n, const char *right)
{
    fault(r, n->where,
          n->key ? SAY(r, "`%s: %s` is out of range", n->key, quoted(r, n->text))
                 : SAY(r, "`%s` is out of range", quoted(r, n->text)),
          right);
    return false;
}

bool read_any_quantity(reader *r, const node *n, const dimension *dimensions, int n_dimensions, double least,
                       double most, quantity *out)
{
    quantity q;
    if (!parse_quantity(r, n, dimensions, n_dimensions, &q)) return false;
    double physical_least, physical_most;
    physical_range(q.dimension, &physical_least, &physical_most);
    least = n_dimensions == 1 && !isinf(least) ? least : physical_least;
    most = n_dimensions == 1 && !isinf(most) ? most : physical_most;
    if (n_dimensions > 1 && q.value <= 0) return fault_range(r, n, "write more than nothing");
    /* Room for the rounding of a limit that is written in another unit. */
    double room = 16 * DBL_EPSILON * fmax(fabs(least), fabs(most));
    if (q.value < least - room || q.value > most + room)
        return fault_range(r, n,
                           SAY(r, "it lies between %s and %s", quantity_text(least, q.dimension, 6, r->arena),
                               quantity_text(most, q.dimension, 6, r->arena)));
    *out = q;
    return true;
}

bool read_quantity(reader *r, const node *n, const key_rule *k, double *out)
{
    quantity q;
    if (!read_any_quantity(r, n, &k->dimension, 1, k->least, k->most, &q)) return false;
    *out = q.value;
    return true;
}

/* The sizes of the series on either side, as "14 AWG or 16 AWG". */
static const char *neighbours(reader *r, const quantity *q)
{
    int n;
    const conductor_size *sizes = conductor_series(q->is_gauge ? SIZE_AWG : SIZE_METRIC, &n);
    int above = 0;
    while (above < n && sizes[above].area_m2 < q->value) above++;
    if (above == 0) return SAY(r, "the smallest is %s", conductor_size_text(sizes[0]));
    if (above == n) return SAY(r, "the largest is %s", conductor_size_text(sizes[n - 1]));
    return SAY(r, "take %s or %s", conductor_size_text(sizes[above - 1]), conductor_size_text(sizes[above]));
}

bool read_size(reader *r, const node *n, conductor_size *out)
{
    const char *text = scalar(n), *wrong = NULL;
    if (!text) return fault_scalar(r, n, "a conductor size, as 14 AWG or 2.5 mm2");
    quantity q;
    const char *right = "write a conductor size in AWG or mm2, as 14 AWG, 2/0 AWG or 2.5 mm2";
    if (!quantity_parse(text, strlen(text), &q, r->arena, &wrong)) {
        fault(r, n->where, SAY(r, "`%s` %s", quoted(r, text), wrong), right);
        return false;
    }
    if (q.dimension != DIMENSION_AREA) {
        const char *is =
            q.dimension == DIMENSION_NUMBER ? "has no unit" : SAY(r, "is a %s", dimension_name(q.dimension));
        fault(r, n->where, SAY(r, "`%s` %s", quoted(r, text), is), right);
        return false;
    }
    int n_sizes;
    const conductor_size *sizes = conductor_series(q.is_gauge ? SIZE_AWG : SIZE_METRIC, &n_sizes);
    for (int i = 0; i < n_sizes; i++) /* 1e-6: far below the step between sizes, far above rounding */
        if (q.is_gauge ? sizes[i].gauge == q.gauge : fabs(sizes[i].area_m2 / q.value - 1) < 1e-6) {
            *out = sizes[i];
            return true;
        }
    fault(r, n->where, SAY(r, "`%s` is not a size of the series", quoted(r, text)), neighbours(r, &q));
    return false;
}

bool read_date(reader *r, const node *n, const char **out)
{
    const char *text = scalar(n);
    if (!text) return fault_scalar(r, n, "a date, as 2026-11-25");
    static const int days[] = {31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool has_form = strlen(text) == 10;
    for (int i = 0; has_form && i < 10; i++)
        has_form = i == 4 || i == 7 ? text[i] == '-' : isdigit((unsigned char)text[i]) != 0;
    int month = has_form ? atoi(text + 5) : 0, day = has_form ? atoi(text + 8) : 0;
    if (month < 1 || month > 12 || day < 1 || day > days[month - 1]) {
        fault(r, n->where, SAY(r, "`%s` is not a date", quoted(r, text)), "write year-month-day, as 2026-11-25");
        return false;
    }
    *out = text;
    return true;
}

bool read_list(reader *r, const node *n, const char *of)
{
    if (!n || n->form == NODE_BROKEN) return false;
    if (n->form == NODE_SEQUENCE) return true;
    fault(r, n->where,
          SAY(r, "`%s` is %s", quoted(r, node_name(n)),
              n->form == NODE_SCALAR && !*n->text ? "empty" : node_form_name(n)),
          SAY(r, "write a list of %s in brackets, as [a, b]", of));
    return false;
}
